import { writeJson } from "./json.ts";
import type { Flag, Report, ReportFrame, ReportPart, ReportShot, Track } from "./report.ts";

const WIDTH = 120;
/** The lists are broken into rows; a row is one line, however long, so that two reports compare line by line. */
const DEPTH = 2;

/** Smallest step that is written: a millionth of a px, mm or stop. */
const DECIMALS = 6;
/** Of a turn, radians, or a scale: at 1,000 px from the pivot it is a millionth of a px as well. */
const FINE_DECIMALS = 9;

const rounded = (value: number, decimals: number): number | null => {
  if (!Number.isFinite(value)) return null;
  const steps = 10 ** decimals;
  const scaled = Math.round(value * steps);
  // Past 2^53 steps there is nothing left to round.
  return Math.abs(scaled) < Number.MAX_SAFE_INTEGER ? scaled / steps + 0 : value;
};

const fineKeys = new Set(["turn", "sigmaTurn", "scale"]);
/** What a person set, not what was measured, is written to the last digit. */
const wholeKeys = new Set(["fps", "pxPerMm"]);

const isBroken = (value: unknown): boolean => typeof value === "number" && !Number.isFinite(value);

/**
 * The value with every number rounded by the key it stands under, and null for what is no number: a vector that
 * lacks a coordinate is no vector.
 */
const tidy = (value: unknown, key = ""): unknown => {
  if (wholeKeys.has(key)) return value;
  if (typeof value === "number") return rounded(value, fineKeys.has(key) ? FINE_DECIMALS : DECIMALS);
  if (Array.isArray(value) && value.some(isBroken)) return null;
  if (Array.isArray(value)) return value.map((item: unknown) => tidy(item, key));
  if (typeof value !== "object" || value === null) return value;
  const tidied: Record<string, unknown> = {};
  for (const [own, item] of Object.entries(value)) tidied[own] = tidy(item, own);
  return tidied;
};

const shotOut = ({ name, fps, width, height, frames, analysisWidth, folder, ...others }: ReportShot) => ({
  name,
  fps,
  width,
  height,
  frames,
  analysisWidth,
  folder,
  ...others,
});

const partOut = ({ id, name, kind, puppet, copy, build, outline, ...others }: ReportPart) => ({
  id,
  name,
  kind,
  puppet,
  copy,
  build,
  outline,
  ...others,
});

const cameraOut = (camera: ReportFrame["camera"]) => {
  if (camera === null) return null;
  const { dx, dy, turn, scale, sigma, ...others } = camera;
  if ([dx, dy, turn, scale, sigma].some(isBroken)) return null;
  return { dx, dy, turn, scale, sigma, ...others };
};

const frameOut = ({ frame, file, time, lightStops, camera, ...others }: ReportFrame) => ({
  frame,
  file,
  time,
  lightStops,
  camera: cameraOut(camera),
  ...others,
});

const trackOut = ({ part, frame, anchor, dx, dy, turn, ...rest }: Track) => {
  const { sigmaDx, sigmaDy, rho, sigmaTurn, rawDx, rawDy, crawlPx, state, reason, floorPx, ...others } = rest;
  const fitted = { dx, dy, turn, sigmaDx, sigmaDy, rho, sigmaTurn, rawDx, rawDy, crawlPx };
  return { part, frame, anchor, ...fitted, state, reason, floorPx, ...others };
};

const flagOut = ({ id, kind, part, from, to, px, mm, stops, carries, sigma, score, ...rest }: Flag) => {
  const { direction, perMinutePx, joint, pivot, region, message, causes, fixes, ...others } = rest;
  const size = { from, to, px, mm, stops, carries, sigma, score, direction, perMinutePx };
  return { id, kind, part, ...size, joint, pivot, region, message, causes, fixes, ...others };
};

const sortedKeys = (record: Readonly<Record<string, number>>) =>
  Object.fromEntries(Object.entries(record).toSorted(([a], [b]) => (a < b ? -1 : 1)));

/**
 * The text of a report file. Keys stand in the order of the format, additions after them, one row a line. Numbers are
 * rounded to a millionth (turn and scale to a thousand-millionth), NaN and infinity become null.
 */
export const serialiseReport = (report: Report): string => {
  const { format, version, shot, made, parts, frames, tracks, flags, warnings, ...others } = report;
  const { holdfast, sheetSha256, bands, thresholds, ...madeOthers } = made;
  const file = {
    format,
    version,
    shot: shotOut(shot),
    made: {
      holdfast,
      sheetSha256,
      bands: sortedKeys(bands),
      thresholds: sortedKeys(thresholds),
      ...madeOthers,
    },
    parts: parts.map(partOut),
    frames: frames.map(frameOut),
    tracks: tracks.map(trackOut),
    flags: flags.map(flagOut),
    warnings: warnings.map(({ code, detail, ...rest }) => ({ code, detail, ...rest })),
    ...others,
  };
  return writeJson(tidy(file), WIDTH, DEPTH);
};
