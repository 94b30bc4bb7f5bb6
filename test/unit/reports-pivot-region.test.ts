import { expect, test } from "vitest";
import { pivotRegion } from "../../src/reports/pivot-region.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { flagOf, partOf, reportOf, rowOf, square } from "../support/ui-report.ts";

/** The arm's middle is at (110, 110); it turns about (60, 90). */
const pivot = [60, 90] as const;
const turned = (turn: number, noise: readonly [number, number, number], sigmas: readonly [number, number]) =>
  reportOf([1, 2], {
    parts: [partOf("arm", { outline: square(100, 100) })],
    tracks: [
      rowOf("arm", 2, {
        dx: px(-turn * (110 - pivot[1]) + noise[0]),
        dy: px(turn * (110 - pivot[0]) + noise[1]),
        turn: radians(turn + noise[2]),
        sigmaDx: px(sigmas[0]),
        sigmaDy: px(sigmas[0]),
        sigmaTurn: radians(sigmas[1]),
      }),
    ],
  });
const flag = flagOf({ from: frameNumber(2), to: frameNumber(2), pivot: [px(60), px(90)], joint: "shoulder" });

const inside = (outline: readonly (readonly [number, number])[], [x, y]: readonly [number, number]) => {
  let odd = false;
  for (const [i, [x1, y1]] of outline.entries()) {
    const [x2, y2] = outline[(i + 1) % outline.length]!;
    if (y1 > y !== y2 > y && x < ((x2 - x1) * (y - y1)) / (y2 - y1) + x1) odd = !odd;
  }
  return odd;
};

test("the region holds the true pivot in 19 of 20 drawings, and shrinks as the turn grows", () => {
  const random = createRandom(9);
  let held = 0;
  const count = 400;
  for (let i = 0; i < count; i++) {
    const [s, t] = [0.01, 0.0004];
    const noise = [s * random.normal(), s * random.normal(), t * random.normal()] as const;
    const report = turned(0.02, noise, [s, t]);
    const { dx, dy, turn } = report.tracks[0]!;
    const told = flagOf({ ...flag, pivot: [px(110 - (dy ?? 0) / (turn ?? 1)), px(110 + (dx ?? 0) / (turn ?? 1))] });
    const region = pivotRegion(told, report);
    if (region && inside(region.outline, pivot)) held += 1;
  }
  // Binomial: 95 % of 400, three standard deviations to either side.
  expect(Math.abs(held / count - 0.95)).toBeLessThan(3 * Math.sqrt((0.95 * 0.05) / count));

  const size = (turn: number) => {
    const { outline } = pivotRegion(flag, turned(turn, [0, 0, 0], [0.01, 0.0002]))!;
    return Math.max(...outline.map(([x, y]) => Math.hypot(x - pivot[0], y - pivot[1])));
  };
  expect(size(0.04)).toBeLessThan(size(0.02));
  expect(size(0.02)).toBeLessThan(size(0.008));
});

test("a turn that is hardly told leaves the region open, and no region is told where the track disagrees", () => {
  expect(pivotRegion(flag, turned(0.001, [0, 0, 0], [0.01, 0.0008]))?.open).toBe(true);
  expect(pivotRegion(flag, turned(0.02, [0, 0, 0], [0.01, 0.0002]))?.open).toBe(false);
  expect(pivotRegion(flag, turned(0.02, [0.5, 0, 0], [0.01, 0.0002]))).toBeNull();
  expect(pivotRegion({ ...flag, pivot: null }, turned(0.02, [0, 0, 0], [0.01, 0.0002]))).toBeNull();
});
