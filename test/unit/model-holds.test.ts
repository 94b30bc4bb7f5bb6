import { expect, test } from "vitest";
import {
  createPart,
  createSheet,
  growPuppets,
  type Intent,
  type Report,
  type Sheet,
  summariseHolds,
} from "../../src/model/index.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";
import { flagOf, partOf, reportOf, rowOf, square } from "../support/ui-report.ts";

const intent = (from: number, to: number, name: Intent["intent"], wears: string | null = null): Intent => ({
  from: frameNumber(from),
  to: frameNumber(to),
  intent: name,
  wears,
});
const frames = [1, 2, 3, 4, 5, 6, 7, 8];
/** Two minutes a frame, from ten past nine. */
const timed = (report: Report): Report => ({
  ...report,
  frames: report.frames.map((row) => ({
    ...row,
    time: `2026-03-02T09:${String(10 + 2 * row.frame).padStart(2, "0")}:00`,
  })),
});

test("a hold is told at its last frame: size, sigma, millimetres, degrees and minutes since its anchor", () => {
  const report = timed(
    reportOf(frames, {
      shot: { ...reportOf(frames).shot, pxPerMm: 4 },
      parts: [partOf("arm", { intents: [intent(1, 8, "holds")] })],
      // 0.1 px a frame down; no turn, so that every corner goes alike.
      tracks: frames.slice(1).map((frame) => rowOf("arm", frame, { dy: px(0.1 * (frame - 1)) })),
      flags: [flagOf({ part: "arm", joint: "shoulder" })],
    }),
  );
  const [hold, ...none] = summariseHolds(report, null);
  expect(none).toEqual([]);
  expect(hold).toMatchObject({
    part: "arm",
    intent: "holds",
    from: 1,
    to: 8,
    frames: 7,
    minutes: 14,
    joint: "shoulder",
  });
  expect(hold.time).toBe("2026-03-02T09:12:00");
  expect(hold.px).toBeCloseTo(0.7, 9);
  expect(hold.mm).toBeCloseTo(0.175, 9);
  expect(hold.sigma).toBeCloseTo(0.01, 9);
  expect(hold.sigmaMm).toBeCloseTo(0.0025, 9);
  expect(hold.direction).toEqual([0, 1]);
  expect([...hold.trace].map((value) => Math.round(value * 10))).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
  expect(hold.flags).toMatchObject([{ id: "flag", kind: "sag", from: 2, to: 4 }]);
});

test("a turn counts at the corner that goes farthest, and so does its uncertainty", () => {
  // The square is 20 px wide: its corners are 14.14 px from its middle.
  const row = rowOf("arm", 8, { turn: radians(0.1), sigmaTurn: radians(0.01), sigmaDx: px(0), sigmaDy: px(0) });
  const [hold] = summariseHolds(reportOf(frames, { parts: [partOf("arm")], tracks: [row] }), null);
  expect(hold.px).toBeCloseTo(Math.SQRT2, 6);
  expect(hold.sigma).toBeCloseTo(Math.SQRT2 / 10, 6);
  expect(hold.degrees).toBeCloseTo((0.1 * 180) / Math.PI, 9);
  expect(hold.sigmaDegrees).toBeCloseTo((0.01 * 180) / Math.PI, 9);
});

test("each anchor is a hold, frames that move are none, and what wasn't measured is left out", () => {
  const anchor = (frame: number) => frameNumber(frame);
  const report = reportOf(frames, {
    parts: [partOf("arm", { intents: [intent(1, 3, "holds"), intent(4, 5, "moves"), intent(6, 8, "holds")] })],
    tracks: [
      rowOf("arm", 2, { dx: px(0.2) }),
      rowOf("arm", 3, { dx: null, dy: null, state: "lost", reason: "covered" }),
      rowOf("arm", 4, { anchor: anchor(3) }),
      rowOf("arm", 5, { anchor: anchor(4) }),
      rowOf("arm", 7, { anchor: anchor(6), dy: px(0.3) }),
      rowOf("arm", 8, { anchor: anchor(6), dy: px(0.5) }),
    ],
  });
  expect(summariseHolds(report, null).map(({ from, to, frames: count, px: size }) => [from, to, count, size])).toEqual([
    [1, 2, 1, 0.2],
    [6, 8, 2, 0.5],
  ]);
});

