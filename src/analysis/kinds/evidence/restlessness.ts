import type { Series } from "../../../measure/statistics/history.ts";

// How restless the light of a shot is. By one threshold for all, every false alarm would come from restless shots, in
// which a lamp's few percent can't be told anyway, and quiet shots would be judged more strictly than they need.

/** Of the differences from row to row, the smallest: what is left out holds what happened. */
const CALM_SHARE = 0.75;
/** Mean square of the smallest three quarters of normal values over the variance, asymptotic: 1 - 2 q phi(q) / 0.75 with q = 1.1503. */
const CALM_SQUARE = 0.3685;
/** Thresholds rise with the restlessness to this power: the best recall of 2 % at a flicker of 0.3 % rms, by simulation. */
const POWER = 0.3;
/**
 * Up to the first number of rows by the full power, from the second on not at all: a long series tells its flicker well
 * enough, and by then quiet shots would take the false alarms.
 */
const SHORT_ROWS = 48;
const LONG_ROWS = 96;
/** Beyond so many times the expected flicker nothing was simulated. */
const MOST = 2;

/**
 * Factor on the thresholds of a single series: the flicker, from differences of neighbouring rows, over the expected one,
 * to a power. The expectation counts as one difference; how far the estimate is biased is in the simulated thresholds.
 */
export function restlessness({ values, prior }: Series): number {
  const differences = Float64Array.from(values.subarray(1), (value, i) => (value - values[i]) ** 2).sort();
  const calm = differences.subarray(0, Math.ceil(CALM_SHARE * differences.length));
  const expected = prior.covariance[0];
  const mean = calm.length === 0 ? 0 : calm.reduce((sum, square) => sum + square, 0) / calm.length;
  // The variance of a difference is twice that of a row.
  const seen = mean / CALM_SQUARE / 2;
  const variance = (differences.length * seen + expected) / (differences.length + 1);
  const fading = Math.log(LONG_ROWS / values.length) / Math.log(LONG_ROWS / SHORT_ROWS);
  return Math.min(MOST, Math.sqrt(variance / expected)) ** (POWER * Math.min(1, Math.max(0, fading)));
}
