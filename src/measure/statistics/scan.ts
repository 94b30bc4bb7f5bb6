import { quadratic } from "./matrix.ts";
import { OWN_SHARE, type Regression } from "./regression.ts";
import { columnOf, type Family, familyOf, type Shape } from "./shapes.ts";

// Which one further column explains most of what a regression has left. Steps, pops and hinges at every row are tried
// by running sums, so that a scan over all of them costs little more than a single fit.

/** What is known of the scatter before the series is seen: it counts as so many rows of that covariance. */
export interface Prior {
  /** Covariance of an ordinary row, dims x dims. */
  readonly covariance: Float64Array;
  readonly rows: number;
}

export interface Candidate {
  readonly shape: Shape;
  /**
   * Length of the effect in standard errors: Hotelling's T of the added column, Student's t for a single series. The
   * scatter is the one that is left with the column in, together with the prior.
   */
  readonly statistic: number;
  /** Gain in log-evidence (Schwarz 1978), times two: places that were searched for count as a parameter. */
  readonly evidence: number;
}

/** Which shapes may be tried, and on which axes. */
export interface Menu {
  readonly axes: readonly Float64Array[];
  readonly families: readonly Family[];
  /** Slow shapes: the straight line alone, lines with knees, or curves too. */
  readonly slow: "line" | "knees" | "curves";
  /** First and last row that a step may begin with; row 0 can't be told from the intercept and is never tried. */
  readonly steps: readonly [number, number];
  /** First and last row that may be a pop. */
  readonly pops: readonly [number, number];
  /** This one shape instead of all. */
  readonly only?: Shape;
}

/** A knee needs this many rows after it, or it can't be told from a step. */
const ROWS_AFTER_KNEE = 3;
/** More knees than this are not tried: they are spread evenly over longer series. */
const KNEES = 200;
/** Exponential approaches are tried with time constants from this many rows to the whole series: a faster one is a step. */
const FASTEST_ROWS = 3;
const NEXT_CONSTANT = Math.SQRT2;
const ROWS_TO_CURVE = 4;

type Range = readonly [number, number];

/** Parameters that were searched for: where, and how fast. */
export const placesOf = ({ kind }: Shape): number =>
  kind === "line" || kind === "logarithm" ? 0 : kind === "exponential" ? 2 : 1;

/** Told of each shape: its column's product with what is left, its length beside the columns so far, and its whole length. */
type Note = (shape: Shape, product: Float64Array, own: number, whole: number) => void;

/**
 * The best further column of each family; a family without one is missing.
 *
 * @param precision inverse of (prior rows times prior covariance, plus the scatter that is left)
 */
export function scan(
  regression: Regression,
  precision: Float64Array,
  prior: Prior,
  menu: Menu,
): ReadonlyMap<Family, Candidate> {
  const best = new Map<Family, Candidate>();
  const counted = regression.rows + prior.rows;
  const freedom = counted - regression.columns.length - 1;
  const note: Note = (shape, product, own, whole) => {
    if (!(own > OWN_SHARE * whole) || freedom <= 0) return;
    const explained = Math.min(quadratic(precision, product) / own, 1 - 1e-15);
    const evidence = -counted * Math.log1p(-explained) - placesOf(shape) * Math.log(counted);
    const family = familyOf(shape);
    if (evidence > (best.get(family)?.evidence ?? Number.NEGATIVE_INFINITY)) {
      const statistic = Math.sqrt((freedom * explained) / (1 - explained));
      best.set(family, { shape, statistic, evidence });
    }
  };
  if (menu.only !== undefined) {
    tryShape(regression, menu.only, menu.axes, note);
    return best;
  }
  if (menu.families.includes("pop")) scanPops(regression, menu.pops, note);
  if (menu.families.includes("step")) scanSteps(regression, menu.steps, note);
  if (menu.families.includes("slow")) {
    menu.axes.forEach((axis, index) => {
      tryShape(regression, { kind: "line", axis: index }, menu.axes, note);
      if (menu.slow === "line") return;
      scanHinges(regression, axis, index, note);
      if (menu.slow === "knees" || regression.rows <= ROWS_TO_CURVE) return;
      const span = axis[axis.length - 1] - axis[0];
      const spacing = span / (regression.rows - 1);
      for (let constant = FASTEST_ROWS * spacing; constant <= span; constant *= NEXT_CONSTANT) {
        scanApproaches(regression, axis, index, constant, note);
      }
      tryShape(regression, { kind: "logarithm", axis: index, constant: spacing }, menu.axes, note);
    });
  }
  return best;
}

function scanPops({ rows, dims, weights, residual, basis }: Regression, range: Range, note: Note): void {
  const product = new Float64Array(dims);
  for (let i = Math.max(0, range[0]); i <= Math.min(range[1], rows - 1); i++) {
    const w = weights[i];
    let own = w;
    for (const q of basis) own -= (w * q[i]) ** 2;
    for (let d = 0; d < dims; d++) product[d] = w * residual[i * dims + d];
    note({ kind: "pop", at: i }, product, own, w);
  }
}

