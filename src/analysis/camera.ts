import { ACROSS } from "../measure/grid-across.ts";
import { axesOf } from "../measure/one-way.ts";
import { fitByPrecisions, type Precisions, type Similarity, similarityAt } from "../measure/similarity.ts";
import { median } from "../measure/statistics/robust.ts";
import type { GridMeasurement } from "./measurement.ts";

/** Cells that must agree on the camera: with fewer it can't be told from the set. */
export const LEAST_CELLS = 12;

/** The camera of one frame against the shot's reference frame, px of the analysed frame, told at its centre. */
export interface CameraFit {
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly scale: number;
  /** Covariance of (dx, dy, turn, log scale), row-major 4 x 4. */
  readonly covariance: Float64Array;
}

/** The camera's own motion from one frame to another at a place of the first, px of the analysed frame. */
export interface CameraStep {
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly varX: number;
  readonly varY: number;
  readonly varTurn: number;
}

/** Positions of the valid cells of a grid outside what moves, with their displacements. */
export function cellsOutside(
  grid: GridMeasurement,
  excluded: (x: number, y: number, index: number) => boolean,
  isUsed: (valid: number) => boolean = (valid) => valid === 1,
): { index: number[]; x: number[]; y: number[] } {
  const out = { index: [] as number[], x: [] as number[], y: [] as number[] };
  for (let i = 0; i < grid.valid.length; i++) {
    if (!isUsed(grid.valid[i])) continue;
    const x = grid.originX + (i % grid.cols) * grid.step;
    const y = grid.originY + Math.floor(i / grid.cols) * grid.step;
    if (excluded(x, y, i)) continue;
    out.index.push(i);
    out.x.push(x);
    out.y.push(y);
  }
  return out;
}

/**
 * What no cell of a real set is better than, px: relief, shading, JPEG. Without it a few sharp cells on a costume that
 * creeps would outweigh a whole wall; with it the wall's many cells decide.
 */
const MODEL_ERROR = 0.02;
/** Where cells agree better than that guess, the camera's variance may come down to this share. */
const LEAST_FACTOR = 0.02;
/** Share of the voting cells that must agree: with fewer, whatever it is that agrees is not the set. */
const LEAST_AGREEMENT = 0.35;
/** Standard deviations within which a cell agrees with a camera. */
const AGREES = 3;

/** Cells of the outermost ring of the grid: of all places the likeliest to show the set and nothing else. */
const onRing = (grid: GridMeasurement, i: number): boolean => {
  const c = i % grid.cols;
  const r = Math.floor(i / grid.cols);
  return c === 0 || r === 0 || c === grid.cols - 1 || r === grid.rows - 1;
};

/** Voters that tell the direction of the picture that the fewest tell: lines of one direction leave the other to parts. */
function tellingEach({ xx, xy, yy, directions }: Precisions, votes: readonly number[]): number {
  const count = { xx: 0, xy: 0, yy: 0 };
  votes.forEach((vote, k) => {
    if (vote === 0) return;
    const one = directions[k] === 1;
    const trace = xx[k] + yy[k];
    count.xx += one ? xx[k] / trace : 1;
    count.xy += one ? xy[k] / trace : 0;
    count.yy += one ? yy[k] / trace : 1;
  });
  return axesOf([count.xx, count.xy, count.yy]).smaller;
}

/** What cells tell, with `even` on top of their own variances; one of lines tells what is across them, and nothing else. */
function precisionsOf(grid: GridMeasurement, index: readonly number[], even: number): Precisions {
  const n = index.length;
  const out: Precisions = {
    xx: new Float64Array(n),
    xy: new Float64Array(n),
    yy: new Float64Array(n),
    directions: new Uint8Array(n).fill(2),
  };
  index.forEach((i, k) => {
    if (grid.valid[i] === ACROSS) {
      const { smaller, axis } = axesOf([grid.varX[i], grid.covXY[i], grid.varY[i]]);
      const told = 1 / (smaller + even);
      out.xx[k] = told * axis[0] * axis[0];
      out.xy[k] = told * axis[0] * axis[1];
      out.yy[k] = told * axis[1] * axis[1];
      out.directions[k] = 1;
      return;
    }
    const [varX, varY, covXY] = [grid.varX[i] + even, grid.varY[i] + even, grid.covXY[i]];
    const determinant = varX * varY - covXY * covXY;
    out.xx[k] = varY / determinant;
    out.xy[k] = -covXY / determinant;
    out.yy[k] = varX / determinant;
  });
  return out;
}

