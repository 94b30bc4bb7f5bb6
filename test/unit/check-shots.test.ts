import { expect, test } from "vitest";
import type { Flag, Report } from "../../src/model/index.ts";
import type { Shot } from "../support/shot.ts";
import * as shots from "../support/shots.ts";
import { centroidOf, displacementOf, layerOf } from "../support/truth.ts";
import { checked, inShort, tracksOf } from "./check-rendered.ts";

// Whole checks of small rendered shots, saved as JPEG 92 with noise 1 of 255: the flag that is expected, and no other.

/** The one flag of a report, or a failure that quotes what was flagged instead. */
function only(report: Report, kind: Flag["kind"], part: string | null): Flag {
  expect(report.flags.map((flag) => `${flag.kind} ${flag.part} ${flag.from}: ${flag.message}`)).toHaveLength(1);
  expect(report.flags[0]).toMatchObject({ kind, part });
  return report.flags[0];
}

/** Root mean square error of a part's tracks against the truth, px; every frame must have its number. */
function trackError(report: Report, shot: Shot, part: string): number {
  const place = centroidOf(layerOf(shot.scene, part).part?.outline ?? layerOf(shot.scene, part).outline);
  const squares = tracksOf(report, part).map(({ frame, anchor, dx, dy }) => {
    const [x, y] = displacementOf(shot.scene, part, place, frame, { against: anchor });
    return ((dx! - x) ** 2 + (dy! - y) ** 2) / 2;
  });
  expect(squares.length).toBe(shot.frames - 1);
  return Math.sqrt(squares.reduce((sum, value) => sum + value, 0) / squares.length);
}

const small = { width: 320, height: 240, size: 100 };

test("an arm that sags about its shoulder is flagged once, with what it carries, and the shoulder is named", async () => {
  const shot = shots.armSag({ frames: 16, width: 400, height: 300, sagPerFrame: 0.12 });
  const report = await checked(shot);
  const flag = only(report, "sag", "arm-left");
  const [expected] = shot.expected;
  expect(flag.joint).toBe("shoulder-left");
  expect([...flag.carries].toSorted()).toEqual(["forearm-left", "hand-left"]);
  expect(Math.abs(flag.px! - expected.px!)).toBeLessThan(0.2);
  expect(flag.from).toBeLessThanOrEqual(5);
  expect(flag.to).toBe(16);
  expect(flag.direction![1]).toBeGreaterThan(0.8);
  expect(flag.mm!).toBeCloseTo(flag.px! / 4, 6);
  for (const part of ["torso", "head"]) expect(trackError(report, shot, part)).toBeLessThan(0.05);
});

test("a held part that droops 0.03 px a frame is flagged as a sag from where it began", async () => {
  const shot = shots.heldPart({ ...small, sagPerFrame: 0.03, onset: 8 });
  const report = await checked(shot);
  const flag = only(report, "sag", "held");
  expect(Math.abs(flag.px! - 0.51)).toBeLessThan(0.06);
  expect(Math.abs(flag.from - 8)).toBeLessThanOrEqual(3);
  expect(trackError(report, shot, "held")).toBeLessThan(0.02);
});

test("a held part that is knocked stays where it went, and is flagged in that frame", async () => {
  const shot = shots.knockedPart({ ...small, frame: 13, px: 0.5, frames: 20 });
  const report = await checked(shot);
  const flag = only(report, "knock", "held");
  expect(flag.from).toBe(13);
  expect(Math.abs(flag.px! - 0.5)).toBeLessThan(0.05);
  expect(flag.direction![0]).toBeGreaterThan(0.95);
  expect(trackError(report, shot, "held")).toBeLessThan(0.02);
});

test("a knock of six px on herringbone is told in full", async () => {
  const shot = shots.knockedPart({
    ...small,
    texture: "herringbone",
    frame: 9,
    px: 6,
    direction: [0.8, -0.6],
    frames: 16,
  });
  const report = await checked(shot);
  const flag = only(report, "knock", "held");
  expect(flag.from).toBe(9);
  expect(Math.abs(flag.px! - 6)).toBeLessThan(0.1);
});

