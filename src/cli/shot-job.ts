import path from "node:path";
import { ANALYSIS_WIDTH, SHEET_FILE } from "../model/conventions.ts";
import { chooseSequence, findSequences, passOfSheet, shotNameOf, type Warning } from "../model/index.ts";
import type { CheckOptions, Progress } from "../pool/check.ts";
import { createPool } from "../pool/pool.ts";
import type { Clock, Signal } from "../pool/transport.ts";
import type { Answer, CheckJob, Code, FrameFile } from "../protocol/index.ts";
import {
  checkWritable,
  FileProblem,
  filesIn,
  type FoundFile,
  isSameFile,
  readText,
  writeText,
} from "../store/adapters/files.ts";
import type { ShotArguments } from "./arguments.ts";
import { EXIT } from "./exit-code.ts";
import { startWorker } from "./node-worker.ts";
import { createProgressLine, type Screen } from "./progress-line.ts";
import { defaultThreads } from "./threads.ts";

// What the commands share: from a folder of frames to a job for the workers.

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
const jobOf = async (
  args: ShotArguments,
  written: readonly string[],
): Promise<{ job: CheckJob; sheet: Sheet | null }> => {
  const files = await filesIn(args.folder);
  const folder = path.basename(path.resolve(args.folder));
  const sheet = args.withoutSheet === true ? null : await readSheet(args.sheet, files);
  const pass = sheet === null ? null : passOfSheet(sheet.text);
  const choice = chooseSequence(findSequences(files.map(({ name }) => name)), args.sequence, pass);
  if ("error" in choice) throw new FileProblem(`${args.folder}: ${choice.error}`);
  const { sequence } = choice;
  const byName = new Map(files.map((file) => [file.name, file] as const));
  const frames = sequence.frames.flatMap(({ frame, file }): FrameFile[] => {
    const found = byName.get(file);
    return found === undefined ? [] : [{ frame, file, modified: found.modified, source: found.path }];
  });
  const inFolder = files.find(({ name }) => name === SHEET_FILE)?.path;
  const sources = frames.map(({ source }) => String(source));
  for (const other of [sheet?.file, inFolder]) if (other !== undefined) sources.push(other);
  for (const target of written) await refuseTarget(target, sources);
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
      bandPx: null,
      analysisWidth: ANALYSIS_WIDTH,
      warnings,
    },
  };
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

/** What a command does with the workers that it is given. */
type Work<T> = (options: CheckOptions) => Promise<Answer<T>>;

/**
 * Runs a command on a shot: resolves with the exit code, which is `tell`'s where the work came to an end.
 * @param more files that it writes beside the JSON one
 */
export const onShot = async <T>(
  args: ShotArguments,
  console: Console,
  work: Work<T>,
  tell: (result: T, frames: number) => Promise<number>,
  more: readonly string[] = [],
): Promise<number> => {
  try {
    const targets = args.json === null || args.json === "-" ? more : [args.json, ...more];
    const { job, sheet } = await jobOf(args, targets);
    if (args.sheet === null && sheet !== null) console.err.write(`The sheet is ${sheet.file}.\n`);
    const frames = job.frames.length;
    const line = createProgressLine(console.err, frames, () => clock.now());
    const onProgress = (progress: Progress): void => {
      if (!args.quiet) line.show(progress);
    };
    const { workers, signal } = console;
    const size = Math.min(args.threads ?? defaultThreads(), frames);
    const pool = createPool({ size, clock, spawn: () => startWorker(workers.measure) });
    const judge = createPool({ size: 1, clock, spawn: () => startWorker(workers.judge) });
    const answer = await work({ pool, judge, job, clock, signal, onProgress }).finally(() => {
      pool.close();
      judge.close();
    });
    line.clear();
    if (answer.ok) return await tell(answer.value, frames);
    if (answer.code === "cancelled") {
      console.err.write("Stopped. Nothing was written.\n");
      return EXIT.stopped;
    }
    console.err.write(`${whyNothing(answer)}\n`);
    return EXIT.nothingChecked;
  } catch (error) {
    if (!(error instanceof FileProblem)) throw error;
    console.err.write(`${error.message}.\n`);
    return EXIT.nothingChecked;
  }
};

/** What came of it: words on stdout and a file where one is wanted; with "-" the file is stdout and the words go to stderr. */
export const tellBoth = async (
  words: string,
  file: string,
  { json }: ShotArguments,
  console: Console,
): Promise<void> => {
  if (json === "-") {
    console.err.write(words);
    console.out(file);
    return;
  }
  console.out(words);
  if (json !== null) await writeText(json, file);
};
