import { polygonCentroid } from "../measure/mask.ts";
import {
  type AnimatedReport,
  carrierChain,
  createPart,
  intentAt,
  type Part,
  type Report,
  type Warning,
} from "../model/index.ts";
import type {
  Answer,
  CheckJob,
  FrameFile,
  FrameHeader,
  FrameOutcome,
  HoldPlan,
  JudgeWorker,
  MeasurePlan,
  PlannedCamera,
  Step,
  Survey,
  Task,
} from "./contract.ts";
import { type FrameNumber, px } from "../units/index.ts";
import { buildReport, judgeInput } from "./build-report.ts";
import { Prover } from "./proof/prover.ts";
import type { SeriesSource } from "./segment-series.ts";
import type { FrameMeasurement, GridMeasurement, LeftOverMeasurement, PartMeasurement } from "./measurement.ts";
import { leftOverSeries, type SeedMotion } from "./left-over-series.ts";
import { carried, carryOf } from "../measure/carry.ts";
import { cameraStep } from "./camera.ts";
import { outlinesThatMoved } from "./judge.ts";
import type { Ring } from "./kinds/evidence/rigid.ts";
import { surfaceEvidence } from "./kinds/evidence/surface-evidence.ts";
import { holdId } from "./shot-series.ts";
import type { LeftOverSeries } from "./series.ts";
import { type LeftOverSurface, leftOverSurfaces } from "./left-over-plan.ts";
import { type CloserLook, closerLook, lookedAt } from "./closer-look.ts";
import { animatedPieces, animatedWithMargin, type FoundPiece, foundPieces, placeInWords } from "./found-parts.ts";
import { interleavedPasses } from "./interleaved.ts";
import { outsidePart, outsidePieces } from "./outside-parts.ts";
import { PartPath, type Shape, type ShapeKey } from "./part-path.ts";
import { allSegments, holdPlan, needsTemplate, shotSeries } from "./shot-series.ts";
import { type Segment, segmentsOf } from "./segments.ts";
import { setUpShot, type ShotSetup } from "./shot-setup.ts";
import { type AnalysedPart, type PartSource, ShotTracker } from "./shot-tracker.ts";

/** Frames a task. Short, so that results appear soon; each task but the first decodes one frame twice. */
const CHUNK = 4;
/** Frames that the noise is told from. */
const SURVEYED = 3;
/**
 * While a check runs the report goes out first at this share of the shot, and then whenever twice as many frames are
 * through: each judges them all anew.
 */
const FIRST_REPORT = 1 / 6;
const REPORT_AGAIN = 2;

function chunks<T>(items: readonly T[], size: number): T[][] {
  const out: T[][] = [];
  for (let i = 0; i < items.length; i += size) out.push(items.slice(i, i + size));
  return out;
}

/** First and last frame of every run. */
function stretchesOf(
  moves: readonly boolean[],
  frames: readonly FrameNumber[],
): { readonly from: FrameNumber; readonly to: FrameNumber }[] {
  const out: { from: FrameNumber; to: FrameNumber }[] = [];
  frames.forEach((frame, i) => {
    if (!moves[i]) return;
    if (i > 0 && moves[i - 1]) out[out.length - 1].to = frame;
    else out.push({ from: frame, to: frame });
  });
  return out;
}

/** A part with its places in px of the analysed frame. */
function partSource(part: Part, scaleX: number, scaleY: number): PartSource {
  const point = ([x, y]: readonly [number, number]): [number, number] => [x * scaleX, y * scaleY];
  return {
    part,
    keys: part.outlines.map((outline) => ({
      frame: outline.frame,
      outline: outline.points.map(point),
      holes: outline.holes.map((hole) => hole.map(point)),
    })),
    joints: part.joints.map((joint) => ({ id: joint.id, name: joint.name, frame: joint.frame, at: point(joint.at) })),
  };
}

