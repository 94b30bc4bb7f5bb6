import { expect, test } from "vitest";
import { createPlane } from "../../src/measure/plane.ts";
import { interpolationPull, phaseFloor } from "../../src/measure/phase-floor.ts";
import { splineAt, splineCoefficients } from "../../src/measure/spline.ts";

/** Of a wave of an eighth of a cycle a px. */
const PIXEL_ON = Math.cos(Math.PI / 4);

test("what pulls all tiles alike is told larger for JPEG only where no noise dithers its rounding", () => {
  const lossless = phaseFloor(PIXEL_ON, 0.25, null);
  expect(phaseFloor(PIXEL_ON, 0.5)).toBeGreaterThan(1.4 * lossless);
  expect(phaseFloor(PIXEL_ON, 1)).toBeLessThan(1.3 * lossless);
  expect(phaseFloor(PIXEL_ON, 4)).toBeCloseTo(lossless, 6);
});

test("a coarser table pulls more and wants more noise to be dithered, a file of quality 100 pulls next to nothing", () => {
  expect(phaseFloor(PIXEL_ON, 0.5, 3)).toBe(phaseFloor(PIXEL_ON, 0.5));
  expect(phaseFloor(PIXEL_ON, 0.5, 8)).toBeGreaterThan(4 * phaseFloor(PIXEL_ON, 0.5, 3));
  expect(phaseFloor(PIXEL_ON, 4, 8)).toBeGreaterThan(2 * phaseFloor(PIXEL_ON, 4, 3));
  expect(phaseFloor(PIXEL_ON, 0.25, 1)).toBeCloseTo(phaseFloor(PIXEL_ON, 0.25, null), 5);
});

test("where the noise is not known a JPEG's rounding counts as under little noise", () => {
  expect(phaseFloor(PIXEL_ON, null)).toBe(phaseFloor(PIXEL_ON, 0.5));
  expect(phaseFloor(PIXEL_ON, null)).toBeLessThan(phaseFloor(PIXEL_ON, 0.25));
  expect(phaseFloor(PIXEL_ON, null, null)).toBe(phaseFloor(PIXEL_ON, 1, null));
});

test("the pull of a wave is in proportion to how far the spline shows it from where it is", () => {
  const ratios = [0.1, 0.15, 0.2].map((f) => {
    const [width, height] = [200, 12];
    const plane = createPlane(width, height);
    for (let i = 0; i < plane.data.length; i++) plane.data[i] = Math.cos(2 * Math.PI * f * (i % width));
    splineCoefficients(plane);
    const sample = new Float64Array(3);
    // Phase of what is seen a quarter of a pixel on, by its two projections over whole cycles.
    let [cosine, sine] = [0, 0];
    for (let x = 50; x < 150; x++) {
      splineAt(plane, x + 0.25, 6, sample);
      cosine += sample[0] * Math.cos(2 * Math.PI * f * x);
      sine -= sample[0] * Math.sin(2 * Math.PI * f * x);
    }
    // Whole cycles of all of them in 100 px.
    const seen = Math.atan2(sine, cosine) / (2 * Math.PI * f);
    return Math.abs(seen - 0.25) / interpolationPull(Math.cos(2 * Math.PI * f));
  });
  // The amplitude itself, of which a share of 0.4 goes into each frame's sigma.
  for (const ratio of ratios) expect(0.4 * ratio).toBeCloseTo(1, 2);
});

test("a surface without texture pulls by nothing", () => {
  expect(interpolationPull(1)).toBe(0);
});
