import { median } from "./statistics/robust.ts";
import { selected } from "./statistics/selected.ts";

// Robust similarity (shift, turn, scale) through scattered displacements: iteratively reweighted least squares with
// Tukey's biweight, c = 4.685 for 95 % efficiency (Huber 1981, Robust Statistics; constant from memory).

const TUKEY = 4.685;
const ROUNDS = 30;

export interface Similarity {
  /** Displacement at the origin of the fit, px; turn in radians (positive from x towards y); scale about 1. */
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly scale: number;
  /** Covariance of (dx, dy, turn, log scale), row-major 4 x 4. */
  readonly covariance: Float64Array;
  /** Weight of each sample at the end, 0 to 1. */
  readonly weights: Float64Array;
  /** Samples that keep a weight above a half; those that tell one direction alone count half. */
  readonly support: number;
  /** Robust scatter of the standardised residuals: 1 where the samples' own sigmas are right. */
  readonly spread: number;
}

function solveSymmetric(matrix: Float64Array, size: number): Float64Array | null {
  // Inverse by Gauss-Jordan with pivoting; the matrix is small and copied.
  const a = new Float64Array(size * 2 * size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) a[i * 2 * size + j] = matrix[i * size + j];
    a[i * 2 * size + size + i] = 1;
  }
  for (let c = 0; c < size; c++) {
    let pivot = c;
    for (let r = c + 1; r < size; r++) if (Math.abs(a[r * 2 * size + c]) > Math.abs(a[pivot * 2 * size + c])) pivot = r;
    const p = a[pivot * 2 * size + c];
    if (!(Math.abs(p) > 1e-14)) return null;
    for (let k = 0; k < 2 * size; k++) {
      const swap = a[pivot * 2 * size + k];
      a[pivot * 2 * size + k] = a[c * 2 * size + k];
      a[c * 2 * size + k] = swap / p;
    }
    for (let r = 0; r < size; r++) {
      if (r === c) continue;
      const f = a[r * 2 * size + c];
      if (f !== 0)
        for (let k = 0; k < 2 * size; k++) a[r * 2 * size + k] = a[r * 2 * size + k] - f * a[c * 2 * size + k];
    }
  }
  const inverse = new Float64Array(size * size);
  for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) inverse[i * size + j] = a[i * 2 * size + size + j];
  return inverse;
}

/**
 * Scatter of standardised lengths. By their median, as long as the nearest quarter tells the same story; where more
 * than half of the samples are elsewhere the median is theirs, and the quarter nearest to the fit counts alone.
 * Quantiles of the length of a standard two-dimensional normal: sqrt(-2 ln(1 - share)).
 */
function spreadOf(lengths: Float64Array): number {
  const values = lengths.slice();
  const middle = selected(values, values.length >> 1) / Math.sqrt(2 * Math.LN2);
  // The nearer half stands in front now.
  const near = selected(values, values.length >> 2, values.length >> 1) / Math.sqrt(-2 * Math.log(0.75));
  return middle <= 2 * Math.max(1, near) ? middle : near;
}

/** Inverse covariances of samples, 1 / px squared, some of which tell one direction alone: theirs have no other. */
export interface Precisions {
  readonly xx: Float64Array;
  readonly xy: Float64Array;
  readonly yy: Float64Array;
  /** 2, or 1. */
  readonly directions: Uint8Array;
}

/** Medians of the length of a standard normal in two dimensions and in one: as one scale for both. */
const ONE_AS_TWO = Math.sqrt(2 * Math.LN2) / 0.67448975;

/** Precisions of samples that tell x and y independently of each other. */
function independent(varX: ArrayLike<number>, varY: ArrayLike<number>): Precisions {
  const inverted = (values: ArrayLike<number>): Float64Array => Float64Array.from(values, (value) => 1 / value);
  const n = varX.length;
  return { xx: inverted(varX), xy: new Float64Array(n), yy: inverted(varY), directions: new Uint8Array(n).fill(2) };
}

/**
 * Fits d(p) = shift + (scale R(turn) - I) (p - origin), for small turns, to displacements d_i measured at p_i.
 * @param x, y positions, px; dx, dy displacements, px; varX, varY their variances, px squared (all of one length)
 * @param start shift to begin with, px; null: the median one. Half of the samples may be elsewhere: where they are not
 * one crowd but two, the start says which of them is meant
 * @param leastFactor how far the samples' agreement may lower the variance below what their own sigmas say: 1 (not at
 * all) where those are measured, less where they hold a guessed model error
 * @returns null with fewer than 4 usable samples, or where they lie so that the fit is not determined
 */
export function fitSimilarity(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  dx: ArrayLike<number>,
  dy: ArrayLike<number>,
  varX: ArrayLike<number>,
  varY: ArrayLike<number>,
  originX: number,
  originY: number,
  start: readonly [number, number] | null = null,
  leastFactor = 1,
): Similarity | null {
  return fitByPrecisions(x, y, dx, dy, independent(varX, varY), originX, originY, start, leastFactor);
}