/** One check of one shot, step by step. */
class Session {
  private readonly headers = new Map<FrameNumber, FrameHeader>();
  private readonly failures = new Map<FrameNumber, string>();
  private readonly decodeFailures = new Map<FrameNumber, string>();
  private setup: ShotSetup | null = null;
  private tracker: ShotTracker | null = null;
  private sources: readonly PartSource[] = [];
  private found: AnalysedPart[] = [];
  private outside: AnalysedPart[] = [];
  /** What the cells hint at where there is no sheet, and the closer look at it: null where there is nothing to look at. */
  private hints: readonly FoundPiece[] | null = null;
  private look: CloserLook | null = null;
  private animated: AnimatedReport[] = [];
  private readonly holds = new Map<string, HoldPlan>();
  private readonly measured = new Map<string, Map<FrameNumber, PartMeasurement>>();
  private surfaces: readonly LeftOverSurface[] = [];
  /** By surface, then by frame. */
  private readonly leftOvers = new Map<string, Map<FrameNumber, LeftOverMeasurement>>();
  private plan: MeasurePlan | null = null;
  private cameras: readonly PlannedCamera[] = [];
  private readonly followed = new Map<FrameNumber, GridMeasurement>();
  private survey: Survey | null = null;
  private phase: "inspect" | "reference" | "measure" | "follow" | "look" | "again" | "prove" | "done" = "inspect";
  private prover: Prover | null = null;
  private readonly open = new Map<string, Task>();
  private tasks = 0;
  private done = 0;
  private total = 0;
  /** Frames that the last report on the way was made of. */
  private lastReport = 0;

  constructor(private readonly job: CheckJob) {
    this.total = 2 * job.frames.length;
  }

  start(): Answer<Step> {
    if (this.job.frames.length === 0)
      return { ok: false, code: "nothing-to-check", detail: `${this.job.folder}: no frames` };
    return this.step(
      chunks(this.job.frames, 16).map((frames) => ({ id: this.nextId("inspect"), kind: "inspect" as const, frames })),
    );
  }

  take(taskId: string, outcomes: readonly FrameOutcome[]): Answer<Step> {
    if (!this.open.delete(taskId)) return { ok: false, code: "internal", detail: `no task ${taskId} is open` };
    for (const outcome of outcomes) this.absorb(outcome);
    this.done += outcomes.length;
    if (this.open.size > 0) return this.step([], this.isReportDue() ? this.report(true) : null);
    switch (this.phase) {
      case "inspect":
        return this.afterInspection();
      case "reference":
        return this.afterReference();
      case "measure":
        return this.follow() ?? this.afterMeasurement();
      case "follow":
        this.tracker?.followed(this.followed);
        return this.afterMeasurement();
      case "look":
        return this.afterMeasurement();
      case "prove":
        return this.proveOn(null);
      default:
        return this.finish();
    }
  }

  /** The check is through; what it was asked to prove comes after it. */
  private finish(): Answer<Step> {
    const report = this.report();
    if (this.job.prove === undefined) {
      this.phase = "done";
      return this.step([], report);
    }
    const { part } = this.job.prove;
    const known = this.parts().map((one) => one.part.id);
    if (known.length === 0 || (part !== null && !known.includes(part)))
      return { ok: false, code: "nothing-to-check", detail: this.whyNoPart(part, known) };
    const series = this.seriesSource(this.parts());
    this.prover = new Prover({
      job: this.job,
      setup: this.setup!,
      series,
      segments: allSegments(series.parts, series.tracker.numbers, this.setup!.sheet.marks),
      frames: series.tracker.settledFrames(),
    });
    this.phase = "prove";
    return this.proveOn(report);
  }

  private whyNoPart(part: string | null, known: readonly string[]): string {
    const { folder } = this.job;
    if (known.length === 0) return `${folder}: no part is known to put a drift into: it takes a sheet with held parts`;
    return `there is no part "${part}" in ${folder}; there are: ${known.join(", ")}`;
  }

  private proveOn(report: Report | null): Answer<Step> {
    const prover = this.prover!;
    const next = prover.next();
    if (next === null) {
      this.phase = "done";
      return this.step([], report);
    }
    this.total = this.done + next.frames.length + prover.framesAhead();
    return this.step(
      chunks(next.frames, CHUNK).map((frames) => ({
        id: this.nextId("prove"),
        kind: "prove" as const,
        revision: this.plan!.revision,
        frames,
        injections: next.injections,
      })),
      report,
    );
  }

  private nextId(kind: string): string {
    this.tasks++;
    return `${kind}-${this.tasks}`;
  }

  private step(tasks: readonly Task[], report: Report | null = null, plan: MeasurePlan | null = null): Answer<Step> {
    for (const task of tasks) this.open.set(task.id, task);
    return {
      ok: true,
      value: {
        plan,
        tasks,
        done: this.done,
        total: Math.max(this.total, this.done),
        report,
        ...(this.phase === "done" && this.prover !== null ? { proof: this.prover.proof() } : {}),
        finished: this.phase === "done",
      },
    };
  }