/**
 * The camera from the still background: a robust similarity through the cells outside what moves.
 * A large part that drifts as one can be as many cells as the set. So the fit is begun in several places, none of which
 * depends on the outlines, and the cells outside every outline vote on which answer is the camera: an outline more or
 * less changes the vote's count and never a figure.
 * @param excluded what moves, or is known not to be still: not used at all
 * @param outlined inside the outline of any part: used, but has no vote
 * @returns null where fewer than `LEAST_CELLS` cells agree: the camera can't be told from the set
 */
export function fitCamera(
  grid: GridMeasurement,
  excluded: (x: number, y: number, index: number) => boolean,
  outlined: (x: number, y: number) => boolean,
  width: number,
  height: number,
): CameraFit | null {
  const cells = cellsOutside(grid, excluded, (valid) => valid === 1 || valid === ACROSS);
  const [x, y] = [Float64Array.from(cells.x), Float64Array.from(cells.y)];
  const pick = (values: Float32Array): Float64Array => Float64Array.from(cells.index, (i) => values[i]);
  const [dx, dy] = [pick(grid.dx), pick(grid.dy)];
  const both = cells.index.filter((i) => grid.valid[i] === 1);
  if (both.length === 0) return null;
  // A sharp cell counts at most twice as much as a usual one: the set is many cells, not a few good ones.
  const usual = (median(both.map((i) => grid.varX[i])) + median(both.map((i) => grid.varY[i]))) / 2;
  const precisions = precisionsOf(grid, cells.index, Math.max(MODEL_ERROR ** 2, usual));
  const { xx, xy, yy, directions } = precisions;
  const ring = cells.index.flatMap((i, k) => (grid.valid[i] === 1 && onRing(grid, i) ? [k] : []));
  // Along their lines cells say no more than where they were sought.
  const shiftOf = (values: Float32Array): number => median(both.map((i) => values[i]));
  const starts: (readonly [number, number])[] = [
    [shiftOf(grid.dx), shiftOf(grid.dy)],
    [0, 0],
  ];
  if (ring.length >= 4) starts.push([median(ring.map((k) => dx[k])), median(ring.map((k) => dy[k]))]);
  const votes = cells.x.map((at, k) => (outlined(at, cells.y[k]) ? 0 : directions[k] / 2));
  const voting = votes.reduce((count, vote) => count + vote, 0);
  if (tellingEach(precisions, votes) < LEAST_CELLS) return null;
  let best: Similarity | null = null;
  let most = -1;
  for (const start of starts) {
    const fit = fitByPrecisions(x, y, dx, dy, precisions, width / 2, height / 2, start, LEAST_FACTOR);
    if (fit === null || fit.support < LEAST_CELLS) continue;
    let agree = 0;
    for (let k = 0; k < x.length; k++) {
      if (votes[k] === 0) continue;
      const [mx, my] = similarityAt(fit, width / 2, height / 2, x[k], y[k]);
      const [rx, ry] = [dx[k] - mx, dy[k] - my];
      if (xx[k] * rx * rx + 2 * xy[k] * rx * ry + yy[k] * ry * ry < AGREES ** 2) agree += votes[k];
    }
    if (agree > most) {
      most = agree;
      best = fit;
    }
  }
  if (best === null || most < LEAST_AGREEMENT * voting) return null;
  return { dx: best.dx, dy: best.dy, turn: best.turn, scale: best.scale, covariance: best.covariance };
}

/** What the camera did between two frames, seen at (x, y) of the first one. */
export function cameraStep(
  from: CameraFit,
  to: CameraFit,
  x: number,
  y: number,
  width: number,
  height: number,
): CameraStep {
  const cx = width / 2;
  const cy = height / 2;
  // The place in the reference frame.
  const [px, py] = [x - cx - from.dx, y - cy - from.dy];
  const [c, s] = [Math.cos(from.turn) / from.scale, Math.sin(from.turn) / from.scale];
  const rx = cx + c * px + s * py;
  const ry = cy + c * py - s * px;
  const [a1, b1] = similarityAt(from, cx, cy, rx, ry);
  const [a2, b2] = similarityAt(to, cx, cy, rx, ry);
  const u = rx - cx;
  const v = ry - cy;
  const variance = (c: Float64Array, shift: number, lever: number, other: number): number =>
    c[shift * 4 + shift] + lever * lever * c[10] + other * other * c[15];
  return {
    dx: a2 - a1,
    dy: b2 - b1,
    turn: to.turn - from.turn,
    varX: variance(to.covariance, 0, v, u),
    varY: variance(to.covariance, 1, u, v),
    varTurn: to.covariance[10],
  };
}
