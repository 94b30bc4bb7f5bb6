import { gaussianWeights, gradientNoise, noiseLeft } from "./gaussian.ts";
import { covarianceAcross } from "./one-way.ts";
import { PREFILTER_SIGMA, type PreparedFrame, type ReferenceFrame } from "./prepared.ts";
import { splineWeights } from "./spline.ts";
import { type BlurChange, blurChange, type BlurSums } from "./subset-blur.ts";
import {
  blurByKernel,
  scatterByKernel,
  scoresByKernel,
  solveByKernel,
  subsetKernels,
  sumsByKernel,
} from "./subset-kernel.ts";
import { sampleTurned, type SubsetShape, turnCovariance, UNTURNED } from "./subset-shape.ts";
import type { KernelWorkspace } from "./workspace.ts";

// A square piece of the reference found again in another frame: inverse-compositional Gauss-Newton
// (Baker & Matthews 2004) on a translation, in a shape that is known beforehand, with the gain and the offset of the
// light projected out (zero-mean normalised least squares; Pan et al. 2013, subset digital image correlation).

export const SUBSET_SIZE = 31;
export const MAX_ITERATIONS = 12;
/** Step in px under which an iteration has converged. */
const CONVERGED = 2e-4;
/** Blocks a side whose scores are held against the noise's own figure. */
const BLOCKS = 4;
/** How many times the expected scatter the blocks' must be before they count: with 16 blocks less is chance. */
const CLUSTERS_TELL = 1.6;
/** The part of the gradient's energy that counts as texture at the least. */
const LEAST_TEXTURE = 0.08;
const WEIGHTS = gaussianWeights(PREFILTER_SIGMA);
/** Variance of the noise's gradient over that of the prefiltered noise, per px squared. */
export const REFERENCE_GRADIENT_NOISE = gradientNoise(PREFILTER_SIGMA);
/** Share of the frame's noise variance that is left in a prefiltered frame. */
const PREFILTER_NOISE = noiseLeft(PREFILTER_SIGMA);
/** Sigma no subset is allowed to go below, px. */
export const SIGMA_FLOOR = 0.0015;

export interface SubsetResult {
  /** Current minus reference, px; NaN where it did not converge. */
  dx: number;
  dy: number;
  varX: number;
  varY: number;
  covXY: number;
  /** Gain on the even scale, current over reference. */
  gain: number;
  /** Mean of what was found less the reference's, grey levels of the even scale. */
  brighter: number;
  /** RMS of what is left over, grey levels of the even scale. */
  residual: number;
  /** Correlation of the matched pieces, -1 to 1. */
  correlation: number;
  iterations: number;
  converged: boolean;
}

/** What the reference alone says about one subset. */
export interface SubsetReference {
  readonly left: number;
  readonly top: number;
  readonly size: number;
  readonly meanT: number;
  readonly normT: number;
  /** Gradient's regression on 1 and T: J - a - b (T - mean). */
  readonly meanX: number;
  readonly meanY: number;
  readonly slopeX: number;
  readonly slopeY: number;
  readonly hxx: number;
  readonly hxy: number;
  readonly hyy: number;
  /**
   * Sums of the projected gradient blurred once more by the prefilter: how the prefilter's correlated noise scatters the
   * score. Made when it is first asked for.
   */
  scatter: { readonly xx: number; readonly xy: number; readonly yy: number } | null;
  /** Unit vector of the lines that the piece is looked for across alone: see one-way.ts. */
  readonly lines?: readonly [number, number];
}