/** The same through samples whose errors along x and y go together, or that tell one direction alone. */
export function fitByPrecisions(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  dx: ArrayLike<number>,
  dy: ArrayLike<number>,
  { xx, xy, yy, directions }: Precisions,
  originX: number,
  originY: number,
  start: readonly [number, number] | null = null,
  leastFactor = 1,
): Similarity | null {
  const n = x.length;
  if (n < 4) return null;
  const params = new Float64Array(4);
  [params[0], params[1]] = start ?? [median(Float64Array.from(dx)), median(Float64Array.from(dy))];
  const weights = new Float64Array(n).fill(1);
  const standardised = new Float64Array(n);
  const alike = new Float64Array(n);
  let spread = 1;
  let inverse: Float64Array | null = null;
  let previous = Number.POSITIVE_INFINITY;
  for (let round = 0; round < ROUNDS; round++) {
    for (let i = 0; i < n; i++) {
      const u = x[i] - originX;
      const v = y[i] - originY;
      const rx = dx[i] - params[0] - params[3] * u + params[2] * v;
      const ry = dy[i] - params[1] - params[2] * u - params[3] * v;
      const length = Math.sqrt(Math.max(0, xx[i] * rx * rx + 2 * xy[i] * rx * ry + yy[i] * ry * ry));
      standardised[i] = length;
      alike[i] = directions[i] === 2 ? length : length * ONE_AS_TWO;
    }
    spread = Math.max(1, spreadOf(alike));
    // Rows of the design: x: (1, 0, -v, u); y: (0, 1, u, v). Written out: this is the innermost loop of the camera.
    let n00 = 0;
    let n01 = 0;
    let n02 = 0;
    let n03 = 0;
    let n11 = 0;
    let n12 = 0;
    let n13 = 0;
    let n22 = 0;
    let n23 = 0;
    let n33 = 0;
    let r0 = 0;
    let r1 = 0;
    let r2 = 0;
    let r3 = 0;
    for (let i = 0; i < n; i++) {
      const r = standardised[i] / (TUKEY * spread);
      weights[i] = r >= 1 ? 0 : (1 - r * r) ** 2;
      if (weights[i] === 0) continue;
      const u = x[i] - originX;
      const v = y[i] - originY;
      const rx = dx[i] - params[0] - params[3] * u + params[2] * v;
      const ry = dy[i] - params[1] - params[2] * u - params[3] * v;
      const wx = weights[i] * xx[i];
      const wc = weights[i] * xy[i];
      const wy = weights[i] * yy[i];
      // The weighted turn's row, then the growth's.
      const tx = wc * u - wx * v;
      const ty = wy * u - wc * v;
      const gx = wx * u + wc * v;
      const gy = wc * u + wy * v;
      n00 += wx;
      n01 += wc;
      n02 += tx;
      n03 += gx;
      n11 += wy;
      n12 += ty;
      n13 += gy;
      n22 += ty * u - tx * v;
      n23 += tx * u + ty * v;
      n33 += gx * u + gy * v;
      r0 += wx * rx + wc * ry;
      r1 += wc * rx + wy * ry;
      r2 += tx * rx + ty * ry;
      r3 += gx * rx + gy * ry;
    }
    const normal = Float64Array.of(n00, n01, n02, n03, n01, n11, n12, n13, n02, n12, n22, n23, n03, n13, n23, n33);
    const right = [r0, r1, r2, r3];
    inverse = solveSymmetric(normal, 4);
    if (inverse === null) return null;
    let change = 0;
    for (let a = 0; a < 4; a++) {
      let step = 0;
      for (let b = 0; b < 4; b++) step += inverse[a * 4 + b] * right[b];
      params[a] = params[a] + step;
      change += Math.abs(step) * (a < 2 ? 1 : 500);
    }
    if (change < 1e-7 || (round > 10 && change >= previous)) break;
    previous = change;
  }
  if (inverse === null) return null;
  // Variance of the M-estimate (Huber 1981, section 6.3): mean square of the influence over its mean slope squared, per
  // dimension; the normal equations hold the mean weight, which comes off.
  let influence = 0;
  let slope = 0;
  let weight = 0;
  let told = 0;
  for (let i = 0; i < n; i++) {
    const q = (standardised[i] / (TUKEY * spread)) ** 2;
    if (q >= 1) continue;
    influence += (weights[i] * standardised[i]) ** 2;
    // Of two directions one is along the residual, one across it; the weight falls along it alone.
    slope += directions[i] * weights[i] - 4 * q * (1 - q);
    weight += directions[i] * weights[i];
    told += directions[i];
  }
  const ratio = slope > 0 && told > 8 ? ((influence / told) * (weight / told)) / (slope / told) ** 2 : spread ** 2;
  const factor = Math.max(leastFactor, (ratio * told) / Math.max(1, told - 4));
  const covariance = new Float64Array(16);
  for (let i = 0; i < 16; i++) covariance[i] = inverse[i] * factor;
  let support = 0;
  for (let i = 0; i < n; i++) if (weights[i] > 0.5) support += directions[i] / 2;
  const a = 1 + params[3];
  const b = params[2];
  return {
    dx: params[0],
    dy: params[1],
    turn: Math.atan2(b, a),
    scale: Math.hypot(a, b),
    covariance,
    weights,
    support,
    spread,
  };
}

/** Displacement at (x, y) of a similarity whose shift is told at the origin. */
export function similarityAt(
  s: { readonly dx: number; readonly dy: number; readonly turn: number; readonly scale: number },
  originX: number,
  originY: number,
  x: number,
  y: number,
): [number, number] {
  const u = x - originX;
  const v = y - originY;
  const c = s.scale * Math.cos(s.turn) - 1;
  const d = s.scale * Math.sin(s.turn);
  return [s.dx + c * u - d * v, s.dy + d * u + c * v];
}