  private absorb(outcome: FrameOutcome): void {
    switch (outcome.kind) {
      case "header":
        this.headers.set(outcome.frame, outcome.header);
        break;
      case "failed":
        if (this.phase === "inspect") this.failures.set(outcome.frame, outcome.reason);
        else this.decodeFailures.set(outcome.frame, outcome.reason);
        break;
      case "measured":
        for (const part of outcome.measurement.parts) {
          const id = [...this.holds.values()].find(
            (hold) => hold.part === part.part && hold.anchor === part.anchor,
          )?.id;
          if (id === undefined) continue;
          const rows = this.measured.get(id) ?? new Map<FrameNumber, PartMeasurement>();
          rows.set(outcome.frame, part);
          this.measured.set(id, rows);
        }
        for (const one of outcome.measurement.leftOvers ?? []) {
          const rows = this.leftOvers.get(one.plan) ?? new Map<FrameNumber, LeftOverMeasurement>();
          rows.set(outcome.frame, one);
          this.leftOvers.set(one.plan, rows);
        }
        if (this.phase === "follow") this.keepGrid(outcome.measurement);
        else this.tracker?.take(outcome.measurement);
        this.survey = outcome.survey ?? this.survey;
        break;
      case "proved":
        this.prover?.take(outcome.frame, outcome.runs);
        break;
    }
  }

  private usable(setup: ShotSetup): FrameFile[] {
    return setup.files.filter((file) => !this.decodeFailures.has(file.frame));
  }

  private afterInspection(): Answer<Step> {
    const result = setUpShot(this.job, this.headers, this.failures);
    if ("refusals" in result) return { ok: false, code: "sheet-refused", detail: result.refusals.join("\n") };
    if ("nothing" in result) return { ok: false, code: "nothing-to-check", detail: result.nothing };
    this.setup = result.setup;
    const ids = result.setup.sheet.parts.map((part) => part.id);
    const wanted = this.job.prove?.part ?? null;
    if (wanted !== null && ids.length > 0 && !ids.includes(wanted))
      return { ok: false, code: "nothing-to-check", detail: this.whyNoPart(wanted, ids) };
    this.total = this.done + result.setup.files.length;
    this.phase = "reference";
    return this.tryReference();
  }

  /** The first frame that can be decoded is what all others are measured against. */
  private tryReference(): Answer<Step> {
    const setup = this.setup!;
    const files = this.usable(setup);
    if (files.length < 2)
      return {
        ok: false,
        code: "nothing-to-check",
        detail: [`Fewer than two frames of ${this.job.folder} could be decoded.`, ...this.decodeFailures.values()].join(
          "\n",
        ),
      };
    const sx = setup.analysisWidth / setup.width;
    const sy = setup.analysisHeight / setup.height;
    this.sources = setup.sheet.parts.map((part) => partSource(part, sx, sy));
    this.tracker = new ShotTracker(this.sources, setup.analysisWidth, setup.analysisHeight);
    this.holds.clear();
    for (const hold of this.firstHolds(files.map((file) => file.frame))) this.holds.set(hold.id, hold);
    const plan = this.nextPlan(files);
    const task: Task = {
      id: this.nextId("measure"),
      kind: "measure",
      revision: plan.revision,
      frames: [files[0].frame],
      grids: true,
      holds: [],
      ...(this.isSurveyed() ? {} : { survey: files.slice(0, SURVEYED).map((file) => file.frame) }),
    };
    return this.step([task], null, plan);
  }

  private nextPlan(files: readonly FrameFile[]): MeasurePlan {
    const setup = this.setup!;
    this.plan = {
      revision: (this.plan?.revision ?? 0) + 1,
      frames: files,
      width: setup.analysisWidth,
      height: setup.analysisHeight,
      analysisWidth: setup.analysisWidth,
      reference: files[0].frame,
      holds: [...this.holds.values()],
      ...(this.cameras.length > 0 ? { cameras: this.cameras } : {}),
      ...(this.survey === null ? {} : { channel: this.survey.channel }),
      ...(this.survey?.noise?.curve ? { curve: this.survey.noise.curve } : {}),
      leftOvers: [...this.surfaces.map((surface) => surface.plan), ...(this.look === null ? [] : [this.look.plan])],
    };
    return this.plan;
  }

