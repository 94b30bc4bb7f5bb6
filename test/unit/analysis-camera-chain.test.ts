import { expect, test } from "vitest";
import type { CameraFit } from "../../src/analysis/camera.ts";
import { between, chained, stillSeen } from "../../src/analysis/camera-chain.ts";
import { similarityAt } from "../../src/measure/similarity.ts";
import { createRandom } from "../support/random.ts";

const [width, height] = [640, 360];
const moved = (
  pose: { dx: number; dy: number; turn: number; scale: number },
  x: number,
  y: number,
): [number, number] => {
  const [dx, dy] = similarityAt(pose, width / 2, height / 2, x, y);
  return [x + dx, y + dy];
};
const fit = (dx: number, dy: number, turn: number, scale: number, sigma: number): CameraFit => {
  const covariance = new Float64Array(16);
  [sigma, sigma, sigma / 200, sigma / 200].forEach((value, d) => (covariance[d * 5] = value ** 2));
  return { dx, dy, turn, scale, covariance };
};

test("a camera against a nearer frame, on top of that frame's own, is the camera against the first one", () => {
  const near = fit(120, -14, 0.03, 1.04, 0.002);
  const measured = fit(31, 5, -0.01, 0.99, 0.003);
  const whole = chained(near, measured);
  for (const [x, y] of [
    [0, 0],
    [600, 40],
    [320, 180],
  ]) {
    const [u, v] = moved(measured, ...moved(near, x, y));
    const [p, q] = moved(whole, x, y);
    expect(p).toBeCloseTo(u, 9);
    expect(q).toBeCloseTo(v, 9);
  }
  const back = between(near, whole);
  expect(
    [back.dx, back.dy, back.turn, back.scale]
      .map((value, k) => value - [31, 5, -0.01, 0.99][k])
      .every((off) => Math.abs(off) < 1e-9),
  ).toBe(true);
});

test("the uncertainty of a chain is what its links' errors make of it", () => {
  const random = createRandom(0x6368);
  const [near, measured] = [fit(120, -14, 0, 1, 0.002), fit(31, 5, 0, 1, 0.003)];
  const whole = chained(near, measured);
  const noisy = ({ dx, dy, turn, scale, covariance: c }: CameraFit): CameraFit => {
    const noise = (k: number) => Math.sqrt(c[k * 5]) * random.normal();
    return {
      dx: dx + noise(0),
      dy: dy + noise(1),
      turn: turn + noise(2),
      scale: scale * Math.exp(noise(3)),
      covariance: c,
    };
  };
  let sum = 0;
  for (let i = 0; i < 4000; i++) sum += (chained(noisy(near), noisy(measured)).dx - whole.dx) ** 2;
  expect(Math.sqrt(sum / 4000) / Math.sqrt(whole.covariance[0])).toBeCloseTo(1, 1);
});

test("what is still seen of a reference shrinks with the shift", () => {
  expect(stillSeen(fit(0, 0, 0, 1, 0), width, height)).toBe(1);
  expect(stillSeen(fit(64, 36, 0, 1, 0), width, height)).toBeCloseTo(0.81, 12);
  expect(stillSeen(fit(900, 0, 0, 1, 0), width, height)).toBe(0);
});
