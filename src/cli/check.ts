import path from "node:path";
import { ANALYSIS_WIDTH, SHEET_FILE } from "../model/conventions.ts";
import {
  chooseSequence,
  findSequences,
  type Report,
  serialiseReport,
  shotNameOf,
  type Warning,
} from "../model/index.ts";
import { type Progress, runCheck } from "../pool/check.ts";
import { createPool } from "../pool/pool.ts";
import type { Clock, Signal } from "../pool/transport.ts";
import type { CheckJob, Code, FrameFile } from "../protocol/index.ts";
import { summary } from "../reports/summary.ts";
import {
  checkWritable,
  FileProblem,
  filesIn,
  type FoundFile,
  isSameFile,
  readText,
  writeText,
} from "../store/adapters/files.ts";
import type { CheckArguments } from "./arguments.ts";
import { EXIT, exitCodeOf } from "./exit-code.ts";
import { startWorker } from "./node-worker.ts";
import { createProgressLine, type Screen } from "./progress-line.ts";
import { defaultThreads } from "./threads.ts";

/** Where a command writes, and what stops it. */
export interface Console {
  out(text: string): void;
  readonly err: Screen;
  readonly signal: Signal;
  /** Addresses of the built worker files. */
  readonly workers: { readonly measure: URL; readonly judge: URL };
}

const clock: Clock = {
  now: () => performance.now(),
  after: (milliseconds, act) => {
    const timer = setTimeout(act, milliseconds);
    return () => clearTimeout(timer);
  },
};

interface Sheet {
  readonly file: string;
  readonly text: string;
  readonly sha256: string;
}

const readSheet = async (wanted: string | null, files: readonly FoundFile[]): Promise<Sheet | null> => {
  const file = wanted ?? files.find(({ name }) => name === SHEET_FILE)?.path;
  return file === undefined ? null : { file, ...(await readText(file)) };
};

/** The report must not take the place of what it was made from. */
const refuseTarget = async (target: string, sources: readonly string[]): Promise<void> => {
  for (const source of sources) {
    if (await isSameFile(target, source)) throw new FileProblem(`${target} is a frame or the sheet: not written over`);
  }
  await checkWritable(target);
};

/** What is to be checked. Throws a FileProblem where there is nothing. */
const jobOf = async (args: CheckArguments): Promise<{ job: CheckJob; sheet: Sheet | null }> => {
  const files = await filesIn(args.folder);
  const folder = path.basename(path.resolve(args.folder));
  const choice = chooseSequence(findSequences(files.map(({ name }) => name)), args.sequence);
  if ("error" in choice) throw new FileProblem(`${args.folder}: ${choice.error}`);
  const { sequence } = choice;
  const byName = new Map(files.map((file) => [file.name, file] as const));
  const frames = sequence.frames.flatMap(({ frame, file }): FrameFile[] => {
    const found = byName.get(file);
    return found === undefined ? [] : [{ frame, file, modified: found.modified, source: found.path }];
  });
  const sheet = await readSheet(args.sheet, files);
  if (args.json !== null && args.json !== "-") {
    const sources = frames.map(({ source }) => String(source));
    await refuseTarget(args.json, sheet === null ? sources : [...sources, sheet.file]);
  }
  const warnings: readonly Warning[] = choice.warnings;
  return {
    sheet,
    job: {
      shot: shotNameOf(sequence, folder),
      folder,
      frames,
      sheetText: sheet?.text ?? null,
      sheetFile: sheet?.file ?? null,
      sheetSha256: sheet?.sha256 ?? null,
      bandPx: args.bandPx,
      analysisWidth: ANALYSIS_WIDTH,
      warnings,
    },
  };
};

const measure = async (job: CheckJob, args: CheckArguments, console: Console, onProgress: (told: Progress) => void) => {
  const { measure: measureFile, judge: judgeFile } = console.workers;
  const size = Math.min(args.threads ?? defaultThreads(), job.frames.length);
  const pool = createPool({ size, clock, spawn: () => startWorker(measureFile) });
  const judge = createPool({ size: 1, clock, spawn: () => startWorker(judgeFile) });
  try {
    return await runCheck({ pool, judge, job, clock, signal: console.signal, onProgress });
  } finally {
    pool.close();
    judge.close();
  }
};

/** Why there is no report, in the words of who has to do something about it. */
const whyNothing = ({ code, detail }: { readonly code: Code; readonly detail: string }): string => {
  switch (code) {
    case "nothing-to-check":
      return detail;
    case "sheet-refused":
      return `Nothing was checked, since the sheet is refused:\n${detail}`;
    case "worker-died":
      return `Nothing was checked, since a worker died: ${detail}`;
    case "timed-out":
      return `Nothing was checked, since a worker hung: ${detail}`;
    default:
      return `Nothing was checked, by a fault of Holdfast's own: ${detail}`;
  }
};

const tell = async (report: Report, args: CheckArguments, console: Console): Promise<void> => {
  if (args.json === "-") {
    console.err.write(summary(report));
    console.out(serialiseReport(report));
    return;
  }
  console.out(summary(report));
  if (args.json !== null) await writeText(args.json, serialiseReport(report));
};

/** `holdfast check`: resolves with the exit code. */
export const check = async (args: CheckArguments, console: Console): Promise<number> => {
  try {
    const { job, sheet } = await jobOf(args);
    if (args.sheet === null && sheet !== null) console.err.write(`The sheet is ${sheet.file}.\n`);
    const line = createProgressLine(console.err, job.frames.length, () => clock.now());
    const answer = await measure(job, args, console, (progress) => {
      if (!args.quiet) line.show(progress);
    });
    line.clear();
    if (!answer.ok) {
      if (answer.code === "cancelled") {
        console.err.write("Stopped. Nothing was written.\n");
        return EXIT.stopped;
      }
      console.err.write(`${whyNothing(answer)}\n`);
      return EXIT.nothingChecked;
    }
    await tell(answer.value, args, console);
    return exitCodeOf(answer.value, job.frames.length);
  } catch (error) {
    if (!(error instanceof FileProblem)) throw error;
    console.err.write(`${error.message}.\n`);
    return EXIT.nothingChecked;
  }
};