  private isSurveyed(): boolean {
    return this.survey !== null && this.survey.noise !== null;
  }

  /** Holds whose outline at the anchor is the one drawn: nothing has to be measured before they can be. */
  private firstHolds(frames: readonly FrameNumber[]): HoldPlan[] {
    const setup = this.setup!;
    const out: HoldPlan[] = [];
    const declared = this.sources.filter(({ part }) => frames.every((frame) => intentAt(part, frame) !== null));
    const segments = new Map<string, Segment[]>(
      declared.map(({ part }) => [part.id, segmentsOf(part, frames, [], setup.sheet.marks)] as const),
    );
    for (const { part, keys } of declared) {
      for (const segment of segments.get(part.id) ?? []) {
        // What rides is cut by its carrier's segments: those may still have to be found.
        if (segment.intent === "rides" || !needsTemplate(segment, segments)) continue;
        // Where a swapped piece is when it is first worn depends on where its carrier went.
        if (segment.piece !== undefined && part.carrier !== null && !this.isHeldThroughout(part.carrier, frames))
          continue;
        const shape = this.drawnAt(part, keys, segment.frames[0], frames);
        if (shape !== null)
          out.push(
            holdPlan(
              segment,
              shape,
              this.coversOf(part, (source) => this.keyAt(source, segment.frames[0])),
            ),
          );
      }
    }
    return out;
  }

  /** Outlines of what is swapped on a part, at first or second hand. */
  private coversOf(part: Part, shapeOf: (source: PartSource) => Shape): Shape["outline"][] {
    const { sheet } = this.setup!;
    return this.sources
      .filter((source) => source.part.intents.some(({ intent }) => intent === "swapped"))
      .filter((source) => source.part !== part && carrierChain(sheet, source.part.id).includes(part))
      .map((source) => shapeOf(source).outline);
  }

  private keyAt({ keys }: PartSource, frame: FrameNumber): Shape {
    return keys.findLast((key) => key.frame <= frame) ?? keys[0];
  }

  private isHeldThroughout(id: string, frames: readonly FrameNumber[]): boolean {
    const carrier = this.setup!.sheet.parts.find((part) => part.id === id);
    return carrier !== undefined && frames.every((frame) => intentAt(carrier, frame)?.intent === "holds");
  }

  /** The outline at a frame where it is the one drawn, since the part did not move in between; else null. */
  private drawnAt(
    part: Part,
    keys: readonly ShapeKey[],
    frame: FrameNumber,
    frames: readonly FrameNumber[],
  ): Shape | null {
    const key = keys.findLast((one) => one.frame <= frame) ?? keys[0];
    const low = Math.min(key.frame, frame);
    const high = Math.max(key.frame, frame);
    for (const between of frames) {
      if (between < low || between > high) continue;
      const intent = intentAt(part, between)?.intent;
      // At the later of the two the motion into that frame counts, at the earlier one it doesn't.
      if ((intent === "moves" || intent === "rides") && between !== low) return null;
      if (intent === "moves" && between === low && low !== high) return null;
    }
    return key;
  }

  private afterReference(): Answer<Step> {
    const setup = this.setup!;
    const files = this.usable(setup);
    if (this.decodeFailures.has(this.plan!.reference)) return this.tryReference();
    // The shot is measured as its first frames ask for: from here on all the same, the reference again where that differs.
    const { channel = "luma", curve } = this.plan!;
    if (this.survey !== null && (this.survey.channel !== channel || (this.survey.noise?.curve && curve === undefined)))
      return this.tryReference();
    this.phase = "measure";
    this.total = this.done + files.length - 1;
    const holds = [...this.holds.keys()];
    const frames = files.slice(1).map((file) => file.frame);
    return this.step(
      chunks(frames, CHUNK).map((part) => ({
        id: this.nextId("measure"),
        kind: "measure" as const,
        revision: this.plan!.revision,
        frames: part,
        grids: true,
        holds,
      })),
    );
  }

  private parts(): AnalysedPart[] {
    return [...(this.tracker?.parts ?? []), ...this.found];
  }

  /** Parts, and what was found outside of them all. */
  private watched(): AnalysedPart[] {
    return [...this.parts(), ...this.outside];
  }

