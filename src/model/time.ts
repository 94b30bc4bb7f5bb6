import { type FrameNumber, type Seconds, seconds } from "../units/index.ts";
import type { Warning } from "./report.ts";

// When the frames were taken. Creep goes by the clock, so a wrong time is worse than none.

export interface TimedFrame {
  readonly frame: FrameNumber;
  /** "YYYY-MM-DDTHH:MM:SS" or EXIF's own "YYYY:MM:DD HH:MM:SS", or null. */
  readonly exifTime: string | null;
  /** The file's own time, milliseconds since 1970, or null. */
  readonly modified: number | null;
}

export interface CaptureTime {
  readonly frame: FrameNumber;
  /** Local time as the camera wrote it, "YYYY-MM-DDTHH:MM:SS", or null. */
  readonly time: string | null;
  /** Since the first frame that has a time; negative for one that was taken again before it. Null without a time. */
  readonly clock: Seconds | null;
}

export interface CaptureTimes {
  /** In the order of the frame numbers. */
  readonly times: readonly CaptureTime[];
  readonly source: "exif" | "file" | "none";
  readonly warnings: readonly Warning[];
}

/** A copy writes many files in a second; nobody shoots a frame in less. */
const SHORTEST_FRAME_MS = 1000;

/** The last moment of the year 9999: past it the four digits of a year don't do. */
const LATEST_MS = 253_402_300_799_999;

const isFileTime = (modified: number | null): modified is number =>
  modified !== null && modified >= 0 && modified <= LATEST_MS - 86_400_000;

const WRITTEN = /^(\d{4})[-:](\d\d)[-:](\d\d)[T ](\d\d):(\d\d):(\d\d)/;

/** The same digits as if they were UTC, so that no time zone shifts them; null where they are no time. */
const readTime = (text: string): number | null => {
  const fields = WRITTEN.exec(text)?.slice(1).map(Number);
  if (fields === undefined) return null;
  const [year, month, day, hour, minute, second] = fields;
  const at = Date.UTC(year, month - 1, day, hour, minute, second);
  const date = new Date(at);
  // A camera whose clock was never set writes zeros; 31 February rolls over: neither is a time.
  const holds = year >= 1900 && date.getUTCMonth() === month - 1 && date.getUTCDate() === day && hour < 24;
  return holds && minute < 60 && second < 60 ? at : null;
};

const writeUtc = (at: number): string => new Date(at).toISOString().slice(0, 19);

/** A file's time as a clock on the wall shows it here, in the digits of UTC. */
const wallTime = (modified: number): number => {
  const date = new Date(modified);
  return Date.UTC(
    date.getFullYear(),
    date.getMonth(),
    date.getDate(),
    date.getHours(),
    date.getMinutes(),
    date.getSeconds(),
  );
};

const listed = (frames: readonly number[]): string => {
  const shown = frames.slice(0, 10).join(", ");
  return frames.length > 10 ? `${shown} and ${frames.length - 10} more` : shown;
};

/**
 * Capture times of a shot's frames. EXIF's where any frame has one (a frame without then has none, with a warning).
 * Else the files' own times, if they rise with the frame numbers by at least a second each, as they do on the disk that
 * the camera wrote and not on a fresh copy. Else none, with a warning.
 */
export const captureTimes = (frames: readonly TimedFrame[]): CaptureTimes => {
  const ordered = frames.toSorted((a, b) => a.frame - b.frame);
  const none = (detail: string): CaptureTimes => ({
    times: ordered.map(({ frame }) => ({ frame, time: null, clock: null })),
    source: "none",
    warnings: detail === "" ? [] : [{ code: "no-capture-times", detail }],
  });
  const exif = ordered.map(({ exifTime }) => (exifTime === null ? null : readTime(exifTime)));
  const first = exif.find((at) => at !== null);
  if (first !== undefined && first !== null) {
    const known = exif.filter((at) => at !== null);
    if (known.length > 1 && new Set(known).size === 1) {
      return none(`no capture times: all frames carry the same one, ${writeUtc(first)}`);
    }
    const without = ordered.filter((_, i) => exif[i] === null).map(({ frame }) => frame);
    return {
      times: ordered.map(({ frame }, i) => {
        const at = exif[i];
        return at === null
          ? { frame, time: null, clock: null }
          : { frame, time: writeUtc(at), clock: seconds((at - first) / 1000) };
      }),
      source: "exif",
      warnings:
        without.length === 0
          ? []
          : [{ code: "frames-without-time", detail: `no capture time in frames ${listed(without)}` }],
    };
  }
  if (ordered.length === 0) return none("");
  const unknown = ordered.find(({ modified }) => !isFileTime(modified));
  if (unknown !== undefined) return none(`no capture times: frame ${unknown.frame} has none, nor a file time`);
  const files = ordered.map(({ modified }) => modified ?? 0);
  const late = files.findIndex((at, i) => i > 0 && at - files[i - 1] < SHORTEST_FRAME_MS);
  if (late > 0) {
    return none(
      `no capture times: the frames carry none, and the files' own times don't rise by a second from frame ` +
        `${ordered[late - 1].frame} to frame ${ordered[late].frame}, as after copying`,
    );
  }
  return {
    times: ordered.map(({ frame }, i) => ({
      frame,
      time: writeUtc(wallTime(files[i])),
      clock: seconds((files[i] - files[0]) / 1000),
    })),
    source: "file",
    warnings: [],
  };
};
