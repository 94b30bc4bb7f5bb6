import { feetAndFrames, timecodeOf } from "../../model/index.ts";
import type { FrameNumber } from "../../units/index.ts";

/** What a frame's place is told by. */
export interface FrameClock {
  readonly fps: number;
  readonly timecodeStart: string | null;
  /** Capture time of a frame as the camera wrote it; null where it isn't known. */
  readonly timeOf: (frame: number) => string | null;
}

/** A frame's place as it stands on the axis; empty where it can't be told that way. */
export function axisWords(
  frame: number,
  kind: "frames" | "timecode" | "feet" | "time",
  { fps, timecodeStart, timeOf }: FrameClock,
): string {
  if (kind === "timecode") return timecodeOf(frame as FrameNumber, fps, timecodeStart) ?? "";
  if (kind === "feet") return feetAndFrames(frame as FrameNumber);
  if (kind === "time") return /T(\d{2}:\d{2})/u.exec(timeOf(frame) ?? "")?.[1] ?? "";
  return String(frame);
}

const days = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];

/** "Mon", the day of a capture time; empty where there is none. */
export function dayWords(time: string | null): string {
  const found = /^(\d{4})-(\d{2})-(\d{2})T/u.exec(time ?? "");
  if (!found) return "";
  return days[new Date(Date.UTC(Number(found[1]), Number(found[2]) - 1, Number(found[3]))).getUTCDay()]!;
}
