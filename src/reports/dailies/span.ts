import { feetAndFrames, framesOfTimecode, type Report, type Sheet, timecodeOf } from "../../model/index.ts";
import type { FrameNumber } from "../../units/index.ts";

/** How a shot's frames are counted. */
export interface Counting {
  readonly fps: number;
  /** Timecode of frame 0; null: 00:00:00:00, drop-frame where the rate has it. */
  readonly timecodeStart: string | null;
}

/** A sheet that is at hand is newer than the report that was once made with one. */
export const countingOf = (report: Report, sheet: Sheet | null): Counting => ({
  fps: report.shot.fps,
  timecodeStart: sheet?.shot.timecodeStart ?? report.shot.timecodeStart ?? null,
});

/** First and last frame of a stretch, as people on set, in the cutting room and at the printer count them. */
export interface Span {
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  /** Null where the rate has no timecode. */
  readonly timecode: readonly [string, string] | null;
  readonly feet: readonly [string, string];
}

export const spanOf = ({ fps, timecodeStart }: Counting, from: FrameNumber, to: FrameNumber): Span => {
  const [first, last] = [from, to].map((frame) => timecodeOf(frame, fps, timecodeStart));
  return {
    from,
    to,
    timecode: first === null || last === null ? null : [first, last],
    feet: [feetAndFrames(from), feetAndFrames(to)],
  };
};

/** Frames from timecode zero on: the frame number itself, on top of the timecode at which the shot starts. */
export const countedFrame = ({ fps, timecodeStart }: Counting, frame: FrameNumber): number =>
  frame + (timecodeStart === null ? 0 : (framesOfTimecode(timecodeStart, fps) ?? 0));

/** "5 to 24", or "5" alone. */
export const stretch = ([first, last]: readonly [string | number, string | number]): string =>
  first === last ? `${first}` : `${first} to ${last}`;
