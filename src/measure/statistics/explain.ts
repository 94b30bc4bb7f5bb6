import { inverse, whitenedSquare } from "./matrix.ts";
import { type Coefficients, coefficientsOf, type Regression, startRegression, withColumn } from "./regression.ts";
import { type Candidate, type Menu, type Prior, scan } from "./scan.ts";
import { columnOf, type Family, familyOf, type Shape } from "./shapes.ts";

// The history of a series: which lines, bends, steps and pops it takes to explain it, and nothing more. Forward choice
// by evidence (BIC, Schwarz 1978) with a look ahead, since two like outliers hide each other (the idea of Rosner 1983,
// generalised extreme Studentised deviate); then each event is moved to where it fits best beside the others, and those
// that are no longer significant beside the others are dropped.

export interface Series {
  /** Rows x dims, row-major. */
  readonly values: Float64Array;
  readonly dims: number;
  /** 1 over each row's variance against the ordinary row's. */
  readonly weights: Float64Array;
  readonly prior: Prior;
}

export interface ExplainOptions extends Menu {
  /** What a statistic must exceed, by family. */
  readonly thresholds: Readonly<Record<Family, number>>;
  /** Most events that may be told. */
  readonly most: number;
}

export interface HistoryEvent {
  readonly shape: Shape;
  /** Standard errors of the event beside all others, and what it had to exceed. */
  readonly statistic: number;
  readonly threshold: number;
}

/** What happened in a series. Column 0 is the intercept, column k + 1 belongs to event k. */
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
}

/** Stages that may stay below the threshold before the search ends. */
export const LOOK_AHEAD = 2;
const POLISH_ROUNDS = 3;
/** An event moves only for a gain in evidence that is no rounding. */
const WORTH_MOVING = 1e-6;

const families: readonly Family[] = ["slow", "step", "pop"];

function precisionOf(regression: Regression, prior: Prior): Float64Array | null {
  const whole = Float64Array.from(regression.scatter, (value, i) => value + prior.rows * prior.covariance[i]);
  return inverse(whole, regression.dims);
}

/** The significant candidate with the most evidence; failing that, the one with the most evidence. */
function pick(best: ReadonlyMap<Family, Candidate>, options: ExplainOptions): Candidate | null {
  let chosen: Candidate | null = null;
  let chosenIs = false;
  for (const family of families) {
    const candidate = best.get(family);
    if (candidate === undefined) continue;
    const significant = candidate.statistic > options.thresholds[family];
    const better = chosen === null || significant !== chosenIs ? significant || chosen === null : false;
    if (better || (significant === chosenIs && candidate.evidence > (chosen?.evidence ?? Number.NEGATIVE_INFINITY))) {
      chosen = candidate;
      chosenIs = significant;
    }
  }
  return chosen;
}

function fit(series: Series, columns: readonly Float64Array[]): Regression | null {
  let regression: Regression | null = startRegression(series.values, series.dims, series.weights);
  for (const column of columns) regression = regression === null ? null : withColumn(regression, column);
  return regression;
}

/** Candidate for one given shape beside a regression. */
function judgeShape(regression: Regression, shape: Shape, series: Series, options: ExplainOptions): Candidate | null {
  const precision = precisionOf(regression, series.prior);
  if (precision === null) return null;
  return scan(regression, precision, series.prior, { ...options, only: shape }).get(familyOf(shape)) ?? null;
}

/**
 * @param series values with their weights and prior scatter; an intercept is always fitted
 * @returns null where there is nothing to fit (no rows, or a prior that is no covariance)
 */
