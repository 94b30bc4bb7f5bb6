import { expect, test } from "vitest";
import type { Report } from "../../src/model/index.ts";
import { checkShot } from "../support/check-shot.ts";
import { lumaPlane, type RenderedFrame, renderShot } from "../support/render.ts";
import type { Shot } from "../support/shot.ts";
import * as shots from "../support/shots.ts";
import { jpegRoundTrip } from "../support/write.ts";
import { inShort } from "./check-rendered.ts";

// Frames that are the very same exposure as the one before, saved again in different ways.

const small = { width: 320, height: 240, size: 100, frames: 12 };

/** A whole check of a rendered shot as JPEG files, some of its frames made from the one before. */
async function checkedWith(
  shot: Shot,
  copies: ReadonlyMap<number, (before: RenderedFrame) => Promise<RenderedFrame> | RenderedFrame>,
  { sheet = true, quality = 92, bandPx = null as number | null } = {},
): Promise<Report> {
  const { frames } = renderShot(shot.scene, shot.frames);
  const files: RenderedFrame[] = [];
  for (const [i, frame] of frames.entries()) {
    const copy = copies.get(i + 1);
    files.push(await (copy === undefined ? jpegRoundTrip(frame, quality) : copy(files[i - 1])));
  }
  const planes = new Map(files.map((frame, i) => [i + 1, lumaPlane(frame)]));
  return checkShot({ name: shot.scene.name, frames: planes, sheet: sheet ? shot.sheet : null }, { bandPx });
}

const same = (before: RenderedFrame): RenderedFrame => before;
const savedAgain = (quality: number) => (before: RenderedFrame) => jpegRoundTrip(before, quality);
const brighter = (gain: number) => (before: RenderedFrame) => ({
  ...before,
  pixels: before.pixels.map((value) => Math.round(Math.min(255, value * gain))),
});

test.each([
  ["the same file", same],
  ["the same exposure saved again as a JPEG of quality 92", savedAgain(92)],
  ["the same exposure saved again as a JPEG of quality 85", savedAgain(85)],
  ["the same exposure a little brighter", brighter(1.01)],
])("%s twice, where an arm is meant to move, is a repeat", async (_, copy) => {
  const report = await checkedWith(shots.passingArm(small), new Map([[8, copy]]));
  expect(inShort(report)).toEqual(["repeat - 8-8"]);
  expect(report.flags[0]).toMatchObject({ px: null, stops: null, mm: null });
  expect(report.flags[0].message).toContain("the same exposure as frame 7");
});

test("a frame that is there three times is one flag; without a sheet too", async () => {
  const copies = new Map([5, 6].map((frame) => [frame, same] as const));
  expect(inShort(await checkedWith(shots.passingArm(small), copies))).toEqual(["repeat - 5-6"]);
  expect(inShort(await checkedWith(shots.passingArm(small), copies, { sheet: false }))).toContain("repeat - 5-6");
});

test("copies where everything holds, and a shot on twos made by copying, are a warning and no flag", async () => {
  const held = await checkedWith(shots.cleanShot({ ...small, parts: 3 }), new Map([[6, same]]));
  expect(inShort(held)).toEqual([]);
  expect(held.warnings.filter(({ code }) => code === "repeated-exposure").map(({ frame }) => frame)).toEqual([6]);
  const twos = new Map([2, 4, 6, 8, 10, 12].map((frame) => [frame, same] as const));
  const report = await checkedWith(shots.passingArm(small), twos);
  expect(inShort(report)).toEqual([]);
  expect(report.warnings.some(({ code }) => code === "repeated-exposure")).toBe(true);
});

test.each([
  [
    "still frames with little noise, strongly compressed",
    () => shots.cleanShot({ ...small, parts: 3, noise: 0.5 }),
    80,
  ],
  ["a camera that is knocked", () => shots.knockedCamera({ ...small, frame: 6 }), 92],
  ["light that flickers by 1 %", () => shots.cleanShot({ ...small, parts: 3, flickerStops: 0.0144 }), 92],
  ["a shadow that sweeps", () => shots.movingShadow(small), 92],
  [
    "a camera that moves on purpose, slower and slower",
    () => shots.cleanShot({ ...small, parts: 3, camera: (frame) => ({ dx: 3 * (1 - 0.5 ** (frame - 1)) }) }),
    92,
  ],
] as const)("%s: no repeat, without a sheet", async (_, make, quality) => {
  const report = await checkedWith(make(), new Map(), { sheet: false, quality });
  expect(report.flags.filter(({ kind }) => kind === "repeat")).toEqual([]);
  expect(report.warnings.filter(({ code }) => code === "repeated-exposure")).toEqual([]);
});
