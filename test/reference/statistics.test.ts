import { expect, test } from "vitest";
import { explain } from "../../src/measure/statistics/explain.ts";
import { mannKendall } from "../../src/measure/statistics/mann-kendall.ts";
import { normalTail } from "../../src/measure/statistics/normal.ts";
import {
  HUBER_BOUND,
  huberLocation,
  MAD_SCALE,
  median,
  medianAbsoluteDeviation,
} from "../../src/measure/statistics/robust.ts";
import { senSlope } from "../../src/measure/statistics/sen-slope.ts";

// College of the Holy Cross, MannKendallByHand.txt; worked there by hand, slope interval and tau by SciPy.
const holyCross = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7];

// Annual flow of the Nile at Aswan, 1871 to 1970 (R `datasets::Nile`; Cobb 1978). Expected values computed with R.
const nile = [
  1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140, 1100,
  1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969, 831, 726, 456,
  824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759, 781, 865, 845, 944, 984, 897,
  822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890, 744, 749, 838, 1050, 918, 986, 797, 923, 975,
  815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
];

// R `MASS::chem`, copper in wholemeal flour; expected values computed with R's MASS (Venables & Ripley).
const chem = [
  2.9, 3.1, 3.4, 3.4, 3.7, 3.7, 2.8, 2.5, 2.4, 2.4, 2.7, 2.2, 5.28, 3.37, 3.03, 3.03, 28.95, 3.77, 3.4, 2.2, 3.5, 3.6,
  3.7, 3.7,
];

test("Mann-Kendall agrees with the series that Holy Cross works by hand", () => {
  const trend = mannKendall(holyCross);
  expect(trend.s).toBe(54);
  expect(trend.variance).toBeCloseTo(332.6666666667, 9);
  expect(trend.z).toBeCloseTo(2.9058, 4);
  expect(trend.p).toBeCloseTo(0.0018, 4);
  expect(trend.tau).toBeCloseTo(0.5966941897, 9);
});

test("Sen's slope and its interval agree with SciPy on the Holy Cross series", () => {
  const order = holyCross.map((_, i) => i);
  const sen = senSlope(order, holyCross);
  expect(sen.slope).toBeCloseTo(0.5666666667, 9);
  expect(sen.low).toBeCloseTo(0.325, 9);
  expect(sen.high).toBeCloseTo(0.8666666667, 6);
});

test("the Nile falls by Mann-Kendall and Sen as R has it", () => {
  const years = nile.map((_, i) => i);
  const trend = mannKendall(nile);
  expect(trend.s).toBe(-1387);
  expect(trend.variance).toBeCloseTo(112728.3333333, 6);
  expect(trend.z).toBeCloseTo(-4.1281, 4);
  expect(2 * trend.p).toBeCloseTo(3.658e-5, 7);
  expect(trend.tau).toBeCloseTo(-0.2807413, 6);
  expect(senSlope(years, nile).slope).toBeCloseTo(-2.6, 9);
});

test("the step in the Nile lies after the 28th year, 1898, by the search that judges holds", () => {
  const ones = new Float64Array(nile.length).fill(1);
  const series = {
    values: Float64Array.from(nile),
    dims: 1,
    weights: ones,
    // Nothing is known of its scatter beforehand.
    prior: { covariance: Float64Array.of(1), rows: 0 },
  };
  const years = Float64Array.from(nile, (_, i) => i);
  const history = explain(series, {
    axes: [years],
    families: ["step"],
    slow: "line",
    steps: [1, nile.length - 1],
    pops: [1, nile.length - 2],
    thresholds: { slow: 5, step: 5, pop: 5 },
    most: 1,
  });
  expect(history?.events.map(({ shape }) => shape)).toEqual([{ kind: "step", at: 28 }]);
  const [mean, step] = history?.coefficients.values ?? [];
  expect(mean).toBeCloseTo(1097.75, 6);
  expect(mean + step).toBeCloseTo(849.9722, 3);
  const squares = (values: ArrayLike<number>) => Array.from(values).reduce((sum, value) => sum + value * value, 0);
  expect(squares(history?.residual ?? [])).toBeCloseTo(1597457.194, 2);
  // About one mean it is 2835156.75: the step's own t follows from the two, with 98 degrees of freedom.
  expect(history?.events[0].statistic).toBeCloseTo(Math.sqrt((98 * (2835156.75 - 1597457.194)) / 1597457.194), 4);
});

test("median, MAD and Huber's location of the copper series agree with R's MASS", () => {
  expect(median(chem)).toBeCloseTo(3.385, 9);
  // R's mad() has the constant rounded to 1.4826.
  expect((medianAbsoluteDeviation(chem) * 1.4826) / MAD_SCALE).toBeCloseTo(0.526323, 9);
  expect(huberLocation(chem, 1.5).value).toBeCloseTo(3.206724, 6);
  expect(huberLocation(chem, HUBER_BOUND).value).toBeCloseTo(3.2162522, 6);
});

test("the MAD's constant is one over the normal law's upper quartile", () => {
  // 1 / Phi^-1(0.75) = 1.4826022185, computed with R.
  expect(MAD_SCALE).toBeCloseTo(1.4826022185, 10);
  expect(normalTail(1 / MAD_SCALE)).toBeCloseTo(0.25, 12);
});

test("Huber's bound of 1.345 keeps 95 % of the mean's efficiency on normal noise", () => {
  // Efficiency of the M-estimate (Huber 1964): (2 Phi(k) - 1)^2 over the mean of the clipped square.
  const k = HUBER_BOUND;
  const inside = 1 - 2 * normalTail(k);
  const density = Math.exp((-k * k) / 2) / Math.sqrt(2 * Math.PI);
  const clipped = inside - 2 * k * density + 2 * k * k * normalTail(k);
  expect((inside * inside) / clipped).toBeCloseTo(0.95, 3);
});

test("the normal tail agrees with tables", () => {
  // Abramowitz & Stegun, table 26.1 and 26.2; from memory.
  expect(normalTail(1.959963984540054)).toBeCloseTo(0.025, 14);
  expect(normalTail(3) / 1.349898031630095e-3).toBeCloseTo(1, 11);
  expect(normalTail(5) / 2.866515718791939e-7).toBeCloseTo(1, 11);
  expect(normalTail(-1)).toBeCloseTo(0.8413447460685429, 13);
});