test("what rides is told from frame to frame, and summed up it is one hold", () => {
  const report = reportOf(frames, {
    parts: [partOf("cuff", { kind: "costume", intents: [intent(1, 8, "rides")] })],
    tracks: frames
      .slice(1)
      .map((frame) =>
        rowOf("cuff", frame, { anchor: frameNumber(frame - 1), dx: px(0.2), sigmaDx: px(0.03), sigmaDy: px(0) }),
      ),
  });
  const [hold, ...none] = summariseHolds(report, null);
  expect(none).toEqual([]);
  // Seven steps of 0.2 px; seven independent sigmas of 0.03 px make 0.03 times the root of 7.
  expect(hold).toMatchObject({ from: 1, to: 8, frames: 7 });
  expect(hold.px).toBeCloseTo(1.4, 9);
  expect(hold.sigma).toBeCloseTo(0.03 * Math.sqrt(7), 9);
  expect([...hold.trace].at(-1)).toBeCloseTo(1.4, 5);
});

test("a swapped piece is told by how it sat when it was put on", () => {
  const report = reportOf(frames, {
    parts: [
      partOf("mouth", {
        kind: "face",
        intents: [intent(1, 4, "swapped", "mouth-1"), intent(5, 8, "swapped", "mouth-1")],
      }),
    ],
    tracks: [
      rowOf("mouth", 5, { anchor: frameNumber(4), dx: px(0.4) }),
      rowOf("mouth", 6, { anchor: frameNumber(4), dx: px(0.41) }),
    ],
  });
  const [hold] = summariseHolds(report, null);
  expect(hold).toMatchObject({ intent: "swapped", wears: "mouth-1", from: 4, px: 0.4 });
});

const sheet = (joint: readonly [number, number], moves = false): Sheet =>
  createSheet("hive_010", [
    createPart({
      id: "arm",
      name: "Left arm",
      kind: "limb",
      puppet: "oda",
      copy: "B",
      outlines: [{ frame: frameNumber(1), points: square(100, 100), holes: [] }],
      joints: [{ id: "shoulder", name: "Shoulder", frame: frameNumber(1), at: [px(joint[0]), px(joint[1])] }],
      intents: moves ? [intent(1, 4, "moves"), intent(5, 8, "holds")] : [intent(1, 8, "holds")],
    }),
  ]);

test("a pose is how far a part stands out from hanging from its joint, whichever side, and moves count", () => {
  const tracks = [rowOf("arm", 8)];
  const pose = (joint: readonly [number, number]) =>
    summariseHolds(reportOf(frames, { parts: [partOf("arm")], tracks }), sheet(joint))[0].poseDegrees;
  // The middle of the arm is (110, 110).
  expect(pose([110, 50])).toBeCloseTo(0, 6);
  expect(pose([50, 110])).toBeCloseTo(90, 6);
  expect(pose([170, 110])).toBeCloseTo(90, 6);
  expect(pose([110, 170])).toBeCloseTo(180, 6);
  const moved = reportOf(frames, {
    parts: [partOf("arm", { intents: [intent(1, 4, "moves"), intent(5, 8, "holds")] })],
    tracks: [
      rowOf("arm", 2, { turn: radians(-0.2) }),
      rowOf("arm", 3, { anchor: frameNumber(2), turn: radians(-0.1) }),
      rowOf("arm", 8, { anchor: frameNumber(5) }),
    ],
  });
  expect(summariseHolds(moved, sheet([110, 50], true))[0].poseDegrees).toBeCloseTo((0.3 * 180) / Math.PI, 6);
  expect(summariseHolds(moved, null)[0].poseDegrees).toBeNull();
});

test("puppets grow from sheets: copies, parts and joints are added, nothing is taken away, and the same sheet changes nothing", () => {
  const [oda] = growPuppets([], sheet([1, 1]), "honey", "2026-03-02T18:00:00Z");
  expect(oda).toMatchObject({ id: "honey/oda", name: "oda", copies: ["B"] });
  expect(oda.parts).toMatchObject([{ id: "arm", joints: [{ id: "shoulder", name: "Shoulder" }] }]);
  expect(growPuppets([oda], sheet([9, 9]), "honey", "2026-03-03T18:00:00Z")).toEqual([]);
  const other = createSheet("hive_020", [
    createPart({
      id: "head",
      name: "Head",
      kind: "head",
      puppet: "oda",
      copy: "A",
      outlines: [{ frame: frameNumber(1), points: square(0, 0), holes: [] }],
    }),
  ]);
  const [grown] = growPuppets([oda], other, "honey", "2026-03-03T18:00:00Z");
  expect(grown.copies).toEqual(["B", "A"]);
  expect(grown.parts.map(({ id }) => id)).toEqual(["arm", "head"]);
  expect(grown.changed).toBe("2026-03-03T18:00:00Z");
  expect(growPuppets([oda], other, "another", "2026-03-03T18:00:00Z")[0].parts).toHaveLength(1);
});
