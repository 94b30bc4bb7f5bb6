import { loadWeights } from "./gaussian.ts";
import type { BlurSums } from "./subset-blur.ts";
import type { PreparedFrame, ReferenceFrame } from "./prepared.ts";
import type { SubsetShape } from "./subset-shape.ts";
import { addressOf, kernelsOf, type KernelWorkspace, MOST_SIZE } from "./workspace.ts";

// How subset.ts calls the kernels. Each answers as its twin there does.

/** What a piece of the reference says, and what a solution fills in: see SubsetReference and SubsetResult there. */
interface Piece {
  readonly left: number;
  readonly top: number;
  readonly size: number;
  readonly meanT: number;
  readonly normT: number;
  readonly meanX: number;
  readonly meanY: number;
  readonly slopeX: number;
  readonly slopeY: number;
  readonly hxx: number;
  readonly hxy: number;
  readonly hyy: number;
}
interface Solution {
  dx: number;
  dy: number;
  gain: number;
  brighter: number;
  correlation: number;
  iterations: number;
  converged: boolean;
}

/** The workspace that a reference lies in, and the current frame with it; null where the twin is to work. */
export const subsetKernels = (
  reference: ReferenceFrame,
  size: number,
  current: PreparedFrame = reference,
): KernelWorkspace | null =>
  size <= MOST_SIZE ? kernelsOf(reference.even, reference.gradientX, current.coefficients) : null;

/** Means of T, X and Y, then central second moments TT, TX, TY, XX, XY, YY. Good until the next kernel. */
export function sumsByKernel(
  workspace: KernelWorkspace,
  reference: ReferenceFrame,
  left: number,
  top: number,
  size: number,
): Float64Array {
  const { width, even, gradientX, gradientY } = reference;
  const corner = (top * width + left) * 4;
  const [t, x, y] = [addressOf(even), addressOf(gradientX), addressOf(gradientY)];
  workspace.kernels.subsetSums(t + corner, x + corner, y + corner, width * 4, size);
  return workspace.results;
}

/** Fills shift, gain, correlation, iterations and whether it converged. */
export function solveByKernel(
  workspace: KernelWorkspace,
  reference: ReferenceFrame,
  piece: Piece,
  current: PreparedFrame,
  seedX: number,
  seedY: number,
  range: number,
  mostIterations: number,
  converged: number,
  shape: SubsetShape | null,
  into: Solution,
): void {
  workspace.kernels.solveSubset(
    addressOf(reference.even),
    addressOf(reference.gradientX),
    addressOf(reference.gradientY),
    reference.width * 4,
    addressOf(current.coefficients),
    current.width,
    current.height,
    piece.left,
    piece.top,
    piece.size,
    piece.meanT,
    piece.normT,
    piece.meanX,
    piece.meanY,
    piece.slopeX,
    piece.slopeY,
    piece.hxx,
    piece.hxy,
    piece.hyy,
    seedX,
    seedY,
    range,
    mostIterations,
    converged,
    shape === null ? 0 : 1,
    shape === null ? 1 : shape.xx,
    shape === null ? 0 : shape.xy,
    shape === null ? 0 : shape.yx,
    shape === null ? 1 : shape.yy,
  );
  const { results } = workspace;
  into.dx = results[0];
  into.dy = results[1];
  into.gain = results[2];
  into.correlation = results[3] > 0 ? results[4] / Math.sqrt(piece.normT * results[3]) : 0;
  into.iterations = results[5];
  into.converged = results[6] === 1;
  into.brighter = results[7];
}

/** Sum of squared residuals of the last solution; the blocks' scores go into the arrays. */
export function scoresByKernel(
  workspace: KernelWorkspace,
  size: number,
  gain: number,
  scoreX: Float64Array,
  scoreY: Float64Array,
): number {
  workspace.kernels.subsetScores(size, gain);
  const { results } = workspace;
  for (let b = 0; b < scoreX.length; b++) {
    scoreX[b] = results[1 + b];
    scoreY[b] = results[1 + scoreX.length + b];
  }
  return results[0];
}

/** Sums of squares of the last solution's projected gradient after a blur. */
export function scatterByKernel(
  workspace: KernelWorkspace,
  size: number,
  weights: Float64Array,
): { xx: number; xy: number; yy: number } {
  loadWeights(workspace, weights);
  workspace.kernels.subsetScatter(size, weights.length - 1);
  const [xx, xy, yy] = workspace.results;
  return { xx, xy, yy };
}

/** Sums of the last solution that tell its change of blur. */
export function blurByKernel(workspace: KernelWorkspace, size: number, gain: number): BlurSums {
  workspace.kernels.subsetBlur(size, gain);
  const [l, ll, lt, t, tt, e, el, et, lx, ly, ee] = workspace.results;
  return { n: (size - 2) ** 2, l, ll, lt, t, tt, e, el, et, lx, ly, ee };
}
