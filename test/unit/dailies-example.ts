import type { Flag, Note, Report, Verdict } from "../../src/model/index.ts";
import type { DailiesSource } from "../../src/reports/dailies/dailies.ts";
import { frameNumber, px, radians, stops } from "../../src/units/index.ts";
import { lamp, report, sag, shotFrames } from "./cli-report.ts";

// Two shots of Oda in the honey shed, with what people said about them.

export const knock: Flag = {
  ...sag,
  id: "camera-shift-9",
  kind: "camera-shift",
  part: null,
  from: frameNumber(9),
  to: frameNumber(9),
  px: px(0.5),
  mm: null,
  carries: [],
  sigma: 0.005,
  joint: null,
  pivot: null,
  perMinutePx: null,
  message: "Camera was knocked by 0.5 px at frame 9.",
};

const camera = (dx: number) => ({ dx: px(dx), dy: px(-0.25), turn: radians(0.001), scale: 1.0005, sigma: px(0.002) });

/** hive_010: eleven frames over midnight, frames 1 to 6 on the first day. */
export const hive010 = (more: Partial<Report> = {}): Report =>
  report({
    shot: { ...report().shot, cut: [frameNumber(3), frameNumber(8)], timecodeStart: "01:00:00:00" },
    frames: shotFrames.map((frame) => ({
      frame,
      file: `hive_010_${String(frame).padStart(4, "0")}.jpg`,
      time: frame <= 6 ? `2026-03-02T23:0${frame}:00` : `2026-03-03T00:${10 + frame}:00`,
      lightStops: frame === 5 ? null : stops(frame * -0.01),
      camera: frame === 5 ? null : camera(frame / 10),
    })),
    flags: [sag, lamp, knock],
    ...more,
  });

export const verdict = (more: Partial<Verdict> = {}): Verdict => ({
  id: "v1",
  shot: "s1",
  flag: {
    id: sag.id,
    kind: "sag",
    part: "arm-left",
    from: sag.from,
    to: sag.to,
    px: sag.px,
    sigma: sag.sigma,
    stops: null,
  },
  choice: "to-the-bench",
  who: "AB",
  note: '=new ball | at the "elbow"',
  untilFrame: null,
  made: "2026-03-03T08:00:00Z",
  changed: "2026-03-03T08:00:00Z",
  ...more,
});

export const note = (more: Partial<Note> = {}): Note => ({
  id: "n1",
  shot: "s1",
  frame: frameNumber(7),
  part: "cuff-left",
  text: "# Thread hangs out\nof the cuff",
  who: "CD",
  made: "2026-03-03T08:00:00Z",
  changed: "2026-03-03T08:00:00Z",
  ...more,
});

export const source = (more: Partial<DailiesSource> = {}): DailiesSource => ({
  id: "s1",
  report: hive010(),
  sheet: null,
  verdicts: [verdict()],
  notes: [note()],
  take: 2,
  shootingDay: null,
  ...more,
});

/** A shot on which nothing was found, taken with a camera that writes no times. */
export const hive020 = (): DailiesSource =>
  source({
    report: report({ shot: { ...report().shot, name: "hive_020" } }),
    verdicts: [],
    notes: [],
    take: null,
  });
