import type { Report } from "../model/index.ts";
import type {
  Answer,
  CheckJob,
  FrameFile,
  FrameHeader,
  FrameOutcome,
  JudgeWorker,
  LeftOverPlan,
  MeasurePlan,
  Step,
  Task,
} from "./contract.ts";
import type { FrameNumber } from "../units/index.ts";
import { FoundInPictures } from "./found-in-pictures.ts";
import { firstHolds, furtherHolds, partSource } from "./hold-plans.ts";
import { KeptMeasurements } from "./kept-measurements.ts";
import { type LeftOverSurface, leftOverSurfaces } from "./left-over-plan.ts";
import { seriesSource } from "./measured-series.ts";
import { MeasurePlans } from "./measure-plans.ts";
import type { GridMeasurement } from "./measurement.ts";
import { OpenTasks } from "./open-tasks.ts";
import { Prover } from "./proof/prover.ts";
import { ReportPace } from "./report-pace.ts";
import { shotReport } from "./shot-report.ts";
import { allSegments } from "./shot-series.ts";
import { setUpShot, type ShotSetup } from "./shot-setup.ts";
import { type AnalysedPart, type PartSource, ShotTracker } from "./shot-tracker.ts";

/** Frames that the noise is told from. */
const SURVEYED = 3;

/** One check of one shot, step by step: which phase it is in, and what is measured next. */
class Session {
  private readonly headers = new Map<FrameNumber, FrameHeader>();
  private readonly failures = new Map<FrameNumber, string>();
  private readonly decodeFailures = new Map<FrameNumber, string>();
  private setup: ShotSetup | null = null;
  private tracker: ShotTracker | null = null;
  private found: FoundInPictures | null = null;
  private sources: readonly PartSource[] = [];
  private readonly kept = new KeptMeasurements();
  private surfaces: readonly LeftOverSurface[] = [];
  private readonly plans = new MeasurePlans();
  private readonly followed = new Map<FrameNumber, GridMeasurement>();
  private phase: "inspect" | "reference" | "measure" | "follow" | "look" | "again" | "prove" | "done" = "inspect";
  private prover: Prover | null = null;
  private readonly tasks: OpenTasks;
  private readonly pace = new ReportPace();

  constructor(private readonly job: CheckJob) {
    this.tasks = new OpenTasks(2 * job.frames.length);
  }

  start(): Answer<Step> {
    if (this.job.frames.length === 0)
      return { ok: false, code: "nothing-to-check", detail: `${this.job.folder}: no frames` };
    return this.step(this.tasks.inspect(this.job.frames));
  }

