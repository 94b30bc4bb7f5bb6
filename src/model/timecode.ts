// Whoever imports this file needs the library's types, under whichever tsconfig.
// oxlint-disable-next-line typescript/triple-slash-reference
/// <reference path="./smpte-timecode.d.ts" />
import Timecode from "smpte-timecode";
import type { FrameNumber } from "../units/index.ts";

// Frame numbers as people who cut film and video write them. The frame number itself is counted: frame 0
// is 00:00:00:00 and 0+00. The arithmetic of drop-frame is the library's; what it lets through is checked here.

/** 35 mm film with four perforations a frame. */
const FRAMES_A_FOOT = 16;

interface Rate {
  readonly ratio: readonly [number, number];
  /** Whole frames that the last field counts to. */
  readonly nominal: number;
  /** True at 29.97 and 59.94, where a semicolon drops numbers so that the count keeps up with the clock. */
  readonly canDrop: boolean;
}

/** Null for rates that no timecode is defined for, such as 12.5. */
const rateOf = (fps: number): Rate | null => {
  const nominal = Math.round(fps);
  if (!(nominal > 0)) return null;
  if (fps === nominal) return { ratio: [nominal, 1], nominal, canDrop: false };
  // 23.976 is written 23.98 as well.
  const isNtsc = [24, 30, 60].includes(nominal) && Math.abs(fps - (nominal * 1000) / 1001) < 0.006;
  return isNtsc ? { ratio: [nominal * 1000, 1001], nominal, canDrop: nominal !== 24 } : null;
};

const SHAPE = /^\d\d:\d\d:\d\d[:;]\d\d\d?$/;

const read = (timecode: string, rate: Rate): Timecode | null => {
  const drop = timecode.includes(";");
  if (!SHAPE.test(timecode) || (drop && !rate.canDrop)) return null;
  try {
    return new Timecode(timecode.replace(";", ":"), rate.ratio, drop);
  } catch {
    return null;
  }
};

/**
 * Frames that a timecode counts at a rate; "01:00:00:00" at 24 is 86400. A semicolon before the frames
 * means drop-frame, which 29.97 and 59.94 have. Null where it is no timecode at this rate.
 */
export const framesOfTimecode = (timecode: string, fps: number): number | null => {
  const rate = rateOf(fps);
  return rate === null ? null : (read(timecode, rate)?.frameCount ?? null);
};

/**
 * Timecode of a frame, counted from `start` (the timecode of frame 0). Without a start 29.97 and 59.94 count in
 * drop-frame; with one its own separator decides. Starts again after 24 hours. Null where the rate has no timecode,
 * or the start isn't one at this rate.
 */
export const timecodeOf = (frame: FrameNumber, fps: number, start: string | null = null): string | null => {
  const rate = rateOf(fps);
  const first = rate === null || start === null ? 0 : read(start, rate)?.frameCount;
  if (rate === null || first === undefined) return null;
  const drop = start === null ? rate.canDrop : start.includes(";");
  const { hours, minutes, seconds, frames } = new Timecode(first + frame, rate.ratio, drop);
  const pad = (value: number) => String(value).padStart(2, "0");
  return `${pad(hours)}:${pad(minutes)}:${pad(seconds)}${drop ? ";" : ":"}${pad(frames)}`;
};

/** Feet and frames of 35 mm film, four perforations: frame 24 is "1+08". */
export const feetAndFrames = (frame: FrameNumber): string =>
  `${Math.floor(frame / FRAMES_A_FOOT)}+${String(frame % FRAMES_A_FOOT).padStart(2, "0")}`;