/** Means of T, X and Y, then central second moments TT, TX, TY, XX, XY, YY of a piece. */
function sumsOf(reference: ReferenceFrame, left: number, top: number, size: number): readonly number[] {
  const { width } = reference;
  const t = reference.even.data;
  const gx = reference.gradientX.data;
  const gy = reference.gradientY.data;
  const n = size * size;
  let sumT = 0;
  let sumX = 0;
  let sumY = 0;
  for (let y = 0; y < size; y++) {
    const row = (top + y) * width + left;
    for (let x = 0; x < size; x++) {
      sumT += t[row + x];
      sumX += gx[row + x];
      sumY += gy[row + x];
    }
  }
  const meanT = sumT / n;
  const meanX = sumX / n;
  const meanY = sumY / n;
  let tt = 0;
  let tx = 0;
  let ty = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let y = 0; y < size; y++) {
    const row = (top + y) * width + left;
    for (let x = 0; x < size; x++) {
      const a = t[row + x] - meanT;
      const b = gx[row + x] - meanX;
      const c = gy[row + x] - meanY;
      tt += a * a;
      tx += a * b;
      ty += a * c;
      xx += b * b;
      xy += b * c;
      yy += c * c;
    }
  }
  return [meanT, meanX, meanY, tt, tx, ty, xx, xy, yy];
}

/**
 * @param left index of the subset's leftmost pixel; it must lie inside the reference with its whole size
 * @returns null where the piece is flat: no texture at all, nothing to find
 */
export function subsetReference(
  reference: ReferenceFrame,
  left: number,
  top: number,
  size: number,
): SubsetReference | null {
  const workspace = subsetKernels(reference, size);
  const [meanT, meanX, meanY, tt, tx, ty, xx, xy, yy] =
    workspace === null ? sumsOf(reference, left, top, size) : sumsByKernel(workspace, reference, left, top, size);
  if (!(tt > 1e-6)) return null;
  const slopeX = tx / tt;
  const slopeY = ty / tt;
  const hxx = xx - slopeX * tx;
  const hxy = xy - slopeX * ty;
  const hyy = yy - slopeY * ty;
  if (!(hxx * hyy - hxy * hxy > 1e-9 * (hxx + hyy) ** 2 + 1e-9)) return null;
  return { left, top, size, meanT, normT: tt, meanX, meanY, slopeX, slopeY, hxx, hxy, hyy, scatter: null };
}

/** Finds subsets again. Keeps its buffers, so that nothing is allocated per subset: one solver a thread. */
export class SubsetSolver {
  private readonly sampled: Float64Array;
  private readonly strip: Float64Array;
  private readonly wx = new Float64Array(4);
  private readonly wy = new Float64Array(4);
  private readonly scoreX = new Float64Array(BLOCKS * BLOCKS);
  private readonly scoreY = new Float64Array(BLOCKS * BLOCKS);
  /** Filled by `solve`. */
  readonly result: SubsetResult = {
    dx: 0,
    dy: 0,
    varX: 0,
    varY: 0,
    covXY: 0,
    gain: 1,
    brighter: 0,
    residual: 0,
    correlation: 0,
    iterations: 0,
    converged: false,
  };

  private meanI = 0;

  constructor(readonly size: number = SUBSET_SIZE) {
    this.sampled = new Float64Array(size * size);
    this.strip = new Float64Array((size + 3) * size);
  }

  /** Samples the current frame on the subset moved by (dx, dy); false where its support leaves the picture. */
  private sample(current: PreparedFrame, left: number, top: number, dx: number, dy: number): boolean {
    const { size, strip, sampled, wx, wy } = this;
    const { width, height } = current;
    const data = current.coefficients.data;
    const x = left + dx;
    const y = top + dy;
    const ix = Math.floor(x);
    const iy = Math.floor(y);
    if (!(ix >= 1 && iy >= 1 && ix + size + 2 <= width && iy + size + 2 <= height)) return false;
    splineWeights(x - ix, wx);
    splineWeights(y - iy, wy);
    const [a, b, c, d] = [wx[0], wx[1], wx[2], wx[3]];
    for (let r = 0; r < size + 3; r++) {
      let at = (iy - 1 + r) * width + ix - 1;
      const to = r * size;
      for (let i = 0; i < size; i++, at++)
        strip[to + i] = a * data[at] + b * data[at + 1] + c * data[at + 2] + d * data[at + 3];
    }
    const [e, f, g, h] = [wy[0], wy[1], wy[2], wy[3]];
    const s2 = 2 * size;
    const s3 = 3 * size;
    for (let i = 0; i < size * size; i++)
      sampled[i] = e * strip[i] + f * strip[i + size] + g * strip[i + s2] + h * strip[i + s3];
    return true;
  }