  /** Where the picture left its reference, that is looked for again by what the frames before say; null where it didn't. */
  private follow(): Answer<Step> | null {
    const cameras = this.tracker?.toFollow() ?? [];
    if (cameras.length === 0) return null;
    const lost = new Set(this.tracker!.frames.filter(({ camera }) => camera === null).map(({ frame }) => frame));
    const frames = cameras.map(({ frame }) => frame).filter((frame) => lost.has(frame));
    this.phase = "follow";
    this.cameras = cameras;
    this.total = this.done + frames.length;
    const plan = this.nextPlan(this.usable(this.setup!));
    return this.step(
      chunks(frames, CHUNK).map((part) => ({
        id: this.nextId("follow"),
        kind: "measure" as const,
        revision: plan.revision,
        frames: part,
        grids: true,
        pairs: false as const,
        holds: [...this.holds.keys()],
      })),
      null,
      plan,
    );
  }

  private keepGrid({ frame, grid }: FrameMeasurement): void {
    if (grid !== null) this.followed.set(frame, grid);
  }

  private afterMeasurement(): Answer<Step> {
    const setup = this.setup!;
    const tracker = this.tracker!;
    if (!setup.hasSheet || setup.sheet.parts.length === 0) {
      const look = this.lookCloser(tracker);
      if (look !== null) return look;
      this.found = this.findParts(tracker);
    } else this.outside = this.findOutside(tracker);
    const numbers = tracker.numbers;
    if (numbers.length < 2)
      return {
        ok: false,
        code: "nothing-to-check",
        detail: [`Fewer than two frames of ${this.job.folder} could be decoded.`, ...this.decodeFailures.values()].join(
          "\n",
        ),
      };
    const segments = allSegments(this.watched(), numbers, setup.sheet.marks);
    const wanted: HoldPlan[] = [];
    for (const analysed of this.watched())
      for (const segment of segments.get(analysed.part.id) ?? []) {
        if (!needsTemplate(segment, segments)) continue;
        const anchor = segment.frames[0];
        const known = [...this.holds.values()].find((hold) => hold.part === analysed.part.id && hold.anchor === anchor);
        if (known !== undefined && this.measured.has(known.id)) continue;
        const shapeOf = ({ path }: AnalysedPart): Shape => path.shapes.get(anchor) ?? path.shapeNear(anchor);
        const covers = this.coversOf(analysed.part, ({ part }) =>
          shapeOf(this.parts().find((one) => one.part === part)!),
        );
        wanted.push(holdPlan(segment, shapeOf(analysed), covers));
      }
    for (const hold of wanted) this.holds.set(hold.id, hold);
    const { analysisWidth, analysisHeight } = setup;
    const { holds: plans, measured } = this;
    this.look = null;
    this.surfaces = leftOverSurfaces(this.parts(), segments, numbers, plans, measured, analysisWidth, analysisHeight);
    if (wanted.length === 0 && this.surfaces.length === 0) return this.finish();
    this.phase = "again";
    const plan = this.nextPlan(this.usable(setup));
    const frames = numbers.filter(
      (frame) =>
        wanted.some((hold) => frame >= hold.from && frame <= hold.to) ||
        this.surfaces.some((surface) => surface.plan.steps.some((step) => step.frame === frame)),
    );
    this.total = this.done + frames.length;
    return this.step(
      chunks(frames, CHUNK).map((part) => ({
        id: this.nextId("again"),
        kind: "measure" as const,
        revision: plan.revision,
        frames: part,
        grids: false,
        holds: wanted.map((hold) => hold.id),
        leftOvers: this.surfaces.map((surface) => surface.plan.id),
      })),
      null,
      plan,
    );
  }

  /** Looks closely at what the cells hint at, once; null where that is done or there is nothing. */
  private lookCloser(tracker: ShotTracker): Answer<Step> | null {
    if (this.hints !== null) return null;
    const { analysisWidth, analysisHeight } = this.setup!;
    const { cells } = tracker;
    const history = tracker.history();
    this.hints = foundPieces(cells, history, analysisWidth, analysisHeight);
    const masked = animatedWithMargin(cells);
    const isMasked = (x: number, y: number): boolean => masked[cells.cellAt(x, y)] === 1;
    this.look = closerLook(this.hints, history, analysisWidth, analysisHeight, isMasked);
    if (this.look === null) return null;
    this.phase = "look";
    const plan = this.nextPlan(this.usable(this.setup!));
    const frames = this.look.plan.steps.map(({ frame }) => frame);
    this.total = this.done + frames.length;
    return this.step(
      chunks(frames, CHUNK).map((part) => ({
        id: this.nextId("look"),
        kind: "measure" as const,
        revision: plan.revision,
        frames: part,
        grids: false,
        holds: [],
        leftOvers: [this.look!.plan.id],
      })),
      null,
      plan,
    );
  }

