import { expect, test } from "vitest";
import { phaseFloor } from "../../src/measure/phase-floor.ts";

test("what pulls all tiles alike is told larger for JPEG only where no noise dithers its rounding", () => {
  const lossless = phaseFloor(0.25, null);
  expect(lossless).toBeGreaterThan(0.0002);
  expect(lossless).toBeLessThan(0.00035);
  expect(phaseFloor(0.5)).toBeGreaterThan(1.4 * lossless);
  expect(phaseFloor(1)).toBeLessThan(1.15 * lossless);
  expect(phaseFloor(4)).toBeCloseTo(lossless, 6);
});

test("a coarser table pulls more and wants more noise to be dithered, a file of quality 100 pulls next to nothing", () => {
  expect(phaseFloor(0.5, 3)).toBe(phaseFloor(0.5));
  expect(phaseFloor(0.5, 8)).toBeGreaterThan(4 * phaseFloor(0.5, 3));
  expect(phaseFloor(4, 8)).toBeGreaterThan(2 * phaseFloor(4, 3));
  expect(phaseFloor(0.25, 1)).toBeCloseTo(phaseFloor(0.25, null), 5);
});

test("where the noise is not known a JPEG's rounding counts as under little noise", () => {
  expect(phaseFloor(null)).toBe(phaseFloor(0.5));
  expect(phaseFloor(null)).toBeLessThan(phaseFloor(0.25));
  expect(phaseFloor(null, null)).toBe(phaseFloor(1, null));
});