  /**
   * @param seedX where to start, current minus reference, px
   * @param range motion from the seed beyond which the answer is refused, px
   * @param shape how the piece turns and stretches about its middle; null where it doesn't
   */
  solve(
    reference: ReferenceFrame,
    piece: SubsetReference,
    current: PreparedFrame,
    seedX: number,
    seedY: number,
    range: number,
    shape: SubsetShape | null = null,
  ): SubsetResult {
    const { result } = this;
    const workspace = subsetKernels(reference, piece.size, current);
    if (workspace === null) this.meanI = this.search(reference, piece, current, seedX, seedY, range, shape);
    else
      solveByKernel(
        workspace,
        reference,
        piece,
        current,
        seedX,
        seedY,
        range,
        MAX_ITERATIONS,
        CONVERGED,
        shape,
        result,
      );
    if (!result.converged) {
      result.dx = Number.NaN;
      result.dy = Number.NaN;
      result.varX = Number.NaN;
      result.varY = Number.NaN;
      result.covXY = Number.NaN;
      result.residual = Number.NaN;
      return result;
    }
    this.covariance(workspace, reference, piece, this.meanI, result.gain);
    if (shape !== null) turnCovariance(shape, result);
    return result;
  }

  /** The change of blur of the piece that was last solved, and did converge. */
  blur(reference: ReferenceFrame, piece: SubsetReference, current: PreparedFrame, into: BlurChange): void {
    const workspace = subsetKernels(reference, piece.size, current);
    const { gain } = this.result;
    const sums = workspace === null ? this.blurSums(reference, piece, gain) : blurByKernel(workspace, piece.size, gain);
    blurChange(sums, gain, piece.hxx, piece.hxy, piece.hyy, into);
  }

  private blurSums(reference: ReferenceFrame, piece: SubsetReference, gain: number): BlurSums {
    const { size, sampled, meanI } = this;
    const { left, top, meanT, meanX, meanY, slopeX, slopeY } = piece;
    const { width } = reference;
    const t = reference.even.data;
    const gx = reference.gradientX.data;
    const gy = reference.gradientY.data;
    const s = { n: (size - 2) ** 2, l: 0, ll: 0, lt: 0, t: 0, tt: 0, e: 0, el: 0, et: 0, lx: 0, ly: 0, ee: 0 };
    for (let y = 1; y < size - 1; y++) {
      for (let x = 1; x < size - 1; x++) {
        const at = (top + y) * width + left + x;
        const a = t[at] - meanT;
        const l = t[at - 1] + t[at + 1] + t[at - width] + t[at + width] - 4 * t[at];
        const e = (sampled[y * size + x] - meanI) / gain - a;
        s.l += l;
        s.ll += l * l;
        s.lt += l * a;
        s.t += a;
        s.tt += a * a;
        s.e += e;
        s.el += e * l;
        s.et += e * a;
        s.lx += l * (gx[at] - meanX - slopeX * a);
        s.ly += l * (gy[at] - meanY - slopeY * a);
        s.ee += e * e;
      }
    }
    return s;
  }

