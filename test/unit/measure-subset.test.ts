import { expect, test } from "vitest";
import { gainStops } from "../../src/measure/light-gain.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { prepareFrame, type PreparedFrame, withGradient } from "../../src/measure/prepared.ts";
import { searchShift } from "../../src/measure/search.ts";
import { SIGMA_FLOOR, SUBSET_SIZE, subsetReference, SubsetSolver } from "../../src/measure/subset.ts";
import type { Motion } from "../support/similarity.ts";
import { mean, picturesOf, rms, sceneOf } from "./measure-pictures.ts";

/** The set itself, shifted by the camera: a frame a shift, in order; the first is where nothing has moved. */
function shifted(shifts: readonly Motion[], noise = 0, background: "plaster" | "stripes" = "plaster"): Plane[] {
  const scene = sceneOf({ width: 120, height: 90, noise, background, camera: (frame) => shifts[frame - 1] });
  const pictures = picturesOf(scene);
  return shifts.map((_, i) => pictures(i + 1));
}

const [still, moved, farther] = shifted([{}, { dx: 0.37, dy: -0.62 }, { dx: 1.84, dy: 2.41 }]);
const reference = withGradient(prepareFrame(still));
const piece = subsetReference(reference, 40, 30, SUBSET_SIZE)!;
const solver = new SubsetSolver();
const solve = (current: PreparedFrame, seedX = 0, seedY = 0, range = 4) => ({
  ...solver.solve(reference, piece, current, seedX, seedY, range),
});

test("a subset is found again to a hundredth of a pixel: current minus reference, x right, y down", () => {
  const found = solve(prepareFrame(moved));
  expect(found.converged).toBe(true);
  expect(Math.abs(found.dx - 0.37)).toBeLessThan(0.01);
  expect(Math.abs(found.dy + 0.62)).toBeLessThan(0.01);
  expect(found.correlation).toBeGreaterThan(0.99);
  const far = solve(prepareFrame(farther));
  expect(Math.abs(far.dx - 1.84)).toBeLessThan(0.01);
  expect(Math.abs(far.dy - 2.41)).toBeLessThan(0.01);
});

test("a frame against itself has not moved, and its sigma is the floor", () => {
  const found = solve(reference);
  expect(Math.abs(found.dx)).toBeLessThan(1e-4);
  expect(Math.abs(found.dy)).toBeLessThan(1e-4);
  expect(Math.sqrt(found.varX)).toBeCloseTo(SIGMA_FLOOR, 5);
  expect(found.gain).toBeCloseTo(1, 4);
});

test("the error does not follow the phase between pixels", () => {
  const phases = Array.from({ length: 9 }, (_, k) => ({ dx: k / 8, dy: 0.5 - k / 16 }));
  const pictures = shifted([{}, ...phases]);
  const errors = phases.map(({ dx, dy }, k) => {
    const found = solve(prepareFrame(pictures[k + 1]));
    return [found.dx - dx, found.dy - dy];
  });
  expect(Math.max(...errors.flat().map(Math.abs))).toBeLessThan(0.005);
});

test("gain and offset of the light don't move the answer", () => {
  const plain = prepareFrame(moved);
  const brighter = (gain: number, offset: number): PreparedFrame => ({
    ...plain,
    coefficients: { ...plain.coefficients, data: plain.coefficients.data.map((value) => gain * value + offset) },
  });
  const found = solve(plain);
  for (const [gain, offset] of [
    [0.6, 0],
    [1, 40],
    [1.5, -30],
  ] as const) {
    const under = solve(brighter(gain, offset));
    expect(under.dx).toBeCloseTo(found.dx, 3);
    expect(under.dy).toBeCloseTo(found.dy, 3);
    expect(under.gain / found.gain).toBeCloseTo(gain, 3);
  }
  // In linear light a gain is nearly one on the even scale too.
  const dimmed = solve(prepareFrame({ ...moved, data: moved.data.map((value) => 0.7 * value) }));
  expect(Math.abs(dimmed.dx - 0.37)).toBeLessThan(0.01);
  expect(Math.abs(dimmed.dy + 0.62)).toBeLessThan(0.01);
});

test("the seed doesn't show in the answer", () => {
  const current = prepareFrame(farther);
  const [near, seeded] = [solve(current), solve(current, 2, 3)];
  expect(seeded.dx).toBeCloseTo(near.dx, 3);
  expect(seeded.dy).toBeCloseTo(near.dy, 3);
});

test("what moved beyond the range, or left the picture, has no number and says that it did not converge", () => {
  const beyond = solve(prepareFrame(farther), 0, 0, 1);
  expect(beyond.converged).toBe(false);
  expect([beyond.dx, beyond.dy, beyond.varX, beyond.residual]).toEqual([
    Number.NaN,
    Number.NaN,
    Number.NaN,
    Number.NaN,
  ]);
  const edge = subsetReference(reference, 1, 1, SUBSET_SIZE)!;
  expect(solver.solve(reference, edge, prepareFrame(shifted([{}, { dx: -3 }])[1]), 0, 0, 4).converged).toBe(false);
});

test("a flat piece, and one of stripes, is no subset: there is nothing to find, or not in both directions", () => {
  const flat = createPlane(60, 60);
  flat.data.fill(0.2);
  expect(subsetReference(withGradient(prepareFrame(flat)), 10, 10, SUBSET_SIZE)).toBeNull();
  const [lines] = shifted([{}], 0, "stripes");
  const straight = { ...lines, data: lines.data.map((_, i) => lines.data[40 * 120 + (i % 120)]) };
  expect(subsetReference(withGradient(prepareFrame(straight)), 40, 30, SUBSET_SIZE)).toBeNull();
});

