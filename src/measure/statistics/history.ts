import { whitenedSquare } from "./matrix.ts";
import { type Coefficients, coefficientsOf, type Regression } from "./regression.ts";
import type { Prior } from "./scan.ts";
import type { Family, Shape } from "./shapes.ts";

// What happened in a series, with the uncertainty of everything that is said of it.

export interface Series {
  /** Rows x dims, row-major. */
  readonly values: Float64Array;
  readonly dims: number;
  /** 1 over each row's variance against the ordinary row's. */
  readonly weights: Float64Array;
  readonly prior: Prior;
}

export interface HistoryEvent {
  readonly shape: Shape;
  /** Standard errors of the event beside all others, and what it had to exceed. */
  readonly statistic: number;
  readonly threshold: number;
}

/** Columns: the intercept, the base, then one for each event in their order. */
export interface History {
  readonly events: readonly HistoryEvent[];
  readonly columns: readonly Float64Array[];
  readonly coefficients: Coefficients;
  /** Covariance of an ordinary row, dims x dims, from what is left and the prior. */
  readonly covariance: Float64Array;
  /** First-order autocorrelation of what is left, 0 to 0.95, drawn towards 0 on short series. */
  readonly correlation: number;
  /** What is left, rows x dims. */
  readonly residual: Float64Array;
  /** Largest statistic of each family met on the way, threshold or not: what null simulation needs. */
  readonly highest: Readonly<Record<Family, number>>;
  readonly thresholds: Readonly<Record<Family, number>>;
}

/** An autocorrelation from this many rows is believed by half. */
const SHRINK_ROWS = 8;

/** What a fit that was chosen says; null where its columns can't be told apart. */
export function historyOfFit(
  fit: Regression,
  series: Series,
  rest: Pick<History, "events" | "highest" | "thresholds">,
): History | null {
  const coefficients = coefficientsOf(fit, series.values);
  if (coefficients === null) return null;
  const { prior } = series;
  const freedom = fit.rows - fit.columns.length + prior.rows;
  const covariance = fit.scatter.map((value, i) => (value + prior.rows * prior.covariance[i]) / freedom);
  return {
    ...rest,
    columns: fit.columns,
    coefficients,
    covariance,
    correlation: correlationOf(fit, covariance),
    residual: fit.residual,
  };
}

/**
 * Autocorrelation at lag one over all series, each weighed by its own scatter; the bias of -p / n that fitting p columns
 * brings is put back (Marriott & Pope 1954 for the mean alone).
 */
function correlationOf(fit: Regression, covariance: Float64Array): number {
  const { rows, dims, residual, weights, columns } = fit;
  let lagged = 0;
  let square = 0;
  for (let i = 0; i < rows; i++) {
    for (let d = 0; d < dims; d++) {
      const scale = 1 / covariance[d * dims + d];
      const value = Math.sqrt(weights[i]) * residual[i * dims + d];
      square += value * value * scale;
      if (i > 0) lagged += value * Math.sqrt(weights[i - 1]) * residual[(i - 1) * dims + d] * scale;
    }
  }
  if (!(square > 0) || rows < 4) return 0;
  const raw = lagged / square + columns.length / rows;
  const trusted = (raw * rows) / (rows + SHRINK_ROWS);
  return Math.min(Math.max(trusted, 0), 0.95);
}

/** Variance of a mean of correlated rows against even ones: (1 + rho) / (1 - rho) (Box, Jenkins & Reinsel, Time Series Analysis). */
export const slowNoise = ({ correlation }: History): number => (1 + correlation) / (1 - correlation);

export interface Effect {
  /** Value of the combination in each series. */
  readonly value: Float64Array;
  /** Its covariance, dims x dims. */
  readonly covariance: Float64Array;
}

/**
 * A linear combination of the columns' coefficients, with its covariance; slow noise is allowed for.
 *
 * @param combination one factor for each column; column 0 is the intercept
 */
export function effectOf(history: History, combination: ArrayLike<number>): Effect {
  const { values, spread } = history.coefficients;
  const p = history.columns.length;
  const dims = values.length / p;
  const value = new Float64Array(dims);
  let length = 0;
  for (let a = 0; a < p; a++) {
    for (let d = 0; d < dims; d++) value[d] += combination[a] * values[a * dims + d];
    for (let b = 0; b < p; b++) length += combination[a] * spread[a * p + b] * combination[b];
  }
  const scale = length * slowNoise(history);
  return { value, covariance: history.covariance.map((entry) => entry * scale) };
}

/** Length of an effect in standard errors of even noise: Hotelling's T, what the thresholds are made for. */
export const statisticOf = (history: History, effect: Effect): number =>
  Math.sqrt(slowNoise(history) * whitenedSquare(effect.covariance, effect.value));
