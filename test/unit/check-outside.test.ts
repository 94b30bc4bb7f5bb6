import { expect, test } from "vitest";
import type { Report } from "../../src/model/index.ts";
import { checkShot } from "../support/check-shot.ts";
import { capsule, type Layer, roundedBox } from "../support/scene.ts";
import { type Shot, shotOf, surfaceOf } from "../support/shot.ts";
import * as shots from "../support/shots.ts";
import type { Motion } from "../support/similarity.ts";
import { checked, pictures } from "./check-rendered.ts";

// A sheet with Oda's arm alone: what else moves in the honey shed is found outside all outlines.

const [width, height, frames] = [420, 300, 16];

const arm = (motion?: (frame: number) => Motion): Layer => ({
  id: "arm-left",
  outline: roundedBox([320.3, 150.2], 110, 100),
  ...surfaceOf("woven", 12, 0.3),
  ...(motion === undefined ? {} : { motion }),
  part: { name: "Left arm", kind: "limb" },
});

/** A jar on the shelf that the sheet doesn't know. */
const jar = (motion: (frame: number) => Motion, at: readonly [number, number] = [100.4, 140.7]): Layer => ({
  id: "jar",
  outline: roundedBox(at, 120, 120),
  ...surfaceOf("speckle", 8, 0.32),
  motion,
});

const shotWith = (layers: readonly Layer[], camera?: (frame: number) => Motion): Shot =>
  shotOf(
    { width, height, frames, background: "speckle", ...(camera === undefined ? {} : { camera }) },
    layers,
    () => [],
  );

const check = async (shot: Shot): Promise<Report> =>
  checkShot({ name: "hive_010", frames: await pictures(shot), sheet: shot.sheet });

const told = (report: Report): string[] => report.flags.map(({ kind, part, from }) => `${kind} ${part ?? "-"} ${from}`);

test("a jar that nobody outlined and that shifted is one set-shift with its place in words and a polygon", async () => {
  const report = await check(shotWith([arm(), jar((frame) => ({ dx: frame < 8 ? 0 : 0.8 }))]));
  expect(told(report)).toEqual(["set-shift - 8"]);
  const [flag] = report.flags;
  expect(Math.abs(flag.px! - 0.8)).toBeLessThan(0.1);
  expect(flag.message).toMatch(/^Something left of centre shifted 0\.\d+ ± 0\.\d+ px .*at frame 8 and stayed there\.$/);
  const xs = flag.region!.map(([x]) => x);
  expect(Math.min(...xs)).toBeGreaterThan(5);
  expect(Math.max(...xs)).toBeLessThan(200);
  // It is no part of the sheet: neither among the parts nor among the tracks.
  expect(report.parts.map(({ id }) => id)).toEqual(["arm-left"]);
  expect(new Set(report.tracks.map(({ part }) => part))).toEqual(new Set(["arm-left"]));
});

test("one that creeps is told as slow, beside the sag of an arm that has another cause", async () => {
  const report = await check(
    shotWith([arm((frame) => ({ dy: 0.05 * (frame - 1) })), jar((frame) => ({ dx: 0.06 * (frame - 1) }))]),
  );
  expect(
    told(report)
      .map((flag) => flag.replace(/ \d+$/u, ""))
      .toSorted(),
  ).toEqual(["sag arm-left", "set-shift -"]);
  expect(report.flags.find(({ kind }) => kind === "set-shift")!.message).toContain("crept");
});

test("what moves beside a part that shifted in the same frame is that part's shadow and edge", async () => {
  const knock = (frame: number): Motion => ({ dx: frame < 9 ? 0 : 1.2 });
  const report = await check(shotWith([jar(knock, [230.4, 140.7]), arm(knock)]));
  expect(told(report)).toEqual(["knock arm-left 9"]);
});

test("a knocked camera before near and far things is the camera's one event, parallax and all", async () => {
  const near = (share: number) => (frame: number) => ({ dx: frame < 9 ? 0 : share });
  // The jar stands near, the arm a little nearer: they go farther than the wall when the camera is knocked.
  const report = await check(
    shotWith([jar(near(0.7)), arm(near(0.5))], (frame) => (frame < 9 ? {} : { dx: 1.4, dy: 0.1 })),
  );
  expect(told(report)).toEqual(["camera-shift - 9"]);
});

const small = { width, height, size: 100, frames };

test.each([
  ["an arm that nobody listed and that passes", () => shots.passingArm({ ...small, listed: false })],
  ["a shadow that sweeps over the set", () => shots.movingShadow(small)],
  ["exposure that flickers", () => shots.flicker({ ...small, parts: 2 })],
  ["a still set", () => shots.heldPart(small)],
  [
    "an arm that nobody listed and that swings in place",
    () =>
      shotWith([
        arm(),
        {
          id: "arm",
          outline: capsule([120, 60], [120, 200], 30),
          ...surfaceOf("skin", 9, 0.34),
          motion: (frame) => ({ turn: 0.02 * (frame - 1), pivot: [120, 40] }),
        },
      ]),
  ],
] as const)("%s is no shift of the set", async (_, make) => {
  const report = await checked(make());
  expect(report.flags.filter(({ kind }) => kind === "set-shift").map(({ message }) => message)).toEqual([]);
});