/** Independent pairs of noisy frames, and a dozen subsets side by side in each: errors and z-scores. */
function noisy(noise: number): { errors: number[]; scores: number[] } {
  const truth = { dx: 0.3, dy: 0.45 };
  const pairs = 8;
  const shifts = Array.from({ length: 2 * pairs }, (_, i) => (i % 2 === 0 ? {} : truth));
  const pictures = shifted(shifts, noise).map((plane) => prepareFrame(plane));
  const errors: number[] = [];
  const scores: number[] = [];
  for (let k = 0; k < pairs; k++) {
    const before = withGradient(pictures[2 * k]);
    for (let top = 6; top + 33 < 90; top += 21)
      for (let left = 5; left + 33 < 120; left += 31) {
        const reference = subsetReference(before, left, top, SUBSET_SIZE)!;
        const found = solver.solve(before, reference, pictures[2 * k + 1], 0, 0, 4);
        errors.push(found.dx - truth.dx, found.dy - truth.dy);
        scores.push((found.dx - truth.dx) / Math.sqrt(found.varX), (found.dy - truth.dy) / Math.sqrt(found.varY));
      }
  }
  return { errors, scores };
}

test.each([1, 2])("at noise %d of 255 the z-scores of subsets scatter by about one", (noise) => {
  const { errors, scores } = noisy(noise);
  expect(scores.length).toBeGreaterThan(100);
  expect(rms(scores)).toBeGreaterThan(0.8);
  expect(rms(scores)).toBeLessThan(1.2);
  expect(Math.abs(mean(errors))).toBeLessThan((3 * rms(errors)) / Math.sqrt(errors.length / 2));
  expect(scores.filter((z) => Math.abs(z) > 4)).toEqual([]);
});

// Whole-pixel search

const pattern = (at: (x: number, y: number) => number, width = 60, height = 50): Plane => {
  const plane = createPlane(width, height);
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) plane.data[y * width + x] = at(x, y);
  return plane;
};
const patch = (dx: number, dy: number): Plane =>
  pattern((x, y) => 100 + 30 * Math.sin((x - dx) ** 2 / 90 + (y - dy) / 3) + 20 * Math.cos((y - dy) ** 2 / 70));

test("the search finds whole-pixel shifts of either sign, whatever gain and offset", () => {
  const before = patch(0, 0);
  for (const [dx, dy] of [
    [0, 0],
    [5, -3],
    [-6, 6],
  ] as const) {
    const after = patch(dx, dy);
    const found = searchShift(before, { ...after, data: after.data.map((v) => 0.7 * v - 9) }, 20, 18, 15, 7)!;
    expect([found.dx, found.dy]).toEqual([dx, dy]);
    expect(found.correlation).toBeCloseTo(1, 4);
    expect(found.rival).toBeLessThan(0.9);
  }
});

test("the search looks around where it is told to, and no farther than its radius", () => {
  const found = searchShift(patch(0, 0), patch(9, -8), 20, 20, 15, 2, 10, -9)!;
  expect([found.dx, found.dy]).toEqual([9, -8]);
  expect(searchShift(patch(0, 0), patch(9, -8), 20, 20, 15, 2)!.correlation).toBeLessThan(0.9);
});

test("a weave that fits in several places has a rival as good as the best", () => {
  const weave = pattern((x, y) => Math.sin((2 * Math.PI * x) / 6) * Math.sin((2 * Math.PI * y) / 6));
  const found = searchShift(weave, weave, 20, 18, 15, 7)!;
  expect([Math.abs(found.dx % 6), Math.abs(found.dy % 6)]).toEqual([0, 0]);
  expect(found.rival).toBeGreaterThan(0.999);
});

test("the search has no answer for a flat piece or one outside the picture", () => {
  const flat = pattern(() => 7);
  expect(searchShift(flat, flat, 20, 18, 15, 5)).toBeNull();
  expect(searchShift(patch(0, 0), flat, 20, 18, 15, 5)).toBeNull();
  expect(searchShift(patch(0, 0), patch(0, 0), -1, 18, 15, 5)).toBeNull();
  expect(searchShift(patch(0, 0), patch(0, 0), 50, 18, 15, 5)).toBeNull();
});

// Light

test("the gain of a piece of the set is told in stops after registration", () => {
  const brighter: Plane = { ...moved, data: moved.data.map((value) => 1.02 * value) };
  expect(gainStops(still, brighter, 40, 30, 31, 0.37, -0.62)).toBeCloseTo(Math.log2(1.02), 3);
  const dark: Plane = { ...still, data: still.data.map((value) => 0.94 * value) };
  expect(gainStops(still, dark, 40, 30, 31, 0, 0)).toBeCloseTo(Math.log2(0.94), 5);
});

test("light can't be told of what is black or has left the picture", () => {
  const black = createPlane(still.width, still.height);
  expect(gainStops(black, still, 40, 30, 31, 0, 0)).toBeNaN();
  expect(gainStops(still, black, 40, 30, 31, 0, 0)).toBeNaN();
  expect(gainStops(still, moved, 88, 30, 31, 2, 0)).toBeNaN();
  expect(gainStops(still, moved, 0, 0, 31, -0.5, 0)).toBeNaN();
});
