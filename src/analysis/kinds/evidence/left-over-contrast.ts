import { median } from "../../../measure/statistics/robust.ts";
import type { NodeWindow } from "./left-over-windows.ts";

// Linear contrasts of a series: the step at a row, or the net way of a line through all rows.

/**
 * Rows on each side of a step that are averaged where the surface is held: few, since it may do something else soon, and
 * many, since a faint texture tells a lasting step by many frames alone. And where a path on purpose may slope beneath.
 */
const SIDE = 4;
const LONG_SIDE = 12;
const SIDE_BESIDE_SLOPE = 7;
/** A sum of pairs wanders: its noise counts up to this much more. */
const MOST_WANDER = 12;

export interface Contrast {
  readonly family: "step" | "slope";
  /** First row of what is told. */
  readonly row: number;
  /** Fewest rows on a side. */
  readonly least: number;
  /** Variance of the contrast where one pair of frames has variance 1. */
  readonly variance: number;
  of(values: Float64Array): number;
  /** Square sum that the model leaves of the whole series. */
  leaves(values: Float64Array): number;
  /** How many times the expected variance the rows of each window show, along each axis of its covariance. */
  noise(windows: readonly NodeWindow[]): AxisNoise;
}

/** One factor a window along its better axis, and along its worse one. */
type AxisNoise = readonly [Float64Array, Float64Array];

const times = ([better, worse]: AxisNoise, factor: number): AxisNoise => [
  better.map((value) => value * factor),
  worse.map((value) => value * factor),
];

/** Weights of least squares for the last column of a design, by the normal equations. */
function lastWeights(columns: readonly (readonly number[])[]): Float64Array | null {
  const n = columns[0].length;
  const orthogonal: Float64Array[] = [];
  for (const column of columns) {
    const left = Float64Array.from(column);
    for (const other of orthogonal) {
      const along = dot(left, other) / dot(other, other);
      for (let i = 0; i < n; i++) left[i] -= along * other[i];
    }
    orthogonal.push(left);
  }
  const last = orthogonal[orthogonal.length - 1];
  const square = dot(last, last);
  if (!(square > 1e-9)) return null;
  return last.map((value) => value / square);
}

const dot = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
};

/** Square sum about the mean of each side of a row. */
function leftByStep(values: Float64Array, row: number): number {
  let sum = 0;
  for (const part of [values.subarray(0, row), values.subarray(row)]) {
    const mean = part.reduce((total, value) => total + value, 0) / part.length;
    for (const value of part) sum += (value - mean) ** 2;
  }
  return sum;
}

function lineThrough(values: Float64Array): { slope: number; left: Float64Array } {
  const n = values.length;
  const middle = (n - 1) / 2;
  const mean = values.reduce((sum, value) => sum + value, 0) / n;
  let [up, square] = [0, 0];
  for (let i = 0; i < n; i++) {
    up += (i - middle) * (values[i] - mean);
    square += (i - middle) ** 2;
  }
  const slope = up / square;
  return { slope, left: values.map((value, i) => value - mean - slope * (i - middle)) };
}

/**
 * The steps that are tried at a row.
 * @param sloping a straight path beneath the step is told apart from it
 */
export function stepContrasts(row: number, rows: number, sloping: boolean): Contrast[] {
  const isLong = !sloping && Math.max(row, rows - row) > SIDE;
  const sides = sloping ? [SIDE_BESIDE_SLOPE] : isLong ? [SIDE, LONG_SIDE] : [SIDE];
  return sides.flatMap((side) => stepContrast(row, rows, sloping, side) ?? []);
}

function stepContrast(row: number, rows: number, sloping: boolean, side: number): Contrast | null {
  const first = Math.max(0, row - side);
  const end = Math.min(rows, row + side);
  const n = end - first;
  if (sloping && (n < 5 || row - first < 2 || end - row < 2)) return null;
  const ones = new Array<number>(n).fill(1);
  const after = ones.map((_, i) => (first + i >= row ? 1 : 0));
  const weights = lastWeights(sloping ? [ones, ones.map((_, i) => i), after] : [ones, after]);
  if (weights === null) return null;
  return {
    family: "step",
    row,
    least: Math.min(row - first, end - row),
    // A pair of frames has the noise of two rows.
    variance: dot(weights, weights) / 2,
    of: (values) => dot(weights, values.subarray(first, end)),
    leaves: (values) => leftByStep(values, row),
    noise: (windows) => {
      const { scatter, correlations } = noiseOfSteps(windows);
      // A sum of pairs wanders by itself: what slopes beneath is told apart there.
      if (sloping) return scatter;
      const known = new Map<number, number>();
      const wander = correlations.map((rho) => {
        const factor = known.get(rho) ?? stepWander(weights, rho);
        known.set(rho, factor);
        return factor;
      });
      return [scatter[0].map((value, w) => value * wander[w]), scatter[1].map((value, w) => value * wander[w])];
    },
  };
}

/** Net way of the line through all rows, from the first to the last. */
export function slopeContrast(rows: number): Contrast {
  const middle = (rows - 1) / 2;
  let square = 0;
  for (let i = 0; i < rows; i++) square += (i - middle) ** 2;
  const span = rows - 1;
  return {
    family: "slope",
    row: 0,
    least: rows,
    variance: (span * span) / square / 2,
    of: (values) => span * lineThrough(values).slope,
    leaves: (values) => lineThrough(values).left.reduce((sum, value) => sum + value * value, 0),
    noise: (windows) => {
      const scatter = noiseOf(windows, (values) => lineThrough(values).left, 1);
      return times(scatter, wanderOf(windows));
    },
  };
}

