import { expect, test } from "vitest";
import { compareCameras, comparisonLine } from "../../src/reports/compare-camera.ts";
import type { Report } from "../../src/model/index.ts";
import { px, radians, stops } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { report, shotFrames } from "./cli-report.ts";

/** A pass of a move of 2 px a frame, its camera known to 0.004 px. */
function pass(seed: number, beside: (frame: number) => number = () => 0): Report {
  const random = createRandom(0x6370, seed);
  const noise = () => 0.004 * random.normal();
  return report({
    frames: shotFrames.map((frame) => ({
      frame,
      file: `hive_010_${frame}.jpg`,
      time: null,
      lightStops: stops(0),
      camera: {
        dx: px(2 * (frame - 1) + noise() + beside(frame)),
        dy: px(noise()),
        turn: radians(0),
        scale: 1,
        sigma: px(0.004),
      },
    })),
  });
}

test("two passes of the same move are the same way, in 200 pairs of them", () => {
  for (let seed = 0; seed < 200; seed++) {
    const { deviations } = compareCameras(pass(2 * seed), pass(2 * seed + 1));
    expect(deviations).toHaveLength(shotFrames.length - 1);
    expect(deviations.filter(({ real }) => real)).toEqual([]);
  }
  const line = comparisonLine(compareCameras(pass(1), pass(2)), "hive_010b.json");
  expect(line).toMatch(
    /^The camera went the same way as in hive_010b\.json in 11 frames: 0\.0\d+ ± 0\.00\d+ px apart at most, at frame \d+\.$/,
  );
});

test("where one pass left the other's path is told frame by frame, with its sigma", () => {
  const comparison = compareCameras(
    pass(3, (frame) => (frame === 5 || frame === 6 ? 0.3 : 0)),
    pass(4),
  );
  const real = comparison.deviations.filter((one) => one.real);
  expect(real.map(({ frame }) => frame)).toEqual([5, 6]);
  for (const { px: size, dx, sigma } of real) {
    expect(Math.abs(size - 0.3)).toBeLessThan(0.04);
    expect(Math.abs(dx - 0.3)).toBeLessThan(0.04);
    expect(sigma).toBeCloseTo(0.008, 4);
  }
  expect(comparisonLine(comparison, "b.json")).toMatch(
    /^The camera was elsewhere than in b\.json in frames 5 to 6: 0\.\d+ ± 0\.\d+ px apart/,
  );
});

test("what can't be compared says why", () => {
  const small = { ...pass(1), shot: { ...pass(1).shot, width: 640, height: 360 } };
  expect(comparisonLine(compareCameras(pass(1), small), "b.json")).toBe(
    "The camera can't be compared with b.json: its frames are 640 x 360, these 1280 x 720.",
  );
  expect(compareCameras(pass(1), report()).reason).toBe("fewer than two frames have a known camera in both");
});
