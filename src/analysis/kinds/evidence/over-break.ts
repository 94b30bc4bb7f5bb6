import { type Series, type History, slowNoise } from "../../../measure/statistics/history.ts";
import { whitenedSquare } from "../../../measure/statistics/matrix.ts";
import {
  coefficientsOf,
  type Regression,
  startRegression,
  withColumn,
} from "../../../measure/statistics/regression.ts";

// What a series did over a break, its own trend while people worked taken out.

/** Rows on either side that are looked at: a line is trend enough over so few. */
const WINDOW = 10;
/** Rows before the break from which a trend can be told. */
const ROWS_TO_TREND = 4;

export interface StepOver {
  readonly value: Float64Array;
  readonly covariance: Float64Array;
  /** Length of the step in its standard errors: Hotelling's T. */
  readonly statistic: number;
}

/**
 * Step between two frames that follow each other. The trend runs by frames, as the work does, so what crept by the clock
 * while nobody worked is in the step. Other steps and single frames near it are allowed for.
 *
 * @param frames of the rows
 * @param to first frame after the break
 * @param history of the whole series
 * @returns null where no row lies on one of the sides
 */
export function stepOver(
  { values, dims, weights, prior }: Series,
  frames: readonly number[],
  to: number,
  history: History,
): StepOver | null {
  const at = frames.findIndex((frame) => frame >= to);
  if (at < 1) return null;
  const first = Math.max(0, at - WINDOW);
  const last = Math.min(frames.length, at + WINDOW);
  const rows = last - first;
  const near = values.slice(first * dims, last * dims);
  const column = (entry: (row: number) => number) => Float64Array.from({ length: rows }, (_, i) => entry(first + i));
  const others = history.events.flatMap(({ shape }, k) => {
    const isOther = (shape.kind === "step" && shape.at !== at) || (shape.kind === "pop" && shape.at !== at);
    const whole = history.columns[history.columns.length - history.events.length + k];
    return isOther ? [column((row) => whole[row])] : [];
  });
  let fit: Regression | null = startRegression(near, dims, weights.slice(first, last));
  fit = withColumn(
    fit,
    column(() => 1),
  );
  fit =
    fit === null
      ? null
      : withColumn(
          fit,
          column((row) => (row >= at ? 1 : 0)),
        );
  if (fit === null) return null;
  const trend = at - first >= ROWS_TO_TREND ? [column((row) => frames[row] - frames[at])] : [];
  for (const more of [...trend, ...others]) if (fit.columns.length < rows) fit = withColumn(fit, more) ?? fit;
  const coefficients = coefficientsOf(fit, near);
  if (coefficients === null) return null;
  const p = fit.columns.length;
  const freedom = rows - p + prior.rows;
  const length = coefficients.spread[p + 1];
  const even = fit.scatter.map((entry, k) => ((entry + prior.rows * prior.covariance[k]) / freedom) * length);
  const value = coefficients.values.slice(dims, 2 * dims);
  return {
    value,
    covariance: even.map((entry) => entry * slowNoise(history)),
    statistic: Math.sqrt(whitenedSquare(even, value)),
  };
}
