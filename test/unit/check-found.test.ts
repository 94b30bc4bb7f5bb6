import { expect, test } from "vitest";
import type { Report } from "../../src/model/index.ts";
import { checkShot } from "../support/check-shot.ts";
import { capsule, type Layer, roundedBox } from "../support/scene.ts";
import { type Shot, shotOf, surfaceOf } from "../support/shot.ts";
import { knockedCamera } from "../support/shots.ts";
import { pictures } from "./check-rendered.ts";

// Shots without a sheet: what drifted is found in the pictures, and named by its place.

const [width, height, frames] = [400, 300, 16];

const jarAt = (x: number, y: number, motion?: Layer["motion"]): Layer => ({
  id: "jar",
  outline: roundedBox([x, y], 110, 110),
  ...surfaceOf("woven", 8, 0.3),
  ...(motion === undefined ? {} : { motion }),
});

/** An arm that swings in the right half of the picture, in every frame. */
const arm: Layer = {
  id: "arm",
  outline: capsule([330, 60], [330, 200], 30),
  ...surfaceOf("skin", 9, 0.34),
  motion: (frame) => ({ turn: 0.02 * (frame - 1), pivot: [330, 40] }),
};

const shotWith = (...layers: readonly Layer[]): Shot => shotOf({ width, height, frames }, layers, () => []);

const checkBare = async (shot: Shot): Promise<Report> =>
  checkShot({ name: "hive_010", frames: await pictures(shot), sheet: null });

test("a thing that droops is found and named by its place", async () => {
  const report = await checkBare(shotWith(jarAt(90.4, 151.7, (frame) => ({ dy: 0.06 * (frame - 1) }))));
  expect(report.flags.map(({ message }) => message)).toHaveLength(1);
  const [flag] = report.flags;
  expect(["sag", "set-shift"]).toContain(flag.kind);
  expect(flag.message).toContain("left of centre");
  expect(Math.abs(flag.px! - 0.9)).toBeLessThan(0.12);
  expect(flag.direction![1]).toBeGreaterThan(0.95);
  expect(report.parts.map(({ name }) => name)).toEqual(["found-1: left of centre"]);
});

test("a thing that was knocked is found, beside an arm that is animated and no matter", async () => {
  const report = await checkBare(
    shotWith(
      jarAt(90.4, 151.7, (frame) => ({ dx: frame < 9 ? 0 : 0.8 })),
      arm,
    ),
  );
  expect(report.flags.map(({ kind, from, message }) => `${kind} ${from} ${message}`)).toHaveLength(1);
  const [flag] = report.flags;
  expect(["knock", "set-shift"]).toContain(flag.kind);
  expect(flag.from).toBe(9);
  expect(Math.abs(flag.px! - 0.8)).toBeLessThan(0.1);
  expect(flag.message).toContain("left of centre");
});

test("a still set with an animated arm has nothing to tell", async () => {
  const report = await checkBare(shotWith(jarAt(90.4, 151.7), arm));
  expect(report.flags.map(({ message }) => message)).toEqual([]);
});

test("a knocked camera is one event without a sheet too", async () => {
  const report = await checkBare(knockedCamera({ width, height, frames, size: 120, frame: 9 }));
  expect(report.flags.map(({ kind }) => kind)).toEqual(["camera-shift"]);
  expect(report.flags[0].from).toBe(9);
});