  /** Gauss-Newton itself. Returns the mean of what was sampled last. */
  private search(
    reference: ReferenceFrame,
    piece: SubsetReference,
    current: PreparedFrame,
    seedX: number,
    seedY: number,
    range: number,
    shape: SubsetShape | null,
  ): number {
    const { size, sampled, result } = this;
    const half = (size - 1) / 2;
    const { xx, xy, yx, yy } = shape ?? UNTURNED;
    const { left, top, meanT, normT, meanX, meanY, slopeX, slopeY, hxx, hxy, hyy } = piece;
    const t = reference.even.data;
    const gx = reference.gradientX.data;
    const gy = reference.gradientY.data;
    const width = reference.width;
    const n = size * size;
    const determinant = hxx * hyy - hxy * hxy;
    let dx = seedX;
    let dy = seedY;
    let meanI = 0;
    let gain = 1;
    let normI = 0;
    let cross = 0;
    let good = false;
    let iteration = 0;
    while (iteration < MAX_ITERATIONS) {
      iteration++;
      const inside =
        shape === null
          ? this.sample(current, left, top, dx, dy)
          : sampleTurned(current.coefficients, left + half + dx, top + half + dy, size, shape, sampled);
      if (!inside) break;
      let sum = 0;
      for (let i = 0; i < n; i++) sum += sampled[i];
      meanI = sum / n;
      cross = 0;
      normI = 0;
      let sx = 0;
      let sy = 0;
      for (let y = 0, i = 0; y < size; y++) {
        const row = (top + y) * width + left;
        for (let x = 0; x < size; x++, i++) {
          const v = sampled[i] - meanI;
          cross += v * (t[row + x] - meanT);
          normI += v * v;
          sx += v * (gx[row + x] - meanX);
          sy += v * (gy[row + x] - meanY);
        }
      }
      gain = cross / normT;
      if (!(gain > 0.05)) break;
      // Score of the projected gradient on (I - mean) / gain; T itself has no component along it.
      const bx = (sx - slopeX * cross) / gain;
      const by = (sy - slopeY * cross) / gain;
      const stepX = (hyy * bx - hxy * by) / determinant;
      const stepY = (hxx * by - hxy * bx) / determinant;
      // A long first step means that the linear model doesn't hold yet: walk, don't jump.
      const length = Math.hypot(stepX, stepY);
      const shorten = length > 2 ? 2 / length : 1;
      // The step is one of the piece as it lies in the reference.
      dx -= (xx * stepX + xy * stepY) * shorten;
      dy -= (yx * stepX + yy * stepY) * shorten;
      if (Math.abs(dx - seedX) > range || Math.abs(dy - seedY) > range) break;
      if (length < CONVERGED) {
        good = true;
        break;
      }
    }
    result.iterations = iteration;
    result.converged = good;
    result.gain = gain;
    result.brighter = meanI - meanT;
    result.correlation = normI > 0 ? cross / Math.sqrt(normT * normI) : 0;
    result.dx = dx;
    result.dy = dy;
    return meanI;
  }

  /**
   * Covariance by the noise that is seen: inverse of what is texture (the noise's own gradient, which swells the normal
   * equations, taken off), around how far correlated noise lets the score scatter. Where the scores of 4 x 4 blocks
   * scatter clearly more than that (JPEG, something moving inside), they count (cluster-robust).
   */
  private covariance(
    workspace: KernelWorkspace | null,
    reference: ReferenceFrame,
    piece: SubsetReference,
    meanI: number,
    gain: number,
  ): void {
    const { size, scoreX, scoreY, result } = this;
    const { hxx, hxy, hyy } = piece;
    const squares =
      workspace === null
        ? this.scores(reference, piece, meanI, gain)
        : scoresByKernel(workspace, size, gain, scoreX, scoreY);
    const n = size * size;
    const noise = squares / (n - 4);
    let mxx = 0;
    let mxy = 0;
    let myy = 0;
    for (let b = 0; b < scoreX.length; b++) {
      mxx += scoreX[b] * scoreX[b];
      mxy += scoreX[b] * scoreY[b];
      myy += scoreY[b] * scoreY[b];
    }
    piece.scatter ??= workspace === null ? this.scatterOf(reference, piece) : scatterByKernel(workspace, size, WEIGHTS);
    const share = noise / PREFILTER_NOISE;
    let sxx = share * piece.scatter.xx;
    let sxy = share * piece.scatter.xy;
    let syy = share * piece.scatter.yy;
    const blocks = ((mxx + myy) * BLOCKS ** 2) / (BLOCKS ** 2 - 4);
    if (blocks > CLUSTERS_TELL * (sxx + syy)) {
      const raise = blocks / (sxx + syy);
      sxx *= raise;
      sxy *= raise;
      syy *= raise;
    }
    // Half of the noise is the reference's, and it has a gradient of its own.
    const swollen = ((n * noise) / 2) * REFERENCE_GRADIENT_NOISE;
    result.residual = Math.sqrt(squares / n);
    if (piece.lines !== undefined) {
      covarianceAcross(piece, piece.lines, swollen, [sxx, sxy, syy], result);
      return;
    }
    const kxx = Math.max(LEAST_TEXTURE * hxx, hxx - swollen);
    const kyy = Math.max(LEAST_TEXTURE * hyy, hyy - swollen);
    const bound = 0.98 * Math.sqrt(kxx * kyy);
    const kxy = Math.max(-bound, Math.min(bound, hxy));
    const d = kxx * kyy - kxy * kxy;
    const ixx = kyy / d;
    const ixy = -kxy / d;
    const iyy = kxx / d;
    const sandwich = (p: number, q: number, r: number, s: number): number =>
      p * (sxx * r + sxy * s) + q * (sxy * r + syy * s);
    result.varX = sandwich(ixx, ixy, ixx, ixy) + SIGMA_FLOOR ** 2;
    result.varY = sandwich(ixy, iyy, ixy, iyy) + SIGMA_FLOOR ** 2;
    const limit = 0.99 * Math.sqrt(result.varX * result.varY);
    result.covXY = Math.max(-limit, Math.min(limit, sandwich(ixx, ixy, ixy, iyy)));
  }

