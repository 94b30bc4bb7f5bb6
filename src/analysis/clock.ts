import type { FrameNumber } from "../units/index.ts";
import type { FrameRow, JudgeInput } from "./series.ts";

// The shot's own pace by its capture times, and the breaks in it: meals, nights.

/** A stop in shooting between two frames that follow each other. */
export interface ShotBreak {
  /** The last frame before, and the first one after it. */
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  /** Seconds between the two exposures; null where a person marked the break and the times aren't known. */
  readonly seconds: number | null;
}

/** A gap must be this many times what a slow frame of this shot takes; common practice, no source. */
const BEYOND_PACE = 4;
/** Slow frames: a quarter of all gaps are longer. Up to a quarter of the gaps may be breaks. */
const SLOW_FRAMES = 0.75;
/** Nobody calls less than this a break; nobody works on one frame for longer than that. Common practice, no source. */
const LEAST_BREAK = 15 * 60;
const SURE_BREAK = 4 * 3600;

interface Gap {
  readonly before: FrameRow;
  readonly after: FrameRow;
  readonly seconds: number;
}

/** Times between frames that follow each other; a frame that was taken again later has none. */
function gapsOf(frames: readonly FrameRow[]): Gap[] {
  return frames.flatMap((after, i) => {
    const before = frames[i - 1];
    if (before === undefined || before.clock === null || after.clock === null) return [];
    const seconds = after.clock - before.clock;
    return seconds > 0 ? [{ before, after, seconds }] : [];
  });
}

const leastBreak = (gaps: readonly Gap[]): number => {
  const sorted = gaps.map(({ seconds }) => seconds).toSorted((a, b) => a - b);
  const slow = sorted[Math.floor(SLOW_FRAMES * (sorted.length - 1))] ?? 0;
  return Math.min(SURE_BREAK, Math.max(LEAST_BREAK, BEYOND_PACE * slow));
};

/** All breaks in the order of frames: gaps far beyond the shot's own pace, and those that a person marked. */
export function breaksOf({ frames, marks }: Pick<JudgeInput, "frames" | "marks">): ShotBreak[] {
  const gaps = gapsOf(frames);
  const least = leastBreak(gaps);
  const marked = new Set(
    marks.filter(({ kind }) => kind === "break").map((mark) => frames.find(({ frame }) => frame >= mark.frame)?.frame),
  );
  return frames.flatMap((row, i) => {
    if (i === 0) return [];
    const gap = gaps.find(({ after }) => after === row) ?? null;
    if (!marked.has(row.frame) && (gap === null || gap.seconds < least)) return [];
    return [{ from: frames[i - 1].frame, to: row.frame, seconds: gap?.seconds ?? null }];
  });
}

/** Seconds that a frame of this shot takes, breaks left out; null without times. */
export function paceOf(input: Pick<JudgeInput, "frames" | "marks">): number | null {
  const breaks = new Set<number>(breaksOf(input).map(({ to }) => to));
  const gaps = gapsOf(input.frames).filter(({ after }) => !breaks.has(after.frame));
  if (gaps.length === 0) return null;
  const frames = gaps.reduce((sum, { before, after }) => sum + after.frame - before.frame, 0);
  return gaps.reduce((sum, { seconds }) => sum + seconds, 0) / frames;
}
