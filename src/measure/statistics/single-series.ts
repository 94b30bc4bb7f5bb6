import { coefficientsOf, type Regression, startRegression, withColumn } from "./regression.ts";
import { columnOf } from "./shapes.ts";

// The tests for one series of even rows, as textbooks give them. The judgement runs the same sums on several series at
// once (explain.ts); these are what its numbers are checked by.

const evenSeries = (values: ArrayLike<number>, columns: readonly Float64Array[]): Regression | null => {
  const ones = new Float64Array(values.length).fill(1);
  let fit: Regression | null = withColumn(startRegression(Float64Array.from(values), 1, ones), ones);
  for (const column of columns) fit = fit === null ? null : withColumn(fit, column);
  return fit;
};

export interface LineFit {
  readonly slope: number;
  readonly intercept: number;
  /** Standard error of the slope from what is left. */
  readonly sigma: number;
  /** Slope over its standard error: Student's t with n - 2 degrees of freedom. */
  readonly t: number;
}

/** Least-squares line with a free intercept. Fewer than three values, or all x equal: null. */
export function fitLine(x: ArrayLike<number>, y: ArrayLike<number>): LineFit | null {
  const fit = y.length < 3 ? null : evenSeries(y, [Float64Array.from(x)]);
  const coefficients = fit === null ? null : coefficientsOf(fit, Float64Array.from(y));
  if (fit === null || coefficients === null) return null;
  const [intercept, slope] = coefficients.values;
  const sigma = Math.sqrt((fit.scatter[0] / (y.length - 2)) * coefficients.spread[3]);
  return { slope, intercept, sigma, t: slope / sigma };
}

export interface StepFit {
  /** Values before the break. */
  readonly before: number;
  readonly meanBefore: number;
  readonly meanAfter: number;
  /** Sum of squares about one mean, and about two. */
  readonly rssNone: number;
  readonly rssSplit: number;
  /** Difference of the means over its standard error. */
  readonly statistic: number;
}

/**
 * Two-sample likelihood-ratio test for a step, scanned over all places of the break (Hawkins 1977; Csorgo & Horvath,
 * Limit Theorems in Change-Point Analysis). Maximum likelihood is the break of least `rssSplit`.
 *
 * @param variance of one value where it is known; else it is estimated about the two means
 * @returns null for fewer than three values
 */
export function fitStep(values: ArrayLike<number>, variance: number | null = null): StepFit | null {
  const n = values.length;
  const none = evenSeries(values, []);
  if (n < 3 || none === null) return null;
  let best: StepFit | null = null;
  for (let at = 1; at < n; at++) {
    const column = columnOf({ kind: "step", at }, [], n);
    const split = withColumn(none, column);
    const rssSplit = split?.scatter[0] ?? Number.POSITIVE_INFINITY;
    if (split === null || rssSplit >= (best?.rssSplit ?? Number.POSITIVE_INFINITY)) continue;
    const coefficients = coefficientsOf(split, Float64Array.from(values));
    if (coefficients === null) continue;
    const [meanBefore, step] = coefficients.values;
    const noise = variance ?? rssSplit / (n - 2);
    const statistic = Math.abs(step) / Math.sqrt(noise * coefficients.spread[3]);
    best = { before: at, meanBefore, meanAfter: meanBefore + step, rssNone: none.scatter[0], rssSplit, statistic };
  }
  return best;
}

/**
 * How many standard errors each value lies from the mean of all others: externally Studentised residuals, Student's t
 * with n - 2 degrees of freedom (Cook & Weisberg 1982). A wild value doesn't widen its own yardstick. NaN for fewer
 * than three values.
 */
export function leaveOneOut(values: ArrayLike<number>): Float64Array {
  const n = values.length;
  const result = new Float64Array(n).fill(Number.NaN);
  const none = evenSeries(values, []);
  if (n < 3 || none === null) return result;
  for (let at = 0; at < n; at++) {
    const one = withColumn(none, columnOf({ kind: "pop", at }, [], n));
    const own = Math.sqrt((n - 1) / n);
    if (one !== null) result[at] = none.residual[at] / own / Math.sqrt(one.scatter[0] / (n - 2));
  }
  return result;
}
