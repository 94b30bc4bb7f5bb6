import type { Answer, CheckJob, FrameOutcome, MeasurePlan, Proof, Report, Step, Task } from "../protocol/index.ts";
import { createPace } from "./pace.ts";
import type { Pool } from "./pool.ts";
import { createStop } from "./stop.ts";
import type { Clock, Signal } from "./transport.ts";

/** How far a check is. Frames count once for each task they are in. */
export interface Progress {
  /** Reading headers, measuring, or measuring with known drifts put in. */
  readonly kind: Task["kind"];
  readonly done: number;
  readonly total: number;
  /** Null while it can't be told yet. */
  readonly secondsLeft: number | null;
}

export interface CheckOptions {
  /** Workers that answer to MeasureWorker. */
  readonly pool: Pool;
  /** One worker that answers to JudgeWorker, used for this check alone. */
  readonly judge: Pool;
  readonly job: CheckJob;
  readonly clock: Clock;
  readonly signal?: Signal | undefined;
  readonly onProgress?: ((progress: Progress) => void) | undefined;
  /** Each frame as it comes from its worker, in no order. */
  readonly onOutcome?: ((outcome: FrameOutcome) => void) | undefined;
  /** The report as far as it goes, now and then. */
  readonly onReport?: ((report: Report) => void) | undefined;
}

interface Running {
  readonly task: Task;
  readonly outcomes: Promise<Answer<readonly FrameOutcome[]>>;
}

const withFrames = (task: Task, wanted: (frame: FrameOutcome["frame"]) => boolean): Task =>
  task.kind === "inspect"
    ? { ...task, frames: task.frames.filter((file) => wanted(file.frame)) }
    : { ...task, frames: task.frames.filter(wanted) };

const framesOf = (task: Task): FrameOutcome["frame"][] =>
  task.kind === "inspect" ? task.frames.map((file) => file.frame) : [...task.frames];

/**
 * Checks one shot: the judging worker says what is to be done, the measuring workers do it, until the judge has all
 * it wants. Outcomes reach the judge in the order of its tasks, however many workers there are and whichever is first:
 * the same frames give the same report. A frame at which the workers die twice, or hang, fails alone.
 */
export const runCheck = async (options: CheckOptions): Promise<Answer<Report>> => {
  const answer = await runSteps(options);
  return answer.ok ? { ok: true, value: answer.value.report } : answer;
};

/** What the judge ends with. */
interface Ended {
  readonly report: Report;
  /** Null where the job asked for none. */
  readonly proof: Proof | null;
}

/** Does all that the judge wants done for a job, until it ends. */
export const runSteps = async (options: CheckOptions): Promise<Answer<Ended>> => {
  const { pool, judge, job, clock, onProgress, onOutcome, onReport } = options;
  const { signal, stop, release } = createStop(options.signal);
  const pace = createPace();
  let kind: Task["kind"] = "inspect";
  let plan: MeasurePlan | null = null;
  let step: Step | null = null;
  let report: Report | null = null;
  const line: Running[] = [];
  /** Frames that are done and that the judge hasn't heard of yet. */
  let unheard = 0;

  const tellProgress = (): void => {
    if (step === null) return;
    const done = step.done + unheard;
    onProgress?.({ kind, done, total: step.total, secondsLeft: pace.secondsFor(step.total - done) });
  };

  const work = async (task: Task, current: MeasurePlan | null): Promise<Answer<readonly FrameOutcome[]>> => {
    const outcomes: FrameOutcome[] = [];
    const left = new Set(framesOf(task));
    const take = (outcome: FrameOutcome): void => {
      if (signal.aborted || !left.delete(outcome.frame)) return;
      outcomes.push(outcome);
      if (task.kind !== kind) {
        kind = task.kind;
        pace.restart();
      }
      pace.tick(clock.now());
      unheard += 1;
      onOutcome?.(outcome);
      tellProgress();
    };
    const failNext = (reason: string): void => {
      const [frame] = left;
      if (frame !== undefined) take({ kind: "failed", frame, reason });
    };
    while (left.size > 0) {
      let leftAtDeath = Number.NaN;
      const answer = await pool.run<null>({
        method: "run",
        args: () => [withFrames(task, (frame) => left.has(frame))],
        prepare:
          task.kind !== "inspect" && current !== null ? { key: current, method: "plan", args: [current] } : undefined,
        onEvent: (event) => take(event as FrameOutcome),
        onRetry: () => {
          leftAtDeath = left.size;
        },
        signal,
      });
      if (answer.ok) {
        while (left.size > 0) failNext("its worker left it out");
      } else if (answer.code === "cancelled" || pool.broken !== null) {
        return answer;
      } else if (answer.code !== "worker-died") {
        failNext(answer.detail);
      } else if (leftAtDeath === left.size) {
        // Both workers got as far as this frame: it is the one to suspect. Where the second got further, the frame
        // at which it died has its second try still to come.
        failNext(`its worker died twice: ${answer.detail}`);
      }
    }
    return { ok: true, value: outcomes };
  };

  const ask = (method: "open" | "take", ...args: readonly unknown[]): Promise<Answer<Step>> =>
    judge.run<Step>({ method, args: () => args, signal, retries: 0 });

  try {
    let answer = await ask("open", job);
    for (;;) {
      if (!answer.ok) return answer;
      step = answer.value;
      if (step.plan !== null) plan = step.plan;
      for (const task of step.tasks) line.push({ task, outcomes: work(task, plan) });
      tellProgress();
      if (step.report !== null) {
        report = step.report;
        onReport?.(report);
      }
      if (step.finished) break;
      const first = line[0];
      if (first === undefined) return { ok: false, code: "internal", detail: "the judge neither ended nor went on" };
      const outcomes = await first.outcomes;
      if (!outcomes.ok) return outcomes;
      line.shift();
      answer = await ask("take", first.task.id, outcomes.value);
      unheard -= outcomes.value.length;
    }
    if (report === null) return { ok: false, code: "internal", detail: "the judge ended without a report" };
    return { ok: true, value: { report, proof: step.proof ?? null } };
  } finally {
    stop();
    release();
  }
};