export function explain(series: Series, options: ExplainOptions): History | null {
  const rows = series.weights.length;
  const intercept = new Float64Array(rows).fill(1);
  let regression = rows > 0 ? fit(series, [intercept]) : null;
  if (regression === null || precisionOf(regression, series.prior) === null) return null;
  const highest: Record<Family, number> = { slow: 0, step: 0, pop: 0 };
  const path: Shape[] = [];
  let accepted = 0;
  while (path.length < options.most && path.length - accepted < LOOK_AHEAD + 1) {
    const precision = precisionOf(regression, series.prior);
    if (precision === null) break;
    const best = scan(regression, precision, series.prior, options);
    for (const [family, candidate] of best) highest[family] = Math.max(highest[family], candidate.statistic);
    const chosen = pick(best, options);
    if (chosen === null) break;
    const next = withColumn(regression, columnOf(chosen.shape, options.axes, rows));
    if (next === null) break;
    regression = next;
    path.push(chosen.shape);
    if (chosen.statistic > options.thresholds[familyOf(chosen.shape)]) accepted = path.length;
  }

  const columnsOf = (shapes: readonly Shape[]) => [
    intercept,
    ...shapes.map((shape) => columnOf(shape, options.axes, rows)),
  ];
  const without = (shapes: readonly Shape[], k: number) => fit(series, columnsOf(shapes.toSpliced(k, 1)));
  let shapes: readonly Shape[] = path.slice(0, accepted);

  for (let round = 0; round < POLISH_ROUNDS; round++) {
    let moved = false;
    for (let k = 0; k < shapes.length; k++) {
      const rest = without(shapes, k);
      const precision = rest === null ? null : precisionOf(rest, series.prior);
      if (rest === null || precision === null) continue;
      const now = judgeShape(rest, shapes[k], series, options);
      const best = pick(scan(rest, precision, series.prior, options), options);
      if (best === null || best.evidence <= (now?.evidence ?? Number.NEGATIVE_INFINITY) + WORTH_MOVING) continue;
      shapes = shapes.with(k, best.shape);
      moved = true;
    }
    if (!moved) break;
  }

  let statistics: number[] = [];
  for (;;) {
    statistics = shapes.map((shape, k) => {
      const rest = without(shapes, k);
      return (rest === null ? null : judgeShape(rest, shape, series, options))?.statistic ?? 0;
    });
    const ratios = statistics.map((value, k) => value / options.thresholds[familyOf(shapes[k])]);
    const least = ratios.indexOf(Math.min(...ratios));
    if (shapes.length === 0 || ratios[least] > 1) break;
    shapes = shapes.toSpliced(least, 1);
  }

  const columns = columnsOf(shapes);
  const final = fit(series, columns);
  const coefficients = final === null ? null : coefficientsOf(final, series.values);
  if (final === null || coefficients === null) return null;
  const freedom = rows - columns.length + series.prior.rows;
  const covariance = Float64Array.from(
    final.scatter,
    (value, i) => (value + series.prior.rows * series.prior.covariance[i]) / freedom,
  );
  return {
    events: shapes.map((shape, k) => ({
      shape,
      statistic: statistics[k],
      threshold: options.thresholds[familyOf(shape)],
    })),
    columns,
    coefficients,
    covariance,
    correlation: correlationOf(final, covariance),
    residual: final.residual,
    highest,
  };
}

/**
 * Autocorrelation at lag one over all series, each weighed by its own scatter; the bias of -(1 + p) / n that fitting p
 * columns brings is put back (Marriott & Pope 1954 for the mean alone).
 */
function correlationOf(regression: Regression, covariance: Float64Array): number {
  const { rows, dims, residual, weights, columns } = regression;
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

/** An autocorrelation from this many rows is believed by half. */
const SHRINK_ROWS = 8;

export interface Effect {
  /** Value of the combination in each series. */
  readonly value: Float64Array;
  /** Its covariance, dims x dims. */
  readonly covariance: Float64Array;
}

/**
 * A linear combination of the columns' coefficients, with its covariance; slow noise is allowed for by the factor
 * (1 + rho) / (1 - rho) of the variance of a mean (Box, Jenkins & Reinsel, Time Series Analysis).
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
  const slow = (1 + history.correlation) / (1 - history.correlation);
  return { value, covariance: history.covariance.map((entry) => entry * length * slow) };
}

/** Length of an effect in standard errors of even noise: Hotelling's T, what the thresholds are made for. */
export function statisticOf(history: History, effect: Effect): number {
  const slow = (1 + history.correlation) / (1 - history.correlation);
  return Math.sqrt(slow * whitenedSquare(effect.covariance, effect.value));
}
