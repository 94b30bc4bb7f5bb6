import { expect, test } from "vitest";
import type { Shot } from "../support/shot.ts";
import * as shots from "../support/shots.ts";
import { checked } from "./check-rendered.ts";

// Light of whole rendered shots: lamps that drop are told, whatever sweeps or walks through the picture is not.

const messages = async (shot: Shot, bandPx: number | null = null): Promise<string[]> =>
  (await checked(shot, { bandPx })).flags.map(({ message }) => message);

const small = { width: 320, height: 240, size: 100, frames: 16 };

test.each([0.2, 0.35, 0.6])(
  "a soft shadow of depth %f that sweeps over the whole picture is no light",
  async (depth) => {
    expect(await messages(shots.movingShadow({ ...small, depth }))).toEqual([]);
  },
);

test("an arm that passes, on the sheet or not, is no light at any band", async () => {
  for (const listed of [true, false]) expect(await messages(shots.passingArm({ ...small, listed }), 0)).toEqual([]);
});

test("flicker of 0.5 to 1 % and a light that drifts by 2 % are not flagged", async () => {
  const still = { frames: 16, parts: 3, width: 320, height: 240 };
  for (const flicker of [0.005, 0.01])
    expect(await messages(shots.cleanShot({ ...still, flickerStops: flicker / Math.LN2 }))).toEqual([]);
  expect(await messages(shots.cleanShot({ ...still, lightDriftStops: 0.01 }))).toEqual([]);
});
