import { expect, test } from "vitest";
import { capsule, type Layer } from "../support/scene.ts";
import { type Shot, surfaceOf } from "../support/shot.ts";
import * as shots from "../support/shots.ts";
import type { Point } from "../support/similarity.ts";
import { checked, inShort } from "./check-rendered.ts";

// Things in the frame that were not there before, in whole rendered shots.

const small = { width: 320, height: 240, parts: 3, frames: 12 };

const withThing = (shot: Shot, from: Point, to: Point, size: number, frames: readonly [number, number]): Shot => {
  const thing: Layer = {
    id: "fleck",
    outline: capsule(from, to, size / 2),
    ...surfaceOf("silicone", 5, 0.06),
    shown: (frame) => frame >= frames[0] && frame <= frames[1],
  };
  return { ...shot, scene: { ...shot.scene, layers: [...shot.scene.layers, thing] } };
};
const fleck = (shot: Shot, at: Point, size: number, frames: readonly [number, number]): Shot =>
  withThing(shot, at, at, size, frames);

test.each([
  ["a fleck of 10 px in two frames, with the band opened", 10, [6, 7], 0],
  ["a fleck of 14 px that stays", 14, [6, 12], null],
  ["a fleck of 14 px from the second frame on", 14, [2, 12], null],
  ["a fleck of 14 px in the last frame", 14, [12, 12], null],
] as const)("%s is told in its frames and in its place", async (_, size, frames, bandPx) => {
  const report = await checked(fleck(shots.cleanShot(small), [240.3, 180.6], size, frames), { bandPx });
  expect(inShort(report)).toEqual([`stray - ${frames[0]}-${frames[1]}`]);
  const [flag] = report.flags;
  expect(Math.abs((flag.px ?? 0) - size)).toBeLessThan(4);
  expect(flag.stops).toBeNull();
  for (const [x, y] of flag.region ?? []) expect(Math.hypot(x - 240.3, y - 180.6)).toBeLessThan(size / 2 + 5);
});

test("a fleck of 6 px is within the band", async () => {
  expect(inShort(await checked(fleck(shots.cleanShot(small), [240.3, 180.6], 6, [6, 7])))).toEqual([]);
});

test("a fleck on a held part is no knock and no pop of the part", async () => {
  const shot = shots.heldPart({ width: 320, height: 240, size: 120, frames: 12 });
  expect(inShort(await checked(fleck(shot, [158, 121], 14, [6, 6])))).toEqual(["stray - 6-6"]);
  expect(inShort(await checked(fleck(shot, [158, 121], 14, [7, 12])))).toEqual(["stray - 7-12"]);
});

test("a finger that reaches in from the edge in one frame is one thing", async () => {
  const report = await checked(withThing(shots.cleanShot(small), [110, -20], [100, 70], 28, [8, 8]));
  expect(inShort(report)).toEqual(["stray - 8-8"]);
});

test("a fleck is told beside a camera that creeps and light that flickers", async () => {
  const shot = shots.cleanShot({ ...small, flickerStops: 0.0144, camera: (frame) => ({ dx: 0.006 * frame }) });
  expect(inShort(await checked(fleck(shot, [240.3, 180.6], 14, [5, 6])))).toEqual(["stray - 5-6"]);
});

test.each([
  ["every texture in noise of 2", () => shots.cleanShot({ ...small, parts: 9, noise: 2 })],
  ["a soft shadow that sweeps", () => shots.movingShadow({ ...small, size: 100, depth: 0.5 })],
  ["a shadow with a harder edge", () => shots.movingShadow({ ...small, size: 100, depth: 0.4, softness: 25 })],
  ["an arm that passes", () => shots.passingArm({ ...small, size: 100 })],
  ["an arm that nobody listed", () => shots.passingArm({ ...small, size: 100, listed: false })],
  ["a lamp that drops", () => shots.lampDrop({ ...small, drop: 0.3 })],
  ["a camera that is knocked by 4 px", () => shots.knockedCamera({ ...small, frame: 8, knock: { dx: 3.3, dy: -2.1 } })],
  ["a part that is knocked by 2 px", () => shots.knockedPart({ ...small, size: 100, px: 2, frame: 8 })],
  [
    "a figure whose arm is animated and whose other arm sags",
    () => shots.armSag({ frames: 12, width: 400, height: 300, sagPerFrame: 0.2 }),
  ],
])("%s: nothing strays, at any band", async (_, make) => {
  const report = await checked(make(), { bandPx: 0 });
  expect(report.flags.filter(({ kind }) => kind === "stray").map(({ message }) => message)).toEqual([]);
});

test("without a sheet a figure that is animated is nothing that strays", async () => {
  const { scene, frames } = shots.armSag({ frames: 12, width: 400, height: 300 });
  const report = await checked({ scene, frames, sheet: null as never, expected: [] });
  expect(report.flags.filter(({ kind }) => kind === "stray").map(({ message }) => message)).toEqual([]);
});