  /** What was hinted at, as the closer look shows it. */
  private foundPieces(): readonly FoundPiece[] {
    const { look, hints } = this;
    if (look === null || hints === null) return hints ?? [];
    return lookedAt(look, this.leftOvers.get(look.plan.id) ?? new Map(), hints);
  }

  /** Pieces of the picture that drifted, as parts: named by place, kind not told. */
  private findParts(tracker: ShotTracker): AnalysedPart[] {
    const setup = this.setup!;
    const sx = setup.width / setup.analysisWidth;
    const sy = setup.height / setup.analysisHeight;
    const first = tracker.numbers[0];
    this.animated = animatedPieces(tracker.cells, tracker.numbers.length).map(({ outline, moves }, i) => {
      const { x, y } = polygonCentroid(outline);
      return {
        id: `animated-${i + 1}`,
        name: `animated-${i + 1}: ${placeInWords(x, y, setup.analysisWidth, setup.analysisHeight)}`,
        outline: outline.map(([u, v]) => [px(u * sx), px(v * sy)] as const),
        moves: stretchesOf(moves, tracker.numbers),
      };
    });
    return this.foundPieces().map((piece, i) => {
      const { x, y } = polygonCentroid(piece.outline);
      const part = createPart({
        id: `found-${i + 1}`,
        name: `found-${i + 1}: ${placeInWords(x, y, setup.analysisWidth, setup.analysisHeight)}`,
        kind: "found",
        outlines: [
          { frame: first, points: piece.outline.map(([u, v]) => [px(u * sx), px(v * sy)] as const), holes: [] },
        ],
      });
      const path = new PartPath([{ frame: first, outline: piece.outline, holes: [] }]);
      path.start(first);
      return { part, path, moves: tracker.numbers.map(() => false), joints: [] };
    });
  }

  /** Pieces of the set outside all outlines; none where the camera moves, since near and far then move apart. */
  private findOutside(tracker: ShotTracker): AnalysedPart[] {
    const { sheet, width, height, analysisWidth, analysisHeight } = this.setup!;
    if (sheet.camera.some(({ intent }) => intent === "moves")) return [];
    const [scaleX, scaleY] = [width / analysisWidth, height / analysisHeight];
    const size = { width: analysisWidth, height: analysisHeight, scaleX, scaleY };
    return outsidePieces(tracker, analysisWidth, analysisHeight).map((piece, i) =>
      outsidePart(piece, `outside-${i + 1}`, tracker, size),
    );
  }

  private isReportDue(): boolean {
    if (this.phase !== "measure" || this.tracker === null) return false;
    const frames = this.tracker.frames.length;
    const least = Math.max(2, FIRST_REPORT * this.setup!.files.length, REPORT_AGAIN * this.lastReport);
    if (frames < least) return false;
    this.lastReport = frames;
    return true;
  }

  private seriesSource(parts: readonly AnalysedPart[]): SeriesSource {
    const setup = this.setup!;
    const tracker = this.tracker!;
    const frames = tracker.settledFrames();
    return {
      tracker,
      parts,
      sheet: setup.sheet,
      width: setup.analysisWidth,
      height: setup.analysisHeight,
      cameras: new Map(frames.map((frame) => [frame.frame, frame.camera] as const)),
      holds: this.holds,
      measured: this.measured,
    };
  }