  /** Scores of the blocks into `scoreX` and `scoreY`; returns the sum of squared residuals. */
  private scores(reference: ReferenceFrame, piece: SubsetReference, meanI: number, gain: number): number {
    const { size, sampled, scoreX, scoreY } = this;
    const { left, top, meanT, meanX, meanY, slopeX, slopeY } = piece;
    const t = reference.even.data;
    const gx = reference.gradientX.data;
    const gy = reference.gradientY.data;
    const width = reference.width;
    scoreX.fill(0);
    scoreY.fill(0);
    let squares = 0;
    for (let y = 0, i = 0; y < size; y++) {
      const row = (top + y) * width + left;
      const blockRow = Math.floor((y * BLOCKS) / size) * BLOCKS;
      for (let x = 0; x < size; x++, i++) {
        const a = t[row + x] - meanT;
        const e = (sampled[i] - meanI) / gain - a;
        squares += e * e;
        const block = blockRow + Math.floor((x * BLOCKS) / size);
        scoreX[block] = scoreX[block] + e * (gx[row + x] - meanX - slopeX * a);
        scoreY[block] = scoreY[block] + e * (gy[row + x] - meanY - slopeY * a);
      }
    }
    return squares;
  }

  /** Sums of squares of the projected gradient after one more pass of the prefilter. */
  private scatterOf(reference: ReferenceFrame, piece: SubsetReference): { xx: number; xy: number; yy: number } {
    const { size } = this;
    const { left, top, meanT, meanX, meanY, slopeX, slopeY } = piece;
    const radius = WEIGHTS.length - 1;
    const side = size + 2 * radius;
    const t = reference.even.data;
    const blurred = [reference.gradientX.data, reference.gradientY.data].map((gradient, axis) => {
      const mean = axis === 0 ? meanX : meanY;
      const slope = axis === 0 ? slopeX : slopeY;
      const rows = new Float64Array(size * side);
      for (let y = 0; y < size; y++) {
        const row = (top + y) * reference.width + left;
        for (let x = 0; x < size; x++) {
          const value = gradient[row + x] - mean - slope * (t[row + x] - meanT);
          const at = y * side + x + radius;
          rows[at] += WEIGHTS[0] * value;
          for (let k = 1; k <= radius; k++) {
            rows[at - k] += WEIGHTS[k] * value;
            rows[at + k] += WEIGHTS[k] * value;
          }
        }
      }
      const out = new Float64Array(side * side);
      for (let y = 0; y < size; y++)
        for (let x = 0; x < side; x++) {
          const value = rows[y * side + x];
          const at = (y + radius) * side + x;
          out[at] += WEIGHTS[0] * value;
          for (let k = 1; k <= radius; k++) {
            out[at - k * side] += WEIGHTS[k] * value;
            out[at + k * side] += WEIGHTS[k] * value;
          }
        }
      return out;
    });
    let xx = 0;
    let xy = 0;
    let yy = 0;
    for (let i = 0; i < side * side; i++) {
      xx += blurred[0][i] ** 2;
      xy += blurred[0][i] * blurred[1][i];
      yy += blurred[1][i] ** 2;
    }
    return { xx, xy, yy };
  }
}
