import { expect, test } from "vitest";
import { fitSimilarity, similarityAt } from "../../src/measure/similarity.ts";
import { fitSmoothField } from "../../src/measure/smooth-field.ts";
import { createRandom, type Random } from "../support/random.ts";
import { mean } from "./measure-pictures.ts";

interface Samples {
  readonly x: number[];
  readonly y: number[];
  readonly dx: number[];
  readonly dy: number[];
  readonly varX: number[];
  readonly varY: number[];
}

const [originX, originY] = [160, 120];

/** Displacements of a similarity at random places of a 320 x 240 picture, with noise of `sigma` px. */
function samplesOf(
  random: Random,
  count: number,
  motion: { readonly dx: number; readonly dy: number; readonly turn: number; readonly scale: number },
  sigma: number,
): Samples {
  const out: Samples = { x: [], y: [], dx: [], dy: [], varX: [], varY: [] };
  for (let i = 0; i < count; i++) {
    const [x, y] = [random.between(0, 320), random.between(0, 240)];
    const [c, s] = [motion.scale * Math.cos(motion.turn), motion.scale * Math.sin(motion.turn)];
    const [u, v] = [x - originX, y - originY];
    out.x.push(x);
    out.y.push(y);
    out.dx.push(motion.dx + c * u - s * v - u + sigma * random.normal());
    out.dy.push(motion.dy + s * u + c * v - v + sigma * random.normal());
    out.varX.push(Math.max(sigma, 0.01) ** 2);
    out.varY.push(Math.max(sigma, 0.01) ** 2);
  }
  return out;
}

const fit = (s: Samples, start: readonly [number, number] | null = null) =>
  fitSimilarity(s.x, s.y, s.dx, s.dy, s.varX, s.varY, originX, originY, start);

const motion = { dx: 0.8, dy: -1.3, turn: 0.012, scale: 1.004 };

test("a similarity is found exactly in exact displacements, and a turn from x towards y is positive", () => {
  const found = fit(samplesOf(createRandom(1), 30, motion, 0))!;
  expect(found.dx).toBeCloseTo(motion.dx, 9);
  expect(found.dy).toBeCloseTo(motion.dy, 9);
  expect(found.turn).toBeCloseTo(motion.turn, 10);
  expect(found.scale).toBeCloseTo(motion.scale, 10);
  expect(found.support).toBe(30);
  expect(found.spread).toBe(1);
  // Right of the origin, what turns from x towards y goes down.
  expect(similarityAt({ dx: 0, dy: 0, turn: 0.01, scale: 1 }, 0, 0, 100, 0)[1]).toBeCloseTo(1, 3);
});

test("similarityAt tells the displacement that the fit was made of", () => {
  const samples = samplesOf(createRandom(2), 20, motion, 0);
  const found = fit(samples)!;
  samples.x.forEach((x, i) => {
    const [dx, dy] = similarityAt(found, originX, originY, x, samples.y[i]);
    expect(dx).toBeCloseTo(samples.dx[i], 8);
    expect(dy).toBeCloseTo(samples.dy[i], 8);
  });
});

test("four samples in ten that went elsewhere don't pull the fit", () => {
  const random = createRandom(3);
  for (let round = 0; round < 20; round++) {
    const samples = samplesOf(random, 100, motion, 0.02);
    for (let i = 0; i < 40; i++) {
      samples.dx[i] = samples.dx[i] + random.between(0.5, 6);
      samples.dy[i] = samples.dy[i] + random.between(-1, 5);
    }
    const found = fit(samples)!;
    expect(Math.abs(found.dx - motion.dx)).toBeLessThan(0.02);
    expect(Math.abs(found.dy - motion.dy)).toBeLessThan(0.02);
    expect(Math.abs(found.turn - motion.turn)).toBeLessThan(2e-4);
    expect(found.support).toBeGreaterThan(50);
    expect(found.support).toBeLessThanOrEqual(62);
  }
});

test("the covariance of the fit is the scatter of repeated fits", () => {
  const random = createRandom(4);
  const found = Array.from({ length: 1000 }, () => fit(samplesOf(random, 80, motion, 0.05))!);
  const told = (k: number): number => mean(found.map((one) => one.covariance[5 * k]));
  const scatter = (values: readonly number[]): number => {
    const centre = mean(values);
    return mean(values.map((value) => (value - centre) ** 2));
  };
  for (const [k, values] of [
    [0, found.map((one) => one.dx)],
    [1, found.map((one) => one.dy)],
    [2, found.map((one) => one.turn)],
    [3, found.map((one) => Math.log(one.scale))],
  ] as const) {
    // 1000 fits tell a variance to 4.5 %; the figure is allowed to be careful, not to be too small.
    expect(told(k) / scatter(values)).toBeGreaterThan(0.9);
    expect(told(k) / scatter(values)).toBeLessThan(1.35);
  }
});

