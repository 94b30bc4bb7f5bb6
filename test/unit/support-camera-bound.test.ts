import { expect, test } from "vitest";
import { cleanPatch, insideOf, translationBound } from "../support/bound.ts";
import { cameraBound, roundedInformation } from "../support/camera-bound.ts";
import { jpegSteps } from "../support/jpeg-steps.ts";
import { heldPart } from "../support/shots.ts";

const NOISE = { sigma8: 1, poissonShare: 0.7 };
const { scene } = heldPart({ size: 60, width: 256, height: 192, seed: 5, noise: 1 });

test("what a rounded number tells: all of it with fine steps, little with coarse ones, least in the middle of a step", () => {
  expect(roundedInformation(0.3, 0.1, 2)).toBeCloseTo(1 / 4, 3);
  // Steps of one sigma cost about a twelfth: rounding adds step^2 / 12 to the variance.
  expect(roundedInformation(0.5, 1, 1)).toBeCloseTo(12 / 13, 2);
  expect(roundedInformation(0, 10, 1)).toBeLessThan(1e-4);
  // Two outcomes alike: 4 times the squared density, by hand 2 / pi.
  expect(roundedInformation(5, 10, 1)).toBeCloseTo(2 / Math.PI, 3);
});

test("the steps of a file of quality 50 are the standard's own table", async () => {
  // ITU-T T.81, table K.1, which libjpeg scales by 1 at quality 50; from memory.
  const steps = await jpegSteps(50);
  expect(steps.slice(0, 8)).toEqual([16, 11, 10, 16, 24, 40, 51, 61]);
  expect([0, 8, 16, 24, 32, 40, 48, 56].map((at) => steps[at])).toEqual([16, 12, 14, 14, 18, 24, 49, 72]);
  expect(steps[63]).toBe(99);
});

test("without JPEG the camera's bound is that of a shift and a turn of the whole set", () => {
  const patch = { ...cleanPatch({ ...scene, noise: NOISE }, 1), inside: () => true };
  const shift = translationBound(patch, { gainOffset: true, tile: 32, turnAbout: [128, 96] });
  const both = Math.sqrt((shift.sigmaX ** 2 + shift.sigmaY ** 2) / 2);
  const bound = cameraBound(patch, { noise: NOISE, steps: null });
  // A growth is unknown here too, and the noise of a block is taken for even.
  expect(bound / both).toBeGreaterThan(0.97);
  expect(bound / both).toBeLessThan(1.05);
});

test("JPEG and a part that isn't set cost something, files of the best quality next to nothing", async () => {
  const clean = cleanPatch({ ...scene, noise: NOISE }, 1);
  const isPart = insideOf(scene.layers[0].outline, -3);
  const all = { ...clean, inside: () => true };
  const plain = cameraBound(all, { noise: NOISE, steps: null });
  const [best, usual] = await Promise.all(
    [100, 92].map(async (quality) => cameraBound(all, { noise: NOISE, steps: await jpegSteps(quality) })),
  );
  expect(best / plain).toBeGreaterThan(1);
  expect(best / plain).toBeLessThan(1.12);
  expect(usual).toBeGreaterThan(1.1 * best);
  const set = { ...clean, inside: (x: number, y: number) => !isPart(x, y) };
  expect(cameraBound(set, { noise: NOISE, steps: null })).toBeGreaterThan(1.1 * plain);
});
