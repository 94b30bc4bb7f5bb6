import { expect, test } from "vitest";
import { type ExplainOptions, explain } from "../../src/measure/statistics/explain.ts";
import { effectOf, type Series, statisticOf } from "../../src/measure/statistics/history.ts";
import { mannKendall } from "../../src/measure/statistics/mann-kendall.ts";
import { inverse, whitenedSquare } from "../../src/measure/statistics/matrix.ts";
import { type Regression, startRegression, withColumn } from "../../src/measure/statistics/regression.ts";
import { huberLocation, median, medianAbsoluteDeviation } from "../../src/measure/statistics/robust.ts";
import { scan } from "../../src/measure/statistics/scan.ts";
import { senSlope } from "../../src/measure/statistics/sen-slope.ts";
import { columnOf, type Shape } from "../../src/measure/statistics/shapes.ts";
import { createRandom } from "../support/random.ts";

const rows = 24;
const axis = Float64Array.from({ length: rows }, (_, i) => i);
const options: ExplainOptions = {
  axes: [axis],
  families: ["slow", "step", "pop"],
  slow: "curves",
  steps: [1, rows - 1],
  pops: [1, rows - 2],
  thresholds: { slow: 6.8, step: 7.1, pop: 6 },
  most: 8,
};

/** A series of `dims` numbers a row: `shape` (its size in the first number, half of it in the others) in noise of sigma 1. */
function seriesWith(seed: number, shapes: readonly (readonly [Shape, number])[], dims = 3): Series {
  const random = createRandom(seed);
  const values = new Float64Array(rows * dims);
  for (let i = 0; i < rows * dims; i++) values[i] = random.normal();
  for (const [shape, size] of shapes) {
    const column = columnOf(shape, [axis], rows);
    for (let i = 0; i < rows; i++) {
      for (let d = 0; d < dims; d++) values[i * dims + d] += column[i] * size * (d === 0 ? 1 : 0.5);
    }
  }
  const covariance = new Float64Array(dims * dims);
  for (let d = 0; d < dims; d++) covariance[d * dims + d] = 1;
  return { values, dims, weights: new Float64Array(rows).fill(1), prior: { covariance, rows: 5 } };
}

const told = (series: Series) => (explain(series, options)?.events ?? []).map(({ shape }) => shape);

test("nothing is told of noise", () => {
  for (let seed = 0; seed < 50; seed++) expect(told(seriesWith(seed, []))).toEqual([]);
});

test("each law of drift is recognised by its evidence", () => {
  const shapes: readonly (readonly [Shape, number])[] = [
    [{ kind: "line", axis: 0 }, 2],
    [{ kind: "hinge", axis: 0, at: 12 }, 4],
    [{ kind: "exponential", axis: 0, at: 6, constant: 23 / 8 }, 40],
    [{ kind: "step", at: 9 }, 12],
    [{ kind: "pop", at: 15 }, 14],
  ];
  for (const [shape, size] of shapes) {
    const right = Array.from({ length: 20 }, (_, seed) => told(seriesWith(seed, [[shape, size]]))[0]?.kind);
    expect(right.filter((kind) => kind === shape.kind).length, shape.kind).toBeGreaterThanOrEqual(18);
  }
});

test("a step and a pop are placed in their very rows", () => {
  for (let seed = 0; seed < 30; seed++) {
    const shapes = told(
      seriesWith(seed, [
        [{ kind: "step", at: 9 }, 14],
        [{ kind: "pop", at: 17 }, -16],
      ]),
    );
    expect(shapes.filter(({ kind }) => kind === "step")).toEqual([{ kind: "step", at: 9 }]);
    expect(shapes.filter(({ kind }) => kind === "pop")).toEqual([{ kind: "pop", at: 17 }]);
  }
});

test("three like pops don't hide each other", () => {
  const shapes = [5, 11, 18].map((at) => [{ kind: "pop", at }, 9] as const);
  let all = 0;
  for (let seed = 0; seed < 20; seed++) if (told(seriesWith(seed, shapes, 1)).length === 3) all++;
  expect(all).toBeGreaterThanOrEqual(18);
});

test("the scan by running sums finds what fitting every column one by one finds", () => {
  const series = seriesWith(4, [[{ kind: "line", axis: 0 }, 0.3]], 2);
  const weights = Float64Array.from({ length: rows }, (_, i) => 0.5 + (i % 3));
  const ones = new Float64Array(rows).fill(1);
  let start: Regression = startRegression(series.values, 2, weights);
  for (const column of [ones, axis]) start = withColumn(start, column) ?? start;
  const precisionOf = (regression: Regression) =>
    inverse(
      regression.scatter.map((value, k) => value + 5 * series.prior.covariance[k]),
      2,
    ) ?? new Float64Array(4);
  const best = scan(start, precisionOf(start), series.prior, options);
  for (const [family, candidate] of best) {
    const after = withColumn(start, columnOf(candidate.shape, [axis], rows));
    // The effect in whitened units: what the column takes out of the scatter, over what is left with it in.
    const freedom = rows + 5 - 3;
    const left = after === null ? new Float64Array(4) : after.scatter.map((v, k) => v + 5 * series.prior.covariance[k]);
    const taken = start.scatter.map((value, k) => value - (after?.scatter[k] ?? 0));
    const inverted = inverse(left, 2) ?? new Float64Array(4);
    // For a matrix of rank one g g', the trace of A^-1 g g' is g' A^-1 g.
    const square =
      inverted.reduce((sum, value, k) => sum + value * taken[(k % 2) * 2 + Math.floor(k / 2)], 0) * freedom;
    expect(candidate.statistic, family).toBeCloseTo(Math.sqrt(square), 8);
  }
  const every = Array.from({ length: rows - 1 }, (_, k) => {
    const one = scan(start, precisionOf(start), series.prior, { ...options, only: { kind: "step", at: k + 1 } });
    return one.get("step")?.statistic ?? 0;
  });
  expect(best.get("step")?.statistic).toBeCloseTo(Math.max(...every), 9);
});

