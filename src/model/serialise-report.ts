import { writeJson } from "./json.ts";
import type { Flag, Report, ReportFrame, ReportPart, ReportShot, Track } from "./report.ts";
import { isBroken, tidy } from "./tidy.ts";

const WIDTH = 120;
/** The lists are broken into rows; a row is one line, however long, so that two reports compare line by line. */
const DEPTH = 2;

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
