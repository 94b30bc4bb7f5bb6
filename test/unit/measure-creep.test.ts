import { expect, test } from "vitest";
import { type CreepSeries, crossingOf, fitCreep } from "../../src/measure/statistics/creep.ts";
import { createRandom } from "../support/random.ts";

const SIGMA = 0.01;
const noisy = (seed: number, n: number, law: (time: number) => number): CreepSeries => {
  const random = createRandom(0x6372, seed);
  const times = Array.from({ length: n }, (_, i) => i);
  return {
    times,
    values: times.map((time) => law(time) + SIGMA * random.normal()),
    weights: times.map(() => 1),
    variance: SIGMA ** 2,
    priorRows: 5,
    slowNoise: 1,
  };
};

const line = (time: number): number => 0.02 * time;
const settling = (time: number): number => 0.8 * (1 - Math.exp(-time / 8));
const steadyLoad = (time: number): number => 0.25 * Math.log1p(time / 1.5);

test("each law of creep is found again from its own series, most of the time", () => {
  const truths = { linear: line, exponential: settling, logarithmic: steadyLoad };
  for (const [law, truth] of Object.entries(truths)) {
    let right = 0;
    for (let seed = 0; seed < 40; seed++) if (fitCreep(noisy(seed, 30, truth))[0].law === law) right++;
    expect(right, law).toBeGreaterThanOrEqual(36);
  }
});

test("a drift that comes to rest says where, within its uncertainty", () => {
  let inside = 0;
  for (let seed = 0; seed < 60; seed++) {
    const [fit] = fitCreep(noisy(seed, 30, settling));
    if (fit.rest !== null && Math.abs(fit.rest.value - 0.8) < 3 * fit.rest.sigma) inside++;
  }
  expect(inside).toBeGreaterThanOrEqual(54);
});

test("an onset after the first frame is found, and the drift is told from there", () => {
  const [fit] = fitCreep(noisy(7, 30, (time) => Math.max(0, 0.03 * (time - 9.5))));
  expect(fit.law).toBe("linear");
  expect(Math.abs(fit.onset - 9.5)).toBeLessThan(1);
  expect(Math.abs(fit.at(29).value - 0.585)).toBeLessThan(0.02);
});

test("the 95 % interval of when a limit is crossed holds the truth nine times in ten or more, whichever law holds", () => {
  const cases = [
    { law: line, limit: 0.7, crossed: 35 },
    { law: steadyLoad, limit: 0.8, crossed: 1.5 * (Math.exp(0.8 / 0.25) - 1) },
    { law: settling, limit: 0.78, crossed: -8 * Math.log(1 - 0.78 / 0.8) },
  ];
  for (const { law, limit, crossed } of cases) {
    let inside = 0;
    for (let seed = 0; seed < 60; seed++) {
      const series = noisy(seed, 24, law);
      const { low, high } = crossingOf(fitCreep(series), limit, 23, 100);
      if (low !== null && low <= crossed && (high === null || high >= crossed)) inside++;
    }
    expect(inside, `${limit}`).toBeGreaterThanOrEqual(54);
  }
});

test("a limit beyond where the drift comes to rest is not crossed", () => {
  const { at, high } = crossingOf(fitCreep(noisy(3, 40, settling)), 1.2, 39, 200);
  expect(at).toBeNull();
  expect(high).toBeNull();
});

test("too few values, and times that don't ascend, give no law", () => {
  expect(fitCreep(noisy(1, 5, line))).toEqual([]);
  expect(fitCreep({ ...noisy(1, 8, line), times: [0, 1, 2, 2, 3, 4, 5, 6] })).toEqual([]);
});