test("where the samples' own sigmas are three times too small the covariance makes up for it", () => {
  const random = createRandom(5);
  const samples = samplesOf(random, 300, motion, 0.06);
  const right = fit(samples)!;
  const narrow = fit({
    ...samples,
    varX: samples.varX.map((value) => value / 9),
    varY: samples.varY.map((value) => value / 9),
  })!;
  expect(narrow.spread / right.spread).toBeGreaterThan(2.6);
  expect(narrow.covariance[0] / right.covariance[0]).toBeGreaterThan(0.8);
  expect(narrow.covariance[0] / right.covariance[0]).toBeLessThan(1.25);
});

test("of two crowds of like size the start says which one is meant", () => {
  const random = createRandom(6);
  const samples = samplesOf(random, 100, { dx: 0, dy: 0, turn: 0, scale: 1 }, 0.01);
  for (let i = 0; i < 50; i++) samples.dx[i] = samples.dx[i] + 3;
  expect(fit(samples, [0, 0])!.dx).toBeCloseTo(0, 1);
  expect(fit(samples, [3, 0])!.dx).toBeCloseTo(3, 1);
});

test("samples of unlike certainty count by it", () => {
  const random = createRandom(7);
  const samples = samplesOf(random, 60, motion, 0.01);
  for (let i = 0; i < 30; i++) {
    samples.dx[i] = samples.dx[i] + 0.5 * random.normal();
    samples.dy[i] = samples.dy[i] + 0.5 * random.normal();
    samples.varX[i] = 0.25;
    samples.varY[i] = 0.25;
  }
  const found = fit(samples)!;
  expect(Math.abs(found.dx - motion.dx)).toBeLessThan(5 * Math.sqrt(found.covariance[0]));
  expect(Math.sqrt(found.covariance[0])).toBeLessThan(0.01);
});

test("three samples, or any number at one place, determine no similarity", () => {
  expect(fit(samplesOf(createRandom(8), 3, motion, 0.01))).toBeNull();
  const samples = samplesOf(createRandom(9), 10, motion, 0);
  expect(fit({ ...samples, x: samples.x.map(() => originX), y: samples.y.map(() => originY) })).toBeNull();
});

const quadratic = (x: number, y: number): number => {
  const [p, q] = [(x - 160) / 160, (y - 120) / 120];
  return 0.03 - 0.02 * p + 0.01 * q + 0.04 * p * p - 0.015 * p * q + 0.005 * q * q;
};

const places = (random: Random, count: number): { x: number[]; y: number[]; value: number[] } => {
  const x = Array.from({ length: count }, () => random.between(0, 320));
  const y = Array.from({ length: count }, () => random.between(0, 240));
  return { x, y, value: x.map((at, i) => quadratic(at, y[i])) };
};

test("a smooth field is found where it is one", () => {
  const { x, y, value } = places(createRandom(10), 60);
  const field = fitSmoothField(x, y, value, 320, 240)!;
  for (const [u, v] of [
    [0, 0],
    [160, 120],
    [300, 40],
  ] as const)
    expect(field.at(u, v)).toBeCloseTo(quadratic(u, v), 4);
  expect(field.samples).toBe(60);
});

test("one sample in five that a moving thing spoilt doesn't bend the smooth field", () => {
  const random = createRandom(11);
  const { x, y, value } = places(random, 100);
  for (let i = 0; i < 100; i++) value[i] = value[i] + 0.002 * random.normal();
  // Spoilt where things are: all on one side.
  for (let i = 0, spoilt = 0; spoilt < 20; i++)
    if (x[i] < 160) {
      value[i] = value[i] - 0.4;
      spoilt++;
    }
  const field = fitSmoothField(x, y, value, 320, 240)!;
  for (const [u, v] of [
    [40, 120],
    [160, 120],
    [280, 200],
  ] as const)
    expect(Math.abs(field.at(u, v) - quadratic(u, v))).toBeLessThan(0.003);
  expect(field.scatter).toBeLessThan(0.006);
});

test("eleven samples make no field", () => {
  const { x, y, value } = places(createRandom(12), 11);
  expect(fitSmoothField(x, y, value, 320, 240)).toBeNull();
});
