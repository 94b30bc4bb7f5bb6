import type { HoldFlag, HoldSummary, Repair } from "../../src/model/index.ts";
import type { BenchShot } from "../../src/reports/bench/holds.ts";

// Holds of Oda in the honey shed, as the bench gets them.

export const sagFlag = (more: Partial<HoldFlag> = {}): HoldFlag => ({
  id: "sag",
  kind: "sag",
  px: 1,
  sigma: 0.01,
  mm: 0.25,
  joint: "elbow-left",
  from: 3,
  to: 24,
  perMinutePx: null,
  perMinuteSigma: null,
  ...more,
});

/** An hour's hold of the left forearm, still by default. */
export const hold = (more: Partial<HoldSummary> = {}): HoldSummary => ({
  part: "forearm-left",
  name: "Left forearm",
  kind: "limb",
  puppet: "oda",
  copy: "A",
  build: "ball",
  joint: null,
  intent: "holds",
  wears: null,
  from: 1,
  to: 24,
  frames: 23,
  time: "2026-03-02T10:00:00",
  minutes: 60,
  px: 0.005,
  sigma: 0.005,
  mm: 0.001,
  sigmaMm: 0.001,
  degrees: 0.001,
  sigmaDegrees: 0.002,
  direction: [0, 1],
  floorPx: 0.03,
  poseDegrees: 80,
  trace: new Float32Array([0, 0.002, 0.005]),
  flags: [],
  carriedBy: null,
  ...more,
});

/** One that sagged by so many degrees an hour. */
export const sagged = (degrees: number, more: Partial<HoldSummary> = {}): HoldSummary =>
  hold({ px: degrees * 2, mm: degrees / 2, degrees, flags: [sagFlag()], ...more });

export const benchShot = (shotName: string, holds: readonly HoldSummary[]): BenchShot => ({
  shot: shotName,
  shotName,
  holds,
});

export const repair = (more: Partial<Repair> = {}): Repair => ({
  id: "r1",
  production: "honey",
  puppet: "oda",
  copy: "A",
  part: "forearm-left",
  joint: "elbow-left",
  fix: null,
  what: "the new elbow ball",
  who: "AB",
  done: "2026-03-05T18:00",
  made: "2026-03-05T18:05:00Z",
  changed: "2026-03-05T18:05:00Z",
  ...more,
});
