import type { Flag, Report, Track } from "../../src/model/index.ts";
import { frameNumber, mm, px, radians, stops } from "../../src/units/index.ts";

// A report to be told in words and judged by its exit code: the left arm and the jacket of Oda, shot hive_010.

export const shotFrames = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11].map(frameNumber);

export const track = (part: string, frame: number, more: Partial<Track> = {}): Track => ({
  part,
  frame: frameNumber(frame),
  anchor: frameNumber(1),
  dx: px(0),
  dy: px(0),
  turn: radians(0),
  sigmaDx: px(0.01),
  sigmaDy: px(0.01),
  rho: 0,
  sigmaTurn: radians(0.0001),
  rawDx: px(0),
  rawDy: px(0),
  crawlPx: px(0),
  state: "ok",
  reason: "",
  floorPx: px(0.03),
  ...more,
});

export const lost = (part: string, frame: number, reason: string): Track =>
  track(part, frame, { dx: null, dy: null, turn: null, state: "lost", reason });

export const sag: Flag = {
  id: "sag-arm-left-2",
  kind: "sag",
  part: "arm-left",
  from: frameNumber(2),
  to: frameNumber(11),
  px: px(1.934),
  mm: mm(0.46),
  stops: null,
  carries: ["cuff-left"],
  sigma: 0.012,
  score: 12.6,
  direction: [0.12, 0.99],
  perMinutePx: px(0.05),
  joint: "shoulder-left",
  pivot: [px(404.1), px(97.2)],
  region: null,
  message: "Left arm sagged 1.93 px over 10 frames.",
  causes: [],
  fixes: [],
};

export const lamp: Flag = {
  ...sag,
  id: "light-7",
  kind: "light",
  part: null,
  from: frameNumber(7),
  to: frameNumber(7),
  px: null,
  mm: null,
  stops: stops(-0.0893),
  carries: [],
  sigma: 0.004,
  direction: null,
  perMinutePx: null,
  joint: null,
  pivot: null,
  message: "Frame 7 is 0.09 stops darker than its neighbours.",
};

const part = (id: string, name: string): Report["parts"][number] => ({
  id,
  name,
  kind: "limb",
  puppet: "oda",
  copy: null,
  build: null,
  outline: [
    [px(0), px(0)],
    [px(9), px(0)],
    [px(9), px(9)],
  ],
});

export const report = (more: Partial<Report> = {}): Report => ({
  format: "holdfast-report",
  version: 1,
  shot: {
    name: "hive_010",
    fps: 24,
    width: 1280,
    height: 720,
    frames: shotFrames,
    analysisWidth: 1280,
    folder: "hive_010",
  },
  made: { holdfast: "0.1.0", sheetSha256: null, bands: {}, thresholds: {} },
  parts: [part("arm-left", "Left arm"), part("cuff-left", "Left cuff")],
  frames: [],
  tracks: ["arm-left", "cuff-left"].flatMap((id) => shotFrames.slice(1).map((frame) => track(id, frame))),
  flags: [],
  warnings: [],
  ...more,
});