function differences(values: Float64Array): Float64Array {
  const out = new Float64Array(values.length - 1);
  for (let i = 1; i < values.length; i++) out[i - 1] = values[i] - values[i - 1];
  const middle = median(out);
  return out.map((value) => value - middle);
}

/** Rows from which on the scatter is known well enough to say that the nodes promise too little, and down to what share. */
const ENOUGH_ROWS = 8;
const LEAST_SCATTER = 0.02;

/**
 * Squared scatter of each window's rows over what its nodes promise, never below the usual one of all windows.
 * @param rowsInEach rows whose noise is in each value of `of`
 */
function noiseOf(
  windows: readonly NodeWindow[],
  of: (values: Float64Array) => Float64Array,
  rowsInEach: number,
): AxisNoise {
  const own = windows.map(({ whitened, isLined }): readonly [number, number] => {
    const [better, worse] = whitened.map(
      (values) => (2 * median(of(values).map((value) => value * value))) / (0.455 * rowsInEach),
    );
    // Along lines nothing may have been looked for: no scatter there is no sign of little noise.
    return isLined ? [better, Math.max(1, worse)] : [(better + worse) / 2, (better + worse) / 2];
  });
  const least = (windows[0]?.x.length ?? 0) < ENOUGH_ROWS ? 1 : LEAST_SCATTER;
  const along = (axis: 0 | 1): Float64Array => {
    const usual = median(own.map((one) => one[axis]));
    return Float64Array.from(own, (one) => Math.max(least, usual, one[axis]));
  };
  return [along(0), along(1)];
}

interface StepNoise {
  readonly scatter: AxisNoise;
  /** Correlation of a row with the next one, by window. */
  readonly correlations: Float64Array;
}

const stepNoises = new WeakMap<readonly NodeWindow[], StepNoise>();

/** The same for the steps at all rows: it is told from all rows, whichever is asked. */
function noiseOfSteps(windows: readonly NodeWindow[]): StepNoise {
  const known = stepNoises.get(windows);
  if (known !== undefined) return known;
  const made = { scatter: noiseOf(windows, differences, 2), correlations: correlationsOf(windows) };
  stepNoises.set(windows, made);
  return made;
}

/** Most that the rows' correlation is believed to be: beyond it, it is a slip that goes on. Chance alone makes so much. */
const MOST_CORRELATED = 0.5;
const BY_CHANCE = 0.1;

/** One window's own correlation has to be so much larger than the usual one: it is told by few rows. */
const BY_FEW_ROWS = 0.4;

/** How the changes of a window go with the next ones, the largest left out, since it may be the slip. */
function togetherOf(values: Float64Array): { product: number; square: number } | null {
  const changes = differences(values);
  const largest = changes.reduce((most, value, i) => (Math.abs(value) > Math.abs(changes[most]) ? i : most), 0);
  let [product, square, pairs] = [0, 0, 0];
  changes.forEach((value, i) => {
    if (i === largest) return;
    square += value * value;
    if (i === 0 || i - 1 === largest) return;
    product += value * changes[i - 1];
    pairs++;
  });
  return square > 0 && pairs > 0 ? { product: product / pairs, square: square / (changes.length - 1) } : null;
}

/** From how one change goes with the next, -0.5 where rows are independent, to how a row goes with the next. */
const believed = (rho: number): number => Math.round(100 * Math.max(0, Math.min(MOST_CORRELATED, rho))) / 100;

/**
 * Correlation of a row's noise with the next one's: over the smallest windows together, since a few rows of each make
 * white noise seem to wander; and of each window, where that goes on far more than the others (what breathes).
 */
function correlationsOf(windows: readonly NodeWindow[]): Float64Array {
  const each = windows.map(({ whitened, isLined }) => {
    let [product, square] = [0, 0];
    for (const values of isLined ? whitened.slice(0, 1) : whitened) {
      const told = togetherOf(values);
      if (told !== null) [product, square] = [product + told.product, square + told.square];
    }
    return { product, square };
  });
  const isSmallest = windows.some(({ radius }) => radius === 1);
  const asked = each.filter((_, w) => !isSmallest || windows[w].radius === 1);
  const [products, squares] = asked.reduce(([a, b], { product, square }) => [a + product, b + square], [0, 0]);
  const usual = squares > 0 ? 1 + (2 * products) / squares - BY_CHANCE : 0;
  return Float64Array.from(each, ({ product, square }) =>
    believed(Math.max(usual, square > 0 ? 1 + (2 * product) / square - BY_FEW_ROWS : 0)),
  );
}

/** Variance of a contrast of rows that go with the next one by `rho` (AR(1)), over what their changes alone would say. */
function stepWander(weights: Float64Array, rho: number): number {
  let sum = 0;
  for (let i = 0; i < weights.length; i++)
    for (let j = 0; j < weights.length; j++) sum += weights[i] * weights[j] * rho ** Math.abs(i - j);
  return sum / dot(weights, weights) / (1 - rho);
}

/** How much more a line's ends are off than independent rows would have them: from the rows' correlation. */
function wanderOf(windows: readonly NodeWindow[]): number {
  const each = windows.flatMap(({ whitened, isLined }) =>
    whitened.slice(0, isLined ? 1 : 2).map((values) => {
      const { left } = lineThrough(values);
      const square = dot(left, left);
      return square > 0 ? dot(left.subarray(1), left.subarray(0, -1)) / square : 0;
    }),
  );
  const correlation = Math.max(0, Math.min(0.95, median(each) + 2 / Math.max(8, windows[0].x.length)));
  return Math.min(MOST_WANDER, (1 + correlation) / (1 - correlation));
}
