import { type Part, type PartProof, type Proof, PROOF_FORMAT, PROOF_VERSION } from "../../model/index.ts";
import { type FrameNumber, px, radians } from "../../units/index.ts";
import { judgeInput } from "../build-report.ts";
import type { CheckJob, InjectedMeasurement, Injection } from "../contract.ts";
import { judge } from "../judge.ts";
import { defaultBands, pxBandKeys } from "../kinds/index.ts";
import { isSetKind } from "../kinds/part-finding.ts";
import type { GridMeasurement, PartMeasurement } from "../measurement.ts";
import type { SegmentSeries, SeriesSource } from "../segment-series.ts";
import type { Segment } from "../segments.ts";
import type { Hold, JudgeInput } from "../series.ts";
import type { ShotSetup } from "../shot-setup.ts";
import { heldSeries, holdId } from "../shot-series.ts";
import type { AnalysedFrame } from "../shot-tracker.ts";
import { VERSION } from "../version.ts";
import { TOLERANCE, whatCameBack } from "./came-back.ts";
import { candidateOf, grouped } from "./candidates.ts";
import { driftAt, driftShape, type DriftShape, knownAt, putMotions } from "./drift-shape.ts";
import { withoutOwnDrift } from "./own-drift.ts";
import { proofWords } from "./proof-words.ts";
import { edgeOf, firstSizes, fullSize, sizesBetween } from "./sizes.ts";

/** The shot as its check left it. */
export interface ProverSource {
  readonly job: CheckJob;
  readonly setup: ShotSetup;
  readonly series: SeriesSource;
  readonly segments: ReadonlyMap<string, readonly Segment[]>;
  /** Camera and light without an injection. */
  readonly frames: readonly AnalysedFrame[];
}

/** What a drift of one size showed, judged with the band opened. */
interface Shown {
  readonly px: number;
  readonly flagged: boolean;
  /** Uncertainty of the size that the flag tells; NaN without a flag. */
  readonly sigma: number;
}

interface Proving {
  readonly part: Part;
  readonly plan: DriftShape["plan"];
  readonly segment: Segment;
  readonly shape: DriftShape;
  readonly plain: Hold;
  readonly bandPx: number;
  readonly full: number;
  readonly shown: Shown[];
  /** What the drift of full size gave; null while it was not measured. */
  result: Omit<PartProof, "smallest" | "tried" | "message"> | null;
}

/** What was measured with one injection in the frames. */
interface Run {
  readonly sizes: ReadonlyMap<Proving, number>;
  readonly grids: Map<FrameNumber, GridMeasurement>;
  readonly parts: Map<string, Map<FrameNumber, PartMeasurement>>;
}

/** Sizes of a part in each round: a ladder, then between two rungs. */
const ROUNDS = 2;
/** A flag counts for the drift where it goes the same way: cosine. */
const SAME_WAY = 0.5;
/** Without a number in more of its frames than this share nothing is proved. */
const LEAST_MEASURED = 0.5;

const nothing: ReadonlyMap<FrameNumber, PartMeasurement> = new Map();

/**
 * Puts known drifts into the held parts of a shot that was checked, and tells what came back. Parts that are apart are
 * moved at once, and each is judged by itself: other parts' drifts, and its own real one, can't help or hide it.
 */
export class Prover {
  private readonly groups: Proving[][];
  private readonly notProved: { part: string; name: string; reason: string }[] = [];
  private readonly order: readonly string[];
  private readonly runs = new Map<string, Run>();
  private readonly proved = new Map<string, PartProof>();
  private group = 0;
  private round = 0;

  constructor(private readonly source: ProverSource) {
    const { job, series } = source;
    const wanted = job.prove?.part ?? null;
    const parts = series.parts.filter(({ part }) => wanted === null || part.id === wanted);
    this.order = parts.map(({ part }) => part.id);
    const proving: Proving[] = [];
    for (const analysed of parts) {
      const { part } = analysed;
      const candidate = candidateOf(analysed, source.segments.get(part.id) ?? [], series.holds.values(), (id) =>
        series.measured.has(id),
      );
      if ("reason" in candidate) this.leaveOut(part, candidate.reason);
      else proving.push(this.proving(part, candidate));
    }
    const reach = Math.max(0, ...proving.map(({ full }) => full)) / this.scale;
    this.groups = grouped(proving, reach);
  }

  private get scale(): number {
    return this.source.setup.width / this.source.setup.analysisWidth;
  }

