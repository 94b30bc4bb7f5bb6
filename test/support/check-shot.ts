import { createJudge } from "../../src/analysis/judge-session.ts";
import { createMeasurer, type Opener } from "../../src/analysis/measurer.ts";
import type { Plane } from "../../src/measure/plane.ts";
import type { Workspace } from "../../src/measure/workspace.ts";
import type { Proof, Report } from "../../src/model/index.ts";
import type { CheckJob, FrameFile, FrameOutcome, Task } from "../../src/protocol/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { openWorkspace } from "../../workers/kernels.ts";

// A whole check in one thread, on frames in memory: the same judge and the same measurers as the page and the
// command line, without their workers.

export interface MemoryShot {
  readonly name: string;
  /** Reduced linear luma, 0 to 1, by frame number. */
  readonly frames: ReadonlyMap<number, Plane>;
  readonly sheet: unknown;
  /** Capture times, "YYYY-MM-DDTHH:MM:SS", by frame number. */
  readonly times?: ReadonlyMap<number, string>;
}

export interface MemoryOptions {
  readonly bandPx?: number | null;
  /** Band for kinds that are told in percent, a share. */
  readonly bandShare?: number;
  /** Number of measurers that take turns: more than one stands for more than one thread. */
  readonly workers?: number;
  readonly analysisWidth?: number;
  /** Where a measurer's frames lie; in the kernels' memory by default. */
  readonly workspace?: () => Workspace | Promise<Workspace>;
  /** What was measured, by task: given again, the same frames are judged under other bands without being measured. */
  readonly remember?: Map<string, readonly FrameOutcome[]>;
}

/** Checks a shot in memory; throws with the detail where the check refuses. */
export async function checkShot(shot: MemoryShot, options: MemoryOptions = {}): Promise<Report> {
  const { report } = await lastStep(shot, options);
  if (report === null) throw new Error("finished without a report");
  return report;
}

/** Puts known drifts into a shot in memory: into every held part, or the one named. */
export async function proveShot(
  shot: MemoryShot,
  part: string | null = null,
  options: MemoryOptions = {},
): Promise<Proof> {
  const { proof } = await lastStep(shot, options, { part });
  if (proof === undefined) throw new Error("finished without a proof");
  return proof;
}

async function lastStep(shot: MemoryShot, options: MemoryOptions, prove?: NonNullable<CheckJob["prove"]>) {
  const numbers = [...shot.frames.keys()].sort((a, b) => a - b);
  const job: CheckJob = {
    shot: shot.name,
    folder: shot.name,
    frames: numbers.map((n) => ({
      frame: frameNumber(n),
      file: `${shot.name}_${String(n).padStart(4, "0")}.png`,
      modified: null,
      source: null,
    })),
    sheetText: shot.sheet === null ? null : JSON.stringify(shot.sheet),
    sheetFile: shot.sheet === null ? null : "holdfast-sheet.json",
    sheetSha256: null,
    bandPx: options.bandPx ?? null,
    ...(options.bandShare === undefined ? {} : { bandShare: options.bandShare }),
    analysisWidth: options.analysisWidth ?? 1920,
    warnings: [],
    ...(prove === undefined ? {} : { prove }),
  };
  const planeOf = (file: FrameFile): Plane => {
    const plane = shot.frames.get(file.frame);
    if (plane === undefined) throw new Error(`no frame ${file.frame} in memory`);
    return plane;
  };
  const opener: Opener = {
    header: (file) => {
      const plane = planeOf(file);
      return Promise.resolve({
        frame: frameNumber(file.frame),
        width: plane.width,
        height: plane.height,
        exifTime: shot.times?.get(file.frame) ?? null,
        note: null,
        lumaStep: null,
      });
    },
    luma: (file) => Promise.resolve(planeOf(file)),
  };
  const { workers = 1, workspace = openWorkspace } = options;
  const measurers = await Promise.all(
    Array.from({ length: workers }, async () => createMeasurer(opener, await workspace())),
  );
  const judge = createJudge();
  let answer = await judge.open(job);
  let report: Report | null = null;
  const queue: Task[] = [];
  let turn = 0;
  for (;;) {
    if (!answer.ok) throw new Error(`${answer.code}: ${answer.detail}`);
    const step = answer.value;
    if (step.plan !== null) for (const measurer of measurers) await measurer.plan(step.plan);
    queue.push(...step.tasks);
    report = step.report ?? report;
    if (step.finished) return { ...step, report };
    const task = queue.shift();
    if (task === undefined) throw new Error("the judge neither ended nor went on");
    const known = options.remember?.get(task.id);
    if (known !== undefined) {
      answer = await judge.take(task.id, known);
      continue;
    }
    const outcomes: FrameOutcome[] = [];
    const done = await measurers[turn++ % measurers.length].run(task, (outcome) => outcomes.push(outcome));
    if (!done.ok) throw new Error(`${done.code}: ${done.detail}`);
    options.remember?.set(task.id, outcomes);
    answer = await judge.take(task.id, outcomes);
  }
}
