import { type Progress, runCheck } from "../pool/check.ts";
import { createMemory, type MeasureMemory } from "../pool/memory.ts";
import { createPool } from "../pool/pool.ts";
import type { Answer, CheckJob, FrameFile, FrameOutcome, Report } from "../protocol/index.ts";
import { clock, spawn } from "./spawn.ts";

export { createMemory, type MeasureMemory, type Progress };

/** Measuring workers at most. */
const MOST_WORKERS = 4;
/**
 * For large frames: a worker that decodes 24 megapixels takes some 0.5 GB. One with the page stays at 1.0 GB, two of
 * them go to 1.6 GB (npm run bench -- memory).
 */
const MOST_FOR_LARGE = 1;
/** A file of this many bytes may hold a large frame: 24 megapixels of soft JPEG are little more. */
const LARGE_BYTES = 1_200_000;

export interface CheckListeners {
  readonly signal: AbortSignal;
  readonly onProgress: (progress: Progress) => void;
  readonly onReport: (report: Report) => void;
  /** Size of the oriented frames, px, as soon as the first one's header is read. */
  readonly onSize: (width: number, height: number) => void;
  /** How many frames are measured, whatever else there is to do with them. */
  readonly onMeasured: (frames: number) => void;
}

const bytesOf = async (source: unknown): Promise<number> => {
  if (source instanceof File) return source.size;
  return source instanceof FileSystemFileHandle ? (await source.getFile()).size : 0;
};

/** How many workers measure: as many as there are cores but one for the page, fewer where frames are large. */
export async function workersFor(job: CheckJob): Promise<number> {
  const cores = navigator.hardwareConcurrency;
  const bytes = await bytesOf(job.frames[0]?.source).catch(() => 0);
  const most = bytes > LARGE_BYTES ? MOST_FOR_LARGE : MOST_WORKERS;
  return Math.max(1, Math.min(most, cores > 2 ? cores - 1 : cores));
}

/** What tells a frame's content from what its file held before: a retake overwrites it. */
async function printsOf(frames: readonly FrameFile[]): Promise<ReadonlyMap<FrameFile["frame"], string>> {
  const print = async ({ frame, source }: FrameFile) => {
    const file = source instanceof FileSystemFileHandle ? await source.getFile().catch(() => null) : source;
    // A file that can't be read now is no file that was measured.
    const words = file instanceof File ? `${file.size} ${file.lastModified}` : `unread ${performance.now()}`;
    return [frame, words] as const;
  };
  return new Map(await Promise.all(frames.map(print)));
}

/**
 * Checks a shot in workers, which are ended when the check is: what they held is freed. Never rejects.
 * @param memory of earlier checks of the same frames: what it knows is not measured again
 */
export async function check(
  job: CheckJob,
  listeners: CheckListeners,
  memory: MeasureMemory | null = null,
): Promise<Answer<Report>> {
  const size = await workersFor(job);
  const workers = createPool({ size, spawn: () => spawn("measure"), clock });
  const prints = memory === null ? null : await printsOf(job.frames);
  const pool = memory === null ? workers : memory.around(workers, ({ frame }) => prints?.get(frame) ?? "");
  const judge = createPool({ size: 1, spawn: () => spawn("judge"), clock });
  try {
    const { onSize, onMeasured, ...rest } = listeners;
    const measured = new Set<number>();
    const onOutcome = (outcome: FrameOutcome): void => {
      if (outcome.kind === "header") onSize(outcome.header.width, outcome.header.height);
      else if (outcome.kind === "measured") onMeasured(measured.add(outcome.frame).size);
    };
    return await runCheck({ pool, judge, job, clock, onOutcome, ...rest });
  } finally {
    pool.close();
    judge.close();
  }
}