  private get scaleY(): number {
    return this.source.setup.height / this.source.setup.analysisHeight;
  }

  private leaveOut(part: Part, reason: string): void {
    this.notProved.push({ part: part.id, name: part.name, reason });
  }

  private proving(part: Part, { plan, segment }: Pick<Proving, "plan" | "segment">): Proving {
    const { setup, series, job, frames } = this.source;
    const plain = heldSeries(series, segment, plan);
    const joint = plain.joints.find(({ id }) => part.joints.some((own) => own.id === id)) ?? null;
    const bandPx = job.bandPx ?? part.bandPx ?? defaultBands[isSetKind(part.kind) ? "set-shift" : "sag"];
    return {
      part,
      plan,
      segment,
      shape: driftShape(part, plan, segment.frames, joint, setup.sheet.down),
      plain: this.judged(plain, frames).hold,
      bandPx,
      full: fullSize(bandPx),
      shown: [],
      result: null,
    };
  }

  /** A hold alone, in px of the original frame, with all else that is judged. */
  private judged(
    series: SegmentSeries,
    frames: readonly AnalysedFrame[],
  ): { readonly input: JudgeInput; readonly hold: Hold } {
    const { job, setup } = this.source;
    const input = judgeInput(job, setup, frames, [series.segment.part], [series]);
    return { input, hold: input.holds[0] };
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
      if (this.round < ROUNDS) {
        const step = this.stepOf(group);
        if (step !== null) return step;
      }
      for (const one of group) this.close(one);
    }
    return null;
  }

  private stepOf(group: readonly Proving[]): ReturnType<Prover["next"]> {
    const sizes = new Map(
      group.map((one) => [one, this.round === 0 ? firstSizes(one.full) : sizesBetween(one.shown)] as const),
    );
    const most = Math.max(...[...sizes.values()].map(({ length }) => length));
    if (most === 0) return null;
    const injections: Injection[] = [];
    for (let k = 0; k < most; k++) {
      const id = `${this.group + 1}.${this.round + 1}.${k + 1}`;
      const now = new Map([...sizes].flatMap(([one, list]) => (k < list.length ? [[one, list[k]] as const] : [])));
      this.runs.set(id, { sizes: now, grids: new Map(), parts: new Map() });
      injections.push({
        id,
        drifts: [...now].map(([{ plan, shape }, size]) => ({
          hold: plan.id,
          motions: putMotions(shape, size / this.scale, this.source.series.measured.get(plan.id) ?? nothing),
        })),
      });
    }
    const frames = new Set(group.flatMap(({ shape }) => shape.frames));
    return { frames: [...frames].sort((a, b) => a - b), injections };
  }

  /** How many more frames there are to measure at most, for the progress. */
  framesAhead(): number {
    const later = this.groups.slice(this.group + 1).map((group) => ROUNDS * this.framesOf(group));
    const now =
      this.group < this.groups.length ? (ROUNDS - 1 - this.round) * this.framesOf(this.groups[this.group]) : 0;
    return Math.max(0, now) + later.reduce((sum, frames) => sum + frames, 0);
  }

  private framesOf(group: readonly Proving[]): number {
    return new Set(group.flatMap(({ shape }) => shape.frames)).size;
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

  /** Judges every part of an injection by itself. */
  private read({ sizes, grids, parts }: Run): void {
    const { series } = this.source;
    const frames = series.tracker.settledWith(grids);
    const cameras = new Map(frames.map((frame) => [frame.frame, frame.camera] as const));
    for (const [one, size] of sizes) {
      const { plan, segment } = one;
      const rows = new Map([...(series.measured.get(plan.id) ?? nothing), ...(parts.get(plan.id) ?? nothing)]);
      const injected = heldSeries({ ...series, cameras, measured: new Map([[plan.id, rows]]) }, segment, plan);
      const { input, hold } = this.judged(injected, frames);
      const { hold: own, taken } = withoutOwnDrift(hold, one.plain, input.frames);
      const opened = Object.fromEntries(pxBandKeys.map((key) => [key, 0]));
      const flag = this.flagOf(one, { ...input, holds: [own], bands: opened });
      one.shown.push({ px: size, flagged: flag !== null && this.isRight(one, flag), sigma: flag?.sigma ?? Number.NaN });
      if (size === one.full) one.result = this.resultOf(one, hold, { ...input, holds: [own] }, taken);
    }
  }

  /** The flag on a part: the one that is right where there are several. */
  private flagOf(one: Proving, input: JudgeInput) {
    const flags = judge(input).flags.filter(({ part }) => part === one.part.id);
    return flags.find((flag) => this.isRight(one, flag)) ?? flags[0] ?? null;
  }

  private kindOf({ part }: Proving): "set-shift" | "sag" {
    return isSetKind(part.kind) ? "set-shift" : "sag";
  }

  private isRight(one: Proving, { kind, direction }: ReturnType<typeof judge>["flags"][number]): boolean {
    const [x, y] = this.wayOf(one);
    return kind === this.kindOf(one) && direction !== null && direction[0] * x + direction[1] * y > SAME_WAY;
  }

  /** Known displacement of the place that goes farthest, px of the original frame. */
  private known(one: Proving, size: number, frame: FrameNumber): readonly [number, number] {
    const { shape, plan } = one;
    const measured = this.source.series.measured.get(plan.id)?.get(frame);
    const [x, y] = knownAt(shape, size / this.scale, frame, measured, shape.far);
    return [x * this.scale, y * this.scaleY];
  }

  private wayOf(one: Proving): readonly [number, number] {
    const [x, y] = this.known(one, one.full, one.shape.frames[one.shape.frames.length - 1]);
    const length = Math.hypot(x, y);
    return [x / length, y / length];
  }

  private resultOf(one: Proving, hold: Hold, input: JudgeInput, taken: boolean): Proving["result"] {
    const { shape, part, full, plain, bandPx } = one;
    const known = new Map(shape.frames.map((frame) => [frame, this.known(one, full, frame)] as const));
    const far: [number, number] = [shape.far[0] * this.scale, shape.far[1] * this.scaleY];
    const direction = this.wayOf(one);
    const { frames, cameBack } = whatCameBack(hold, plain, far, known, direction, TOLERANCE * this.scale);
    const measured = frames.filter(({ measuredPx }) => measuredPx !== null).length;
    if (cameBack === null || measured < LEAST_MEASURED * frames.length) {
      const reasons = hold.rows.filter((row) => !Number.isFinite(row.dx)).map(({ reason }) => reason);
      this.leaveOut(part, reasons[0] === undefined || reasons[0] === "" ? "it gives no number" : reasons[0]);
      return null;
    }
    const last = shape.frames[shape.frames.length - 1];
    const flag = this.flagOf(one, input);
    const named = flag === null ? [] : [flag.joint, ...(flag.alsoJoints ?? [])];
    return {
      part: part.id,
      name: part.name,
      kind: part.kind,
      anchor: one.plan.anchor,
      from: shape.frames[0],
      to: last,
      put: {
        px: px(full),
        at: [px(far[0]), px(far[1])],
        direction: [direction[0], direction[1]],
        turn: radians(driftAt(shape, full / this.scale, last).turn),
        joint: shape.joint?.id ?? null,
      },
      bandPx: px(bandPx),
      ownDriftTakenOff: taken,
      frames,
      cameBack,
      flag:
        flag === null
          ? null
          : {
              kind: flag.kind,
              rightKind: this.isRight(one, flag),
              px: flag.px,
              sigma: flag.sigma,
              from: flag.from,
              to: flag.to,
              joint: flag.joint,
              rightJoint: shape.joint === null ? null : named.includes(shape.joint.id),
            },
    };
  }

  /** All that is known of a part, once its sizes are tried. */
  private close(one: Proving): void {
    const { result, shown, part } = one;
    if (result === null) {
      if (!this.notProved.some((other) => other.part === part.id)) this.leaveOut(part, "its frames could not be read");
      return;
    }
    const edge = edgeOf(shown);
    const at = shown.find(({ px: size }) => size === edge?.seen);
    // Another shot of the same noise would show it at a size that is off by what the noise makes of it.
    const smallest =
      edge === null || at === undefined
        ? null
        : {
            px: px(edge.seen),
            sigma: px(Math.hypot(at.sigma, (edge.seen - (edge.notSeen ?? 0)) / Math.sqrt(12))),
            notSeenPx: edge.notSeen === null ? null : px(edge.notSeen),
          };
    const tried = shown.toSorted((a, b) => a.px - b.px).map(({ px: size, flagged }) => ({ px: px(size), flagged }));
    const told = { ...result, smallest, tried };
    const names = new Map(one.plain.joints.map(({ id, name }) => [id, name] as const));
    const noun = this.kindOf(one) === "sag" ? "sag" : "shift";
    const message = proofWords(told, noun, (id) => names.get(id) ?? id);
    this.proved.set(part.id, { ...told, message });
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