  take(taskId: string, outcomes: readonly FrameOutcome[]): Answer<Step> {
    if (!this.tasks.close(taskId)) return { ok: false, code: "internal", detail: `no task ${taskId} is open` };
    for (const outcome of outcomes) this.absorb(outcome);
    this.tasks.count(outcomes);
    if (!this.tasks.areAllClosed) return this.step([], this.isReportDue() ? this.report(true) : null);
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

  private absorb(outcome: FrameOutcome): void {
    switch (outcome.kind) {
      case "header":
        this.headers.set(outcome.frame, outcome.header);
        break;
      case "failed":
        if (this.phase === "inspect") this.failures.set(outcome.frame, outcome.reason);
        else this.decodeFailures.set(outcome.frame, outcome.reason);
        break;
      case "measured": {
        const { frame, grid } = outcome.measurement;
        this.kept.take(outcome.frame, outcome.measurement);
        if (this.phase !== "follow") this.tracker?.take(outcome.measurement);
        else if (grid !== null) this.followed.set(frame, grid);
        if (outcome.survey !== undefined) this.plans.takeSurvey(outcome.survey);
        break;
      }
      case "proved":
        this.prover?.take(outcome.frame, outcome.runs);
        break;
    }
  }

  private step(tasks: readonly Task[], report: Report | null = null, plan: MeasurePlan | null = null): Answer<Step> {
    this.tasks.give(tasks);
    return {
      ok: true,
      value: {
        plan,
        tasks,
        done: this.tasks.done,
        total: this.tasks.total,
        report,
        ...(this.phase === "done" && this.prover !== null ? { proof: this.prover.proof() } : {}),
        finished: this.phase === "done",
      },
    };
  }

  private afterInspection(): Answer<Step> {
    const result = setUpShot(this.job, this.headers, this.failures);
    if ("refusals" in result) return { ok: false, code: "sheet-refused", detail: result.refusals.join("\n") };
    if ("nothing" in result) return { ok: false, code: "nothing-to-check", detail: result.nothing };
    this.setup = result.setup;
    this.found = new FoundInPictures(result.setup);
    const ids = result.setup.sheet.parts.map((part) => part.id);
    const wanted = this.job.prove?.part ?? null;
    if (wanted !== null && ids.length > 0 && !ids.includes(wanted))
      return { ok: false, code: "nothing-to-check", detail: this.whyNoPart(wanted, ids) };
    this.tasks.expect(result.setup.files.length);
    this.phase = "reference";
    return this.tryReference();
  }

  /** The first frame that can be decoded is what all others are measured against. */
  private tryReference(): Answer<Step> {
    const setup = this.setup!;
    const files = this.usable(setup);
    if (files.length < 2) return this.tooFewDecoded();
    const sx = setup.analysisWidth / setup.width;
    const sy = setup.analysisHeight / setup.height;
    this.sources = setup.sheet.parts.map((part) => partSource(part, sx, sy));
    this.tracker = new ShotTracker(this.sources, setup.analysisWidth, setup.analysisHeight);
    const frames = files.map((file) => file.frame);
    this.kept.replaceHolds(firstHolds(this.sources, setup.sheet, frames));
    const plan = this.nextPlan();
    const tasks = this.tasks.measure("measure", plan.revision, [plan.reference], {
      grids: true,
      holds: [],
      ...(this.plans.isSurveyed ? {} : { survey: frames.slice(0, SURVEYED) }),
    });
    return this.step(tasks, null, plan);
  }

  private afterReference(): Answer<Step> {
    const files = this.usable(this.setup!);
    const { reference, revision } = this.plans.current;
    // The shot is measured as its first frames ask for: from here on all the same, the reference again where that differs.
    if (this.decodeFailures.has(reference) || this.plans.isOutdated) return this.tryReference();
    this.phase = "measure";
    const frames = files.slice(1).map((file) => file.frame);
    this.tasks.expect(frames.length);
    return this.step(
      this.tasks.measure("measure", revision, frames, { grids: true, holds: [...this.kept.holds.keys()] }),
    );
  }

  /** Where the picture left its reference, that is looked for again by what the frames before say; null where it didn't. */
  private follow(): Answer<Step> | null {
    const cameras = this.tracker?.toFollow() ?? [];
    if (cameras.length === 0) return null;
    const lost = new Set(this.tracker!.frames.filter(({ camera }) => camera === null).map(({ frame }) => frame));
    const frames = cameras.map(({ frame }) => frame).filter((frame) => lost.has(frame));
    this.phase = "follow";
    this.plans.takeCameras(cameras);
    this.tasks.expect(frames.length);
    const plan = this.nextPlan();
    const holds = [...this.kept.holds.keys()];
    const tasks = this.tasks.measure("follow", plan.revision, frames, { grids: true, pairs: false, holds });
    return this.step(tasks, null, plan);
  }

  private afterMeasurement(): Answer<Step> {
    const setup = this.setup!;
    const tracker = this.tracker!;
    const found = this.found!;
    if (!setup.hasSheet || setup.sheet.parts.length === 0) {
      const look = found.lookCloser(tracker);
      if (look !== null) return this.measureLook(look);
      found.findParts(tracker, (plan) => this.kept.leftOversOf(plan));
    } else found.findOutside(tracker);
    return tracker.numbers.length < 2 ? this.tooFewDecoded() : this.measureAgain();
  }

  /** What the cells hint at, node by node. */
  private measureLook(look: LeftOverPlan): Answer<Step> {
    this.phase = "look";
    const plan = this.nextPlan([look]);
    const frames = look.steps.map(({ frame }) => frame);
    this.tasks.expect(frames.length);
    const tasks = this.tasks.measure("look", plan.revision, frames, { grids: false, holds: [], leftOvers: [look.id] });
    return this.step(tasks, null, plan);
  }

  /** Holds and surfaces that could only be planned once the parts were followed through the shot. */
  private measureAgain(): Answer<Step> {
    const setup = this.setup!;
    const { numbers } = this.tracker!;
    const { kept, sources } = this;
    const watched = this.watched();
    const segments = allSegments(watched, numbers, setup.sheet.marks);
    const wanted = furtherHolds(watched, segments, sources, setup.sheet, (part, anchor) =>
      kept.isMeasured(part, anchor),
    );
    kept.addHolds(wanted);
    const { analysisWidth, analysisHeight } = setup;
    const { holds, measured } = kept;
    this.surfaces = leftOverSurfaces(this.parts(), segments, numbers, holds, measured, analysisWidth, analysisHeight);
    if (wanted.length === 0 && this.surfaces.length === 0) return this.finish();
    this.phase = "again";
    const leftOvers = this.surfaces.map((surface) => surface.plan);
    const plan = this.nextPlan(leftOvers);
    const frames = numbers.filter(
      (frame) =>
        wanted.some((hold) => frame >= hold.from && frame <= hold.to) ||
        leftOvers.some(({ steps }) => steps.some((step) => step.frame === frame)),
    );
    this.tasks.expect(frames.length);
    const tasks = this.tasks.measure("again", plan.revision, frames, {
      grids: false,
      holds: wanted.map((hold) => hold.id),
      leftOvers: leftOvers.map(({ id }) => id),
    });
    return this.step(tasks, null, plan);
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
    const setup = this.setup!;
    const series = seriesSource(this.parts(), setup, this.tracker!, this.kept);
    this.prover = new Prover({
      job: this.job,
      setup,
      series,
      segments: allSegments(series.parts, series.tracker.numbers, setup.sheet.marks),
      frames: series.tracker.settledFrames(),
    });
    this.phase = "prove";
    return this.proveOn(report);
  }

  private proveOn(report: Report | null): Answer<Step> {
    const prover = this.prover!;
    const next = prover.next();
    if (next === null) {
      this.phase = "done";
      return this.step([], report);
    }
    this.tasks.expect(next.frames.length + prover.framesAhead());
    return this.step(this.tasks.prove(this.plans.current.revision, next.frames, next.injections), report);
  }

  private whyNoPart(part: string | null, known: readonly string[]): string {
    const { folder } = this.job;
    if (known.length === 0) return `${folder}: no part is known to put a drift into: it takes a sheet with held parts`;
    return `there is no part "${part}" in ${folder}; there are: ${known.join(", ")}`;
  }

  private tooFewDecoded(): Answer<Step> {
    const why = [`Fewer than two frames of ${this.job.folder} could be decoded.`, ...this.decodeFailures.values()];
    return { ok: false, code: "nothing-to-check", detail: why.join("\n") };
  }

  private usable(setup: ShotSetup): FrameFile[] {
    return setup.files.filter((file) => !this.decodeFailures.has(file.frame));
  }

  private nextPlan(leftOvers: readonly LeftOverPlan[] = []): MeasurePlan {
    const setup = this.setup!;
    return this.plans.next(setup, this.usable(setup), [...this.kept.holds.values()], leftOvers);
  }

  private parts(): AnalysedPart[] {
    return [...(this.tracker?.parts ?? []), ...(this.found?.parts ?? [])];
  }

  /** Parts, and what was found outside of them all. */
  private watched(): AnalysedPart[] {
    return [...this.parts(), ...(this.found?.outside ?? [])];
  }

  private isReportDue(): boolean {
    if (this.phase !== "measure" || this.tracker === null) return false;
    return this.pace.isDue(this.tracker.frames.length, this.setup!.files.length);
  }

  private report(onTheWay = false): Report {
    const { job, kept, surfaces, decodeFailures } = this;
    const { survey } = this.plans;
    const { outside, animated } = this.found!;
    const [setup, tracker, parts] = [this.setup!, this.tracker!, this.parts()];
    return shotReport(
      { job, setup, tracker, kept, parts, outside, animated, surfaces, survey, decodeFailures },
      onTheWay,
    );
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
