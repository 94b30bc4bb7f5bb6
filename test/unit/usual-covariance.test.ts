import { expect, test } from "vitest";
import { type Covariance, usualOf } from "../../src/measure/usual-covariance.ts";
import { createRandom } from "../support/random.ts";

/** A thin covariance, long along `angle`. */
const thin = (angle: number, long: number, short: number): Covariance => {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return [long * c * c + short * s * s, (long - short) * c * s, long * s * s + short * c * c];
};

test("of covariances that are round the usual one has the medians of their entries", () => {
  const all: Covariance[] = [
    [1, 0.1, 2],
    [3, 0.2, 1],
    [2, -0.1, 3],
  ];
  expect(usualOf(all)).toEqual([2, 0.1, 2]);
});

test("of lines it is that of the middle one by size", () => {
  const all = [0.3, 0.5, 0.25, 0.9, 0.4].map((long) => thin(0.7, long, 1e-4));
  expect(usualOf(all)).toEqual(all[4]);
});

test("of lines that turn it is a covariance all the same", () => {
  const random = createRandom(5);
  for (let k = 0; k < 200; k++) {
    const all = Array.from({ length: 5 }, () => thin(random.between(0, 3), random.between(0.1, 1), 1e-4));
    const [xx, xy, yy] = usualOf(all);
    expect(xx * yy - xy * xy).toBeGreaterThan(0);
  }
});

test("nothing known is nothing", () => {
  expect(usualOf([[0, 0, 0]])).toEqual([0, 0, 0]);
});
