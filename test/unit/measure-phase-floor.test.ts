import { expect, test } from "vitest";
import { phaseFloor } from "../../src/measure/phase-floor.ts";

test("what pulls all tiles alike is told larger for JPEG only where no noise dithers its rounding", () => {
  const lossless = phaseFloor(0.25, true);
  expect(lossless).toBeGreaterThan(0.0002);
  expect(lossless).toBeLessThan(0.00035);
  expect(phaseFloor(0.5, false)).toBeGreaterThan(1.4 * lossless);
  expect(phaseFloor(1, false)).toBeLessThan(1.15 * lossless);
  expect(phaseFloor(4, false)).toBeCloseTo(lossless, 6);
});

test("where the noise is not known a JPEG's rounding counts as under little noise", () => {
  expect(phaseFloor(null, false)).toBe(phaseFloor(0.5, false));
  expect(phaseFloor(null, false)).toBeLessThan(phaseFloor(0.25, false));
  expect(phaseFloor(null, true)).toBe(phaseFloor(1, true));
});