test("a held part that is out in one frame is a pop in that frame", async () => {
  const shot = shots.poppedPart({ ...small, frame: 11, px: 0.6, frames: 20 });
  const report = await checked(shot);
  const flag = only(report, "pop", "held");
  expect([flag.from, flag.to]).toEqual([11, 11]);
  expect(Math.abs(flag.px! - 0.6)).toBeLessThan(0.06);
});

test("a tripod that is knocked flags the camera, and no part", async () => {
  const shot = shots.knockedCamera({ ...small, frame: 12, knock: { dx: 0.5, dy: -0.2 }, frames: 20 });
  const report = await checked(shot);
  const flag = only(report, "camera-shift", null);
  expect(flag.from).toBe(12);
  expect(Math.abs(flag.px! - Math.hypot(0.5, 0.2))).toBeLessThan(0.04);
  expect(trackError(report, shot, "held")).toBeLessThan(0.03);
  const last = report.frames.at(-1)!.camera!;
  expect(Math.abs(last.dx - 0.5)).toBeLessThan(4 * last.sigma + 0.005);
});

test("a lamp that drops by six in a hundred flags the light alone", async () => {
  const shot = shots.lampDrop({ frames: 16, width: 360, height: 270, parts: 3, frame: 9 });
  const report = await checked(shot);
  const flag = only(report, "light", null);
  expect(flag.from).toBe(9);
  expect(flag.px).toBeNull();
  expect(Math.abs(flag.stops! - shot.expected[0].stops!)).toBeLessThan(0.02);
});

test.each([
  ["a clean shot with every texture", () => shots.cleanShot({ frames: 16, parts: 9, width: 480, height: 360 })],
  [
    "an exposure that flickers by a fiftieth of a stop",
    () => shots.flicker({ frames: 16, parts: 3, width: 360, height: 270 }),
  ],
  ["an animated arm that passes in front of a held part", () => shots.passingArm({ ...small, frames: 16 })],
  [
    "an arm that nobody listed, passing in front of a held part",
    () => shots.passingArm({ ...small, frames: 16, listed: false }),
  ],
] as const)("%s raises no flag", async (_, make) => {
  const report = await checked(make());
  expect(report.flags.map(({ message }) => message)).toEqual([]);
  expect(inShort(report)).toEqual([]);
});

test("a soft shadow that sweeps over a held part is a matter of light: the part is not flagged, nor moved by it", async () => {
  const shot = shots.movingShadow({ ...small, frames: 16 });
  const report = await checked(shot);
  expect(report.flags.filter(({ kind }) => kind !== "light").map(({ message }) => message)).toEqual([]);
  expect(trackError(report, shot, "held")).toBeLessThan(0.03);
});

test("a sag of 0.01 px a frame is found within 24 frames by whoever asks for a fine band", async () => {
  const report = await checked(shots.heldPart({ size: 120, sagPerFrame: 0.01 }), { bandPx: 0.1 });
  const flag = only(report, "sag", "held");
  expect(Math.abs(flag.px! - 0.23)).toBeLessThan(0.06);
});

test.each([
  ["a knock of 0.05 px", "knock", () => shots.knockedPart({ size: 120, px: 0.05, frames: 20, frame: 11 })],
  ["a pop of 0.1 px", "pop", () => shots.poppedPart({ size: 120, px: 0.1, frames: 20, frame: 11 })],
] as const)("%s is told of the part, not of the camera", async (_, kind, make) => {
  const report = await checked(make(), { bandPx: 0.02 });
  expect(report.flags.map(({ message }) => message)).toEqual([expect.stringContaining("Left arm")]);
  expect(report.flags[0]).toMatchObject({ kind, part: "held", from: 11 });
});

test("of a part that fills the picture no drift is told, since the camera can't be told from it", async () => {
  const report = await checked(shots.heldPart({ width: 260, height: 240, size: 230, frames: 8, sagPerFrame: 0.2 }));
  expect(report.flags.map(({ message }) => message)).toEqual([]);
  expect(report.warnings.some(({ code }) => code === "camera-unknown")).toBe(true);
  const late = tracksOf(report, "held").filter(({ frame }) => frame > 4);
  expect(late.every(({ state, dy, reason }) => state === "lost" && dy === null && reason.includes("camera"))).toBe(
    true,
  );
});
