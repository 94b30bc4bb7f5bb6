import { frameNumber, px, radians, stops } from "../../src/units/index.ts";
import type { Flag, Report, ReportPart, Track } from "../../src/model/index.ts";

// Small reports for the tests of what the page makes of them.

export const square = (x: number, y: number, size = 20): ReportPart["outline"] => [
  [px(x), px(y)],
  [px(x + size), px(y)],
  [px(x + size), px(y + size)],
  [px(x), px(y + size)],
];

export const partOf = (id: string, more: Partial<ReportPart> = {}): ReportPart => ({
  id,
  name: id,
  kind: "limb",
  puppet: "oda",
  copy: null,
  build: null,
  outline: square(100, 100),
  ...more,
});

export const rowOf = (part: string, frame: number, more: Partial<Track> = {}): Track => ({
  part,
  frame: frameNumber(frame),
  anchor: frameNumber(1),
  dx: px(0),
  dy: px(0),
  turn: radians(0),
  sigmaDx: px(0.01),
  sigmaDy: px(0.01),
  rho: 0,
  sigmaTurn: radians(0),
  rawDx: px(0),
  rawDy: px(0),
  crawlPx: null,
  state: "ok",
  reason: "",
  floorPx: px(0.03),
  ...more,
});

export const lostRow = (part: string, frame: number, reason: string): Track =>
  rowOf(part, frame, {
    dx: null,
    dy: null,
    turn: null,
    rawDx: null,
    rawDy: null,
    floorPx: null,
    state: "weak",
    reason,
  });

export const flagOf = (more: Partial<Flag> = {}): Flag => ({
  id: "flag",
  kind: "sag",
  part: "arm",
  from: frameNumber(2),
  to: frameNumber(4),
  px: px(1),
  mm: null,
  stops: null,
  carries: [],
  sigma: 0.01,
  score: 5,
  direction: [0, 1],
  perMinutePx: null,
  joint: null,
  pivot: null,
  region: null,
  message: "The arm sagged.",
  causes: [],
  fixes: [],
  ...more,
});

export const reportOf = (frames: readonly number[], more: Partial<Report> = {}): Report => ({
  format: "holdfast-report",
  version: 1,
  shot: {
    name: "hive_010",
    fps: 24,
    width: 400,
    height: 300,
    frames: frames.map(frameNumber),
    analysisWidth: 400,
    folder: "hive_010",
  },
  made: { holdfast: "0.1.0", sheetSha256: null, bands: { sag: 0.3, "camera-shift": 0.1, light: 0.02 }, thresholds: {} },
  parts: [],
  frames: frames.map((frame) => ({
    frame: frameNumber(frame),
    file: `hive_010_${frame}.jpg`,
    time: null,
    lightStops: stops(0),
    camera: { dx: px(0), dy: px(0), turn: radians(0), scale: 1, sigma: px(0.002) },
  })),
  tracks: [],
  flags: [],
  warnings: [],
  ...more,
});
