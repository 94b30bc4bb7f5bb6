import type { Contrast } from "./left-over-contrast.ts";

// How far a step goes, by all rows there are. Where rows are independent that is the difference of two long means, where
// they wander it is one pair of frames; what lies between is told by the rows' own changes.

/** Rows on each side that are believed to be like those at the step. */
const SIDE = 12;
/** Changes that must be there to tell how rows go together. */
const LEAST_CHANGES = 6;
/**
 * How one change goes with the next one where nothing is known yet, and how many changes that is worth: a held surface's
 * rows are places of their own, those of a moving one are summed up.
 */
const AS_HELD = -0.48;
const AS_MOVING = -0.25;
const WORTH = 40;

export interface StepWeights {
  /** Weight of each row. */
  readonly weights: Float64Array;
  /** Sigma of the step, in the trace's unit. */
  readonly sigma: number;
}

/**
 * Generalised least squares for the step at a row of a level that wanders under white noise: the changes from row to row
 * have the covariance of a moving average.
 * @param trace the pooled rows, in which the step is plain
 * @param sloping the usual change between two rows is no step
 */
export function stepWeights(trace: Float64Array, row: number, sloping: boolean): StepWeights | null {
  const first = Math.max(1, row - SIDE);
  const end = Math.min(trace.length, row + SIDE);
  const count = end - first;
  const at = row - first;
  const changes = Float64Array.from({ length: count }, (_, k) => trace[first + k] - trace[first + k - 1]);
  const others = changes.filter((_, k) => k !== at);
  if (others.length < LEAST_CHANGES) return null;
  const usual = sloping ? others.reduce((sum, value) => sum + value, 0) / others.length : 0;
  let [square, product, pairs] = [0, 0, 0];
  for (let k = 0; k < count; k++) {
    if (k === at) continue;
    square += (changes[k] - usual) ** 2;
    if (k > 0 && k - 1 !== at) {
      product += (changes[k] - usual) * (changes[k - 1] - usual);
      pairs++;
    }
  }
  square /= others.length - (sloping ? 1 : 0);
  if (!(square > 0) || pairs === 0) return null;
  // From -1/2, where every row is a place of its own, to 0, where each change is one.
  const shown = (product / square + WORTH * (sloping ? AS_MOVING : AS_HELD)) / (pairs + WORTH);
  const together = Math.max(-0.49, Math.min(0, shown));
  const told = solveTridiagonal(count, together, at);
  const scale = told[at];
  const weights = new Float64Array(trace.length);
  told.forEach((value, k) => {
    weights[first + k] += value / scale;
    weights[first + k - 1] -= value / scale;
  });
  if (sloping)
    for (let k = 0, sum = told.reduce((all, value) => all + value, 0) / scale; k < count; k++) {
      if (k === at) continue;
      weights[first + k] -= sum / others.length;
      weights[first + k - 1] += sum / others.length;
    }
  return { weights, sigma: Math.sqrt(square / scale) };
}

/** Column `at` of the inverse of the matrix with 1 on and `beside` next to its diagonal (Thomas' algorithm). */
function solveTridiagonal(n: number, beside: number, at: number): Float64Array {
  const upper = new Float64Array(n);
  const right = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const pivot = i === 0 ? 1 : 1 - beside * upper[i - 1];
    upper[i] = beside / pivot;
    right[i] = ((i === at ? 1 : 0) - (i === 0 ? 0 : beside * right[i - 1])) / pivot;
  }
  for (let i = n - 2; i >= 0; i--) right[i] -= upper[i] * right[i + 1];
  return right;
}

/** The same contrast by other weights. */
export const weighed = (contrast: Contrast, { weights }: StepWeights): Contrast => ({
  ...contrast,
  of: (values) => {
    let sum = 0;
    for (let i = 0; i < values.length; i++) sum += weights[i] * values[i];
    return sum;
  },
});
