import { expect, test } from "vitest";
import { chiSquaredQuantile, studentHalfWidth } from "../../src/reports/bench/distributions.ts";
import { differenceOf, meanOf, share, spreadOfSteps } from "../../src/reports/bench/intervals.ts";

test.each([
  // scipy.stats.t.ppf(0.975, v), SciPy 1.17.1
  [1, 12.706204736174694],
  [2, 4.302652729749462],
  [2.5, 3.5746548420036817],
  [5, 2.5705818356363146],
  [30, 2.0422724563012378],
])("Student's t with %d degrees of freedom", (freedom, quantile) => {
  expect(studentHalfWidth(freedom)).toBeCloseTo(quantile, 8);
});

test.each([
  // scipy.stats.chi2.ppf, SciPy 1.17.1
  [1, 0.0009820691171752555, 5.023886187314888],
  [4, 0.4844185570879299, 11.143286781877796],
  [6.5, 1.4584456000006825, 15.236897767505537],
  [10, 3.2469727802368413, 20.483177350807388],
  [60, 40.48174804284183, 83.2976748771732],
])("chi squared with %d degrees of freedom", (freedom, low, high) => {
  expect(chiSquaredQuantile(0.025, freedom)).toBeCloseTo(low, 8);
  expect(chiSquaredQuantile(0.975, freedom)).toBeCloseTo(high, 8);
});

test.each([
  // Newcombe 1998, Two-sided confidence intervals for the single proportion, table I, method 3 (from memory; computed
  // again by SciPy 1.17.1).
  [81, 263, 0.2553, 0.3662],
  [15, 148, 0.0624, 0.1605],
  [0, 20, 0, 0.1611],
  [1, 29, 0.0061, 0.1718],
  // R package cicalc, tests/testthat/_snaps/prop_ci.md (read): all and none of 32.
  [32, 32, 0.8928, 1],
  [0, 32, 0, 0.1072],
])("Wilson's interval of %i in %i", (count, of, low, high) => {
  const interval = share(count, of);
  expect(interval.low).toBeCloseTo(low, 4);
  expect(interval.high).toBeCloseTo(high, 4);
});

// BCG vaccine against tuberculosis, 13 trials (Colditz et al. 1994, dat.bcg of R's metafor; the first seven rows read at
// metafor-project.org, the others from memory): cases and others, vaccinated and not.
const bcg = [
  [4, 119, 11, 128],
  [6, 300, 29, 274],
  [3, 228, 11, 209],
  [62, 13536, 248, 12619],
  [33, 5036, 47, 5761],
  [180, 1361, 372, 1079],
  [8, 2537, 10, 619],
  [505, 87886, 499, 87892],
  [29, 7470, 45, 7232],
  [17, 1699, 65, 1600],
  [186, 50448, 141, 27197],
  [5, 2493, 3, 2338],
  [27, 16886, 29, 17825],
].map(([a, b, c, d]) => ({
  value: Math.log(a / (a + b) / (c / (c + d))),
  sigma: Math.sqrt(1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)),
}));

test("a random-effects mean of the BCG trials", () => {
  const mean = meanOf(bcg);
  // metafor's documentation, rma(..., method = "DL"): estimate -0.7141, tau^2 0.3088 (from memory; SciPy gives the same).
  expect(mean?.value).toBeCloseTo(-0.7141, 4);
  expect((mean?.between ?? 0) ** 2).toBeCloseTo(0.3088, 4);
  // Hartung and Knapp's interval, computed with NumPy 2 and SciPy 1.17.1.
  expect(mean?.low).toBeCloseTo(-1.1078213541683288, 9);
  expect(mean?.high).toBeCloseTo(-0.32041308997812545, 9);
});

test("holds that agree better than their sigmas say don't make the interval narrower than those", () => {
  const mean = meanOf([1, 1, 1, 1].map((value) => ({ value, sigma: 0.5 })));
  // Standard error 0.25, t with 3 degrees of freedom 3.182446 (any table).
  expect(mean?.low).toBeCloseTo(1 - 3.182446 * 0.25, 5);
  expect(mean?.between).toBe(0);
});

test("one alone has no interval, none has no mean", () => {
  expect(meanOf([{ value: 5, sigma: 0.1 }])).toMatchObject({ value: 5, low: null, high: null, count: 1 });
  expect(meanOf([])).toBeNull();
});

test("the difference of two means after Welch", () => {
  // Two samples of 4 with means 10 and 7 and standard errors 0.5 and 1: Satterthwaite's degrees of freedom are
  // (0.25 + 1)^2 / (0.0625 / 3 + 1 / 3) = 4.4118; t 2.677174 (SciPy 1.17.1), times sqrt(1.25).
  const mean = (value: number, error: number) => ({ value, low: 0, high: 0, count: 4, error, between: 0 });
  const difference = differenceOf(mean(10, 0.5), mean(7, 1));
  expect(difference?.value).toBe(3);
  expect(difference?.high).toBeCloseTo(3 + 2.677173578465619 * Math.sqrt(1.25), 4);
});

test("scatter told from steps: four of 2 px each way are 1.4 px along each axis", () => {
  const steps = [
    { dx: 2, dy: 2 },
    { dx: -2, dy: 2 },
    { dx: 2, dy: -2 },
    { dx: -2, dy: -2 },
  ];
  const spread = spreadOfSteps(steps);
  expect(spread?.value).toBeCloseTo(Math.SQRT2, 12);
  // Noise of 1 px in each step's axes is half a px^2 of the place's variance.
  expect(spreadOfSteps(steps, 1)?.value).toBeCloseTo(Math.sqrt(1.5), 12);
});