test("the statistic doesn't depend on the units or axes of the series", () => {
  const plain = seriesWith(8, [[{ kind: "step", at: 10 }, 4]], 2);
  const mix = [3, 0.5, -0.002, 0.01];
  const values = new Float64Array(rows * 2);
  for (let i = 0; i < rows; i++) {
    const [x, y] = [plain.values[2 * i], plain.values[2 * i + 1]];
    values[2 * i] = mix[0] * x + mix[1] * y;
    values[2 * i + 1] = mix[2] * x + mix[3] * y;
  }
  const covariance = Float64Array.of(
    mix[0] ** 2 + mix[1] ** 2,
    mix[0] * mix[2] + mix[1] * mix[3],
    mix[0] * mix[2] + mix[1] * mix[3],
    mix[2] ** 2 + mix[3] ** 2,
  );
  const low = { ...options, thresholds: { slow: 99, step: 2, pop: 99 }, most: 1 };
  const one = explain(plain, low)?.events[0];
  const other = explain({ ...plain, values, prior: { covariance, rows: 5 } }, low)?.events[0];
  expect(other?.shape).toEqual(one?.shape);
  expect(other?.statistic).toBeCloseTo(one?.statistic ?? Number.NaN, 8);
});

test("an event's own effect gives back its statistic", () => {
  const history = explain(seriesWith(2, [[{ kind: "step", at: 9 }, 6]]), options);
  if (history === null) throw new Error("no history");
  const combination = Float64Array.of(0, 1);
  expect(history.events).toHaveLength(1);
  expect(statisticOf(history, effectOf(history, combination))).toBeCloseTo(history.events[0].statistic, 8);
});

test("a row of little weight doesn't make a pop", () => {
  const series = seriesWith(3, [[{ kind: "pop", at: 12 }, 30]]);
  const weights = series.weights.with(12, 1e-3);
  expect(told(series)).toEqual([{ kind: "pop", at: 12 }]);
  expect(told({ ...series, weights })).toEqual([]);
});

test("slow noise widens what is said of a step's uncertainty", () => {
  const random = createRandom(12);
  const series = seriesWith(5, [], 1);
  let state = 0;
  const values = series.values.map(() => {
    state = 0.7 * state + random.normal();
    return state;
  });
  const history = explain({ ...series, values }, options);
  expect(history?.correlation).toBeGreaterThan(0.2);
  expect(explain(series, options)?.correlation).toBeLessThan(0.2);
});

test("short and empty series are explained or refused, never thrown at", () => {
  for (let n = 0; n <= 5; n++) {
    const series = seriesWith(1, []);
    const short: Series = { ...series, values: series.values.slice(0, 3 * n), weights: series.weights.slice(0, n) };
    const history = explain(short, {
      ...options,
      axes: [axis.slice(0, n)],
      steps: [1, n - 1],
      pops: [1, n - 2],
      most: 1,
    });
    if (n === 0) expect(history).toBeNull();
    else expect(history?.events).toEqual([]);
  }
});

test("Mann-Kendall counts short series out", () => {
  // Of 4! orders one alone rises throughout; of 5! orders 1 + 4 have at most one inversion.
  expect(mannKendall([1, 2, 3, 4]).p).toBeCloseTo(1 / 24, 12);
  expect(mannKendall([1, 2, 3, 5, 4]).p).toBeCloseTo(5 / 120, 12);
  expect(mannKendall([7]).p).toBe(1);
  expect(mannKendall([2, 2, 2]).z).toBe(0);
});

test("robust location shrugs a third of wild values off", () => {
  const values = [1, 1.1, 0.9, 1.05, 0.95, 50, 60];
  expect(median(values)).toBe(1.05);
  expect(huberLocation(values).value).toBeLessThan(1.4);
  expect(medianAbsoluteDeviation([])).toBeNaN();
  expect(huberLocation([3, 3, 3, 9])).toEqual({ value: 3, sigma: 0 });
});

test("Sen's interval holds a known slope at about its rate", () => {
  let held = 0;
  for (let seed = 0; seed < 300; seed++) {
    const random = createRandom(77, seed);
    const y = Array.from(axis, (x) => 0.3 * x + random.normal());
    const { low, high } = senSlope(axis, y);
    if (low <= 0.3 && 0.3 <= high) held++;
  }
  // Binomial(300, 0.95): 285 +- 3.8.
  expect(held).toBeGreaterThan(272);
  expect(held).toBeLessThan(297);
});

test("a length is whitened by its covariance", () => {
  // [[4, 1], [1, 2]]^-1 = [[2, -1], [-1, 4]] / 7; (2, 3): (2*2*2 - 2*2*3 + 4*3*3) / 7 = 32 / 7.
  expect(whitenedSquare([4, 1, 1, 2], [2, 3])).toBeCloseTo(32 / 7, 12);
  expect(whitenedSquare([1, 2, 2, 1], [1, 1])).toBeNaN();
});