function scanSteps({ rows, dims, weights, residual, basis }: Regression, range: Range, note: Note): void {
  const product = new Float64Array(dims);
  const dots = new Float64Array(basis.length);
  let whole = 0;
  for (let at = rows - 1; at >= Math.max(1, range[0]); at--) {
    const w = weights[at];
    whole += w;
    let own = whole;
    for (let d = 0; d < dims; d++) product[d] += w * residual[at * dims + d];
    for (let j = 0; j < basis.length; j++) {
      dots[j] += w * basis[j][at];
      own -= dots[j] ** 2;
    }
    if (at <= range[1]) note({ kind: "step", at }, product, own, whole);
  }
}

/** Rows at which a knee is tried. */
function isKnee(row: number, rows: number): boolean {
  const last = rows - 1 - ROWS_AFTER_KNEE;
  return row <= last && row % Math.max(1, Math.ceil(last / KNEES)) === 0;
}

function scanHinges(
  { rows, dims, weights, residual, basis }: Regression,
  axis: Float64Array,
  index: number,
  note: Note,
): void {
  const product = new Float64Array(dims);
  const flat = new Float64Array(dims);
  const tilted = new Float64Array(dims);
  const flatDots = new Float64Array(basis.length);
  const tiltedDots = new Float64Array(basis.length);
  let [sum, first, second] = [0, 0, 0];
  for (let at = rows - 1; at >= 1; at--) {
    const time = axis[at] - axis[0];
    const w = weights[at];
    if (isKnee(at, rows)) {
      const whole = second - 2 * time * first + time * time * sum;
      let own = whole;
      for (let d = 0; d < dims; d++) product[d] = tilted[d] - time * flat[d];
      for (let j = 0; j < basis.length; j++) own -= (tiltedDots[j] - time * flatDots[j]) ** 2;
      note({ kind: "hinge", axis: index, at }, product, own, whole);
    }
    sum += w;
    first += w * time;
    second += w * time * time;
    for (let d = 0; d < dims; d++) {
      const value = w * residual[at * dims + d];
      flat[d] += value;
      tilted[d] += value * time;
    }
    for (let j = 0; j < basis.length; j++) {
      const value = w * basis[j][at];
      flatDots[j] += value;
      tiltedDots[j] += value * time;
    }
  }
}

function scanApproaches(
  { rows, dims, weights, residual, basis }: Regression,
  axis: Float64Array,
  index: number,
  constant: number,
  note: Note,
): void {
  // Sums over the rows after the knee of w, w e, w e^2 and of values with w and with w e, where e decays from the knee
  // on: stepping the knee back by one row multiplies e by one factor everywhere.
  let [sum, first, second] = [0, 0, 0];
  const product = new Float64Array(dims);
  const flat = new Float64Array(dims);
  const decayed = new Float64Array(dims);
  const flatDots = new Float64Array(basis.length);
  const decayedDots = new Float64Array(basis.length);
  for (let at = rows - 2; at >= 0; at--) {
    const row = at + 1;
    const factor = Math.exp((axis[at] - axis[row]) / constant);
    const w = weights[row];
    sum += w;
    first = factor * (first + w);
    second = factor * factor * (second + w);
    for (let d = 0; d < dims; d++) {
      const value = w * residual[row * dims + d];
      flat[d] += value;
      decayed[d] = factor * (decayed[d] + value);
      product[d] = flat[d] - decayed[d];
    }
    const whole = sum - 2 * first + second;
    let own = whole;
    for (let j = 0; j < basis.length; j++) {
      const value = w * basis[j][row];
      flatDots[j] += value;
      decayedDots[j] = factor * (decayedDots[j] + value);
      own -= (flatDots[j] - decayedDots[j]) ** 2;
    }
    if (isKnee(at, rows)) note({ kind: "exponential", axis: index, at, constant }, product, own, whole);
  }
}

function tryShape(regression: Regression, shape: Shape, axes: readonly Float64Array[], note: Note): void {
  const { rows, dims, weights, residual, basis } = regression;
  const column = columnOf(shape, axes, rows);
  const product = new Float64Array(dims);
  const dots = new Float64Array(basis.length);
  let whole = 0;
  for (let i = 0; i < rows; i++) {
    const value = weights[i] * column[i];
    whole += value * column[i];
    for (let d = 0; d < dims; d++) product[d] += value * residual[i * dims + d];
    for (let j = 0; j < basis.length; j++) dots[j] += value * basis[j][i];
  }
  let own = whole;
  for (const dot of dots) own -= dot * dot;
  note(shape, product, own, whole);
}
