import { type PartProof, type Proof, PROOF_FORMAT, PROOF_VERSION } from "../../model/index.ts";
import type { FrameNumber } from "../../units/index.ts";
import type { InjectedMeasurement, Injection } from "../contract.ts";
import type { GridMeasurement, PartMeasurement } from "../measurement.ts";
import { holdId } from "../shot-series.ts";
import { VERSION } from "../version.ts";
import { candidateOf, grouped } from "./candidates.ts";
import { PartProver, type ProverSource } from "./part-prover.ts";

/** What was measured with one injection in the frames. */
interface Run {
  readonly sizes: ReadonlyMap<PartProver, number>;
  readonly grids: Map<FrameNumber, GridMeasurement>;
  readonly parts: Map<string, Map<FrameNumber, PartMeasurement>>;
}

/** Sizes of a part in each round: a ladder, then between two rungs. */
const ROUNDS = 2;

const framesOf = (group: readonly PartProver[]): FrameNumber[] =>
  [...new Set(group.flatMap(({ shape }) => shape.frames))].sort((a, b) => a - b);

/**
 * Puts known drifts into the held parts of a shot that was checked, and tells what came back. Parts that are apart are
 * moved at once, one group of them after the other, so that little has to be kept.
 */
export class Prover {
  private readonly groups: readonly (readonly PartProver[])[];
  private readonly notProved: { part: string; name: string; reason: string }[] = [];
  private readonly order: readonly string[];
  private readonly runs = new Map<string, Run>();
  private readonly proved = new Map<string, PartProof>();
  private group = 0;
  private round = 0;

  constructor(private readonly source: ProverSource) {
    const { job, series, setup } = source;
    const wanted = job.prove?.part ?? null;
    const parts = series.parts.filter(({ part }) => wanted === null || part.id === wanted);
    this.order = parts.map(({ part }) => part.id);
    const provers: PartProver[] = [];
    for (const analysed of parts) {
      const { id, name } = analysed.part;
      const candidate = candidateOf(analysed, source.segments.get(id) ?? [], series.holds.values(), (hold) =>
        series.measured.has(hold),
      );
      if ("reason" in candidate) this.notProved.push({ part: id, name, reason: candidate.reason });
      else provers.push(new PartProver(source, candidate.plan, candidate.segment));
    }
    const reach = Math.max(0, ...provers.map(({ full }) => full)) * (setup.analysisWidth / setup.width);
    this.groups = grouped(provers, reach);
  }

  /** What to measure next, frames and injections; null once all is known. Call when all that came before was measured. */
  next(): { readonly frames: readonly FrameNumber[]; readonly injections: readonly Injection[] } | null {
    if (this.runs.size > 0) {
      for (const run of this.runs.values()) this.read(run);
      this.runs.clear();
      this.round++;
    }
    for (; this.group < this.groups.length; this.group++, this.round = 0) {
      const group = this.groups[this.group];
      const injections = this.round < ROUNDS ? this.injectionsOf(group) : [];
      if (injections.length > 0) return { frames: framesOf(group), injections };
      for (const one of group) this.close(one);
    }
    return null;
  }

  /** The sizes that each part of the group still has to try, one of each part in an injection. */
  private injectionsOf(group: readonly PartProver[]): Injection[] {
    const sizes = group.map((one) => [one, one.sizes(this.round)] as const);
    const most = Math.max(...sizes.map(([, list]) => list.length));
    return Array.from({ length: most }, (_, k) => {
      const id = `${this.group + 1}.${this.round + 1}.${k + 1}`;
      const now = new Map(sizes.flatMap(([one, list]) => (k < list.length ? [[one, list[k]] as const] : [])));
      this.runs.set(id, { sizes: now, grids: new Map(), parts: new Map() });
      return { id, drifts: [...now].map(([one, size]) => ({ hold: one.plan.id, motions: one.motions(size) })) };
    });
  }

  /** How many more frames there are to measure at most, for the progress. */
  framesAhead(): number {
    const counts = this.groups.slice(this.group).map((group) => framesOf(group).length);
    return counts.reduce((sum, count, i) => sum + count * (i === 0 ? ROUNDS - 1 - this.round : ROUNDS), 0);
  }

  take(frame: FrameNumber, runs: readonly InjectedMeasurement[]): void {
    for (const { injection, grid, parts } of runs) {
      const run = this.runs.get(injection);
      if (run === undefined) continue;
      run.grids.set(frame, grid);
      for (const part of parts) {
        const id = holdId(part.part, part.anchor);
        const rows = run.parts.get(id) ?? new Map<FrameNumber, PartMeasurement>();
        rows.set(frame, part);
        run.parts.set(id, rows);
      }
    }
  }

  private read({ sizes, grids, parts }: Run): void {
    const frames = this.source.series.tracker.settledWith(grids);
    for (const [one, size] of sizes) one.read(size, parts.get(one.plan.id) ?? new Map(), frames);
  }

  private close(one: PartProver): void {
    const { id, name } = one.part;
    const proof = one.proof();
    if ("reason" in proof) this.notProved.push({ part: id, name, reason: proof.reason });
    else this.proved.set(id, proof);
  }

  proof(): Proof {
    const { job, setup, series } = this.source;
    return {
      format: PROOF_FORMAT,
      version: PROOF_VERSION,
      shot: {
        name: setup.sheet.shot.name,
        width: setup.width,
        height: setup.height,
        frames: series.tracker.numbers,
        analysisWidth: setup.analysisWidth,
        folder: job.folder,
      },
      made: { holdfast: VERSION, sheetSha256: job.sheetSha256 },
      parts: this.order.flatMap((id) => this.proved.get(id) ?? []),
      notProved: this.notProved.toSorted((a, b) => this.order.indexOf(a.part) - this.order.indexOf(b.part)),
    };
  }
}
