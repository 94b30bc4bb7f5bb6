import { type Progress, runCheck } from "../pool/check.ts";
import { createPool } from "../pool/pool.ts";
import type { Answer, CheckJob, FrameOutcome, Report } from "../protocol/index.ts";
import { clock, spawn } from "./spawn.ts";

export type { Progress };

/** Measuring workers at most: each holds a decoded frame or two, and a frame of 24 megapixels is 100 MB. */
const MOST_WORKERS = 4;

export interface CheckListeners {
  readonly signal: AbortSignal;
  readonly onProgress: (progress: Progress) => void;
  readonly onReport: (report: Report) => void;
  /** Size of the oriented frames, px, as soon as the first one's header is read. */
  readonly onSize: (width: number, height: number) => void;
  /** How many frames are measured, whatever else there is to do with them. */
  readonly onMeasured: (frames: number) => void;
}

/** Checks a shot in workers, which are ended when the check is: what they held is freed. Never rejects. */
export async function check(job: CheckJob, listeners: CheckListeners): Promise<Answer<Report>> {
  const size = Math.max(1, Math.min(MOST_WORKERS, navigator.hardwareConcurrency - 1));
  const pool = createPool({ size, spawn: () => spawn("measure"), clock });
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