  private report(onTheWay = false): Report {
    const setup = this.setup!;
    const tracker = this.tracker!;
    const parts = this.watched();
    const segments = allSegments(parts, tracker.numbers, setup.sheet.marks);
    const leftOvers = this.leftOverSeries();
    const outside = new Set(this.outside.map(({ part }) => part.id));
    const surfaces = surfaceEvidence({ leftOvers });
    const watched = parts.map((one) => one.part);
    if (!onTheWay) {
      // Twice: what moved by the camera as it is first told pulled it, and is left out of it then. Once only, at the end: a
      // long shot's camera takes its time, and what is told on the way must not decide what is looked for later.
      const first = shotSeries(this.seriesSource(parts), segments);
      const asFirstTold = judgeInput(this.job, setup, tracker.settledFrames(), watched, first, leftOvers, outside);
      tracker.leaveOut(this.analysed(outlinesThatMoved(asFirstTold, surfaces)));
    }
    const frames = tracker.settledFrames();
    const series = shotSeries(this.seriesSource(parts), segments);
    const retaken = tracker.referencesTaken();
    const warnings: Warning[] = [
      ...retaken.map(({ frame, used }) => ({
        code: "reference-taken-again",
        detail: `the picture left the first frame: the camera of ${used} frames is told against frame ${frame}, whose own error adds to theirs`,
        frame,
      })),
      ...setup.warnings,
      ...[...this.decodeFailures].map(([frame, detail]) => ({ code: "frame-unreadable", detail, frame })),
      ...interleavedPasses(frames.map(({ light }) => light?.stops ?? Number.NaN)),
      ...frames
        .filter((frame) => frame.camera === null)
        .map(({ frame }) => ({
          code: "camera-unknown",
          detail: `frame ${frame}: the camera can't be told from the set, so no drift is told in it`,
          frame,
        })),
    ];
    const report = buildReport(
      this.job,
      setup,
      frames,
      watched,
      series,
      warnings,
      this.survey,
      leftOvers,
      tracker.strayThings(),
      outside,
      surfaces,
    );
    return this.animated.length === 0 ? report : { ...report, animated: this.animated };
  }

  /** Outlines of the original frame, px of the analysed one. */
  private analysed(outlines: readonly Ring[]): Ring[] {
    const { width, height, analysisWidth, analysisHeight } = this.setup!;
    const [scaleX, scaleY] = [analysisWidth / width, analysisHeight / height];
    return outlines.map((outline) => outline.map(([x, y]) => [x * scaleX, y * scaleY] as const));
  }

  /** What the surfaces did over what they ride on, as far as it was measured. */
  private leftOverSeries(): LeftOverSeries[] {
    const { width, height, analysisWidth, analysisHeight } = this.setup!;
    return this.surfaces.flatMap((surface) => {
      const rows = this.leftOvers.get(surface.plan.id);
      const { numbers } = this.tracker!;
      if (rows === undefined) return [];
      const [scaleX, scaleY] = [width / analysisWidth, height / analysisHeight];
      return leftOverSeries(surface, rows, this.parts(), numbers, scaleX, scaleY, this.seedMotionOf(surface));
    });
  }

  /** What the nodes of a held surface were sought by, beyond the camera: as the measurer knew it. */
  private seedMotionOf({ plan }: LeftOverSurface): SeedMotion {
    const { analysisWidth, analysisHeight } = this.setup!;
    const cameras = new Map(this.tracker!.frames.map(({ frame, camera }) => [frame, camera] as const));
    const id = holdId(plan.part, plan.anchor);
    const centroid = this.holds.get(id)?.centroid;
    return (step, x, y) => {
      const row = this.measured.get(id)?.get(step.frame);
      const own =
        row === undefined || centroid === undefined || !Number.isFinite(row.dx)
          ? null
          : carryOf(centroid[0], centroid[1], row.dx, row.dy, row.turn);
      const motion = step.motion ?? own;
      const [from, to] = [cameras.get(step.against) ?? null, cameras.get(step.frame) ?? null];
      if (motion === null || from === null || to === null) return null;
      const [toX, toY] = carried(motion, x, y);
      const camera = cameraStep(from, to, x, y, analysisWidth, analysisHeight);
      return [toX - x - camera.dx, toY - y - camera.dy];
    };
  }
}

/** The judging worker: one a check. */
export function createJudge(): JudgeWorker {
  let session: Session | null = null;
  const guarded = (act: () => Answer<Step>): Promise<Answer<Step>> => {
    try {
      return Promise.resolve(act());
    } catch (error) {
      return Promise.resolve({
        ok: false,
        code: "internal",
        detail: error instanceof Error ? (error.stack ?? error.message) : String(error),
      });
    }
  };
  return {
    open: (job) =>
      guarded(() => {
        session = new Session(job);
        return session.start();
      }),
    take: (taskId, outcomes) =>
      guarded(() => session?.take(taskId, outcomes) ?? { ok: false, code: "internal", detail: "no check is open" }),
  };
}
