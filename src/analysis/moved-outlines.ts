import { similarityAt } from "../measure/similarity.ts";
import { huberLocation, median } from "../measure/statistics/robust.ts";
import { type CameraFit, LEAST_CELLS } from "./camera.ts";
import type { GridMeasurement } from "./measurement.ts";

/** Standard errors between some frames and the rest that give a part away. */
const GIVES_AWAY = 4.5;
/** Frames that it takes to say anything. */
const LEAST_FRAMES = 3;
/** First differences of normal noise: their median size is this many standard deviations of one frame. */
const DIFFERENCE = 0.6745 * Math.SQRT2;

/**
 * Parts whose cells, all together, are somewhere else in some frames than in the rest, against the cells outside every
 * part: each cell alone does not show a twentieth of a pixel, and would pull the camera after it. A part that stands
 * still is never among them, so that its outline changes nothing.
 * @param frames grid, cells left out since something moves there, and first camera of every frame, in order
 * @param parts 1 for each cell of a part
 * @returns 1 for each cell of a part that moved; null where none did or too little of the set is left to tell
 */
export function movedCells(
  frames: readonly { readonly grid: GridMeasurement; readonly left: Uint8Array; readonly camera: CameraFit | null }[],
  parts: readonly Uint8Array[],
  width: number,
  height: number,
): Uint8Array | null {
  const count = frames[0]?.grid.valid.length ?? 0;
  const any = new Uint8Array(count);
  for (const cells of parts) cells.forEach((cell, i) => (any[i] = any[i] | cell));
  const cellsWhere = (counts: (cell: number) => boolean): Int32Array =>
    Int32Array.from([...any.keys()].filter((cell) => counts(cell)));
  const ofSet = cellsWhere((cell) => any[cell] === 0);
  const ofParts = parts.map((cells) => cellsWhere((cell) => cells[cell] === 1));
  const series = parts.map(() => ({ x: [] as number[], y: [] as number[], sigma: [] as number[] }));
  for (const { grid, left, camera } of frames) {
    if (camera === null) continue;
    const off = residuals(grid, left, camera, width, height);
    const set = meanOf(off, ofSet, LEAST_CELLS);
    if (set === null) continue;
    ofParts.forEach((cells, p) => {
      const mean = meanOf(off, cells, 1);
      if (mean === null) return;
      series[p].x.push(mean.x - set.x);
      series[p].y.push(mean.y - set.y);
      series[p].sigma.push(Math.hypot(mean.sigma, set.sigma));
    });
  }
  const moved = new Uint8Array(count);
  let found = false;
  series.forEach(({ x, y, sigma }, p) => {
    if (x.length < LEAST_FRAMES || !hasMoved(x, y, median(sigma))) return;
    found = true;
    parts[p].forEach((cell, i) => (moved[i] = moved[i] | cell));
  });
  return found ? moved : null;
}

/** One value a cell; NaN where it was not measured or doesn't count. */
interface Residuals {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly variance: Float64Array;
}

/** What the camera leaves over on every cell that was measured and counts. */
function residuals(
  grid: GridMeasurement,
  left: Uint8Array,
  camera: CameraFit,
  width: number,
  height: number,
): Residuals {
  const nan = (): Float64Array => new Float64Array(grid.valid.length).fill(Number.NaN);
  const out: Residuals = { x: nan(), y: nan(), variance: nan() };
  for (let i = 0; i < grid.valid.length; i++) {
    if (grid.valid[i] !== 1 || left[i] === 1) continue;
    const px = grid.originX + (i % grid.cols) * grid.step;
    const py = grid.originY + Math.floor(i / grid.cols) * grid.step;
    const [cx, cy] = similarityAt(camera, width / 2, height / 2, px, py);
    out.x[i] = grid.dx[i] - cx;
    out.y[i] = grid.dy[i] - cy;
    out.variance[i] = Math.max(grid.varX[i], grid.varY[i]);
  }
  return out;
}

function meanOf(
  { x, y, variance }: Residuals,
  cells: Int32Array,
  least: number,
): { readonly x: number; readonly y: number; readonly sigma: number } | null {
  const chosen = cells.filter((cell) => x[cell] === x[cell]);
  if (chosen.length < least) return null;
  const pick = (values: Float64Array): Float64Array => Float64Array.from(chosen, (cell) => values[cell]);
  return {
    x: huberLocation(pick(x)).value,
    y: huberLocation(pick(y)).value,
    sigma: Math.sqrt(median(pick(variance)) / chosen.length),
  };
}

/** Whether some run of frames, of any length that is a power of two or up to the end, is away from the rest. */
function hasMoved(x: readonly number[], y: readonly number[], sigma: number): boolean {
  const n = x.length;
  const scatter = (values: readonly number[]): number =>
    median(values.slice(1).map((value, i) => Math.abs(value - values[i]))) / DIFFERENCE;
  const unit = Math.max(sigma, scatter(x), scatter(y));
  if (!(unit > 0)) return false;
  const sums = (values: readonly number[]): number[] => {
    const out = [0];
    for (const value of values) out.push(out[out.length - 1] + value);
    return out;
  };
  const [sumX, sumY] = [sums(x), sums(y)];
  const isAway = (from: number, to: number): boolean => {
    const inside = to - from;
    const outside = n - inside;
    if (outside < 2) return false;
    const away = (total: readonly number[]): number => {
      const own = total[to] - total[from];
      return own / inside - (total[n] - own) / outside;
    };
    return Math.hypot(away(sumX), away(sumY)) > GIVES_AWAY * unit * Math.sqrt(1 / inside + 1 / outside);
  };
  for (let length = 1; length <= n / 2; length *= 2)
    for (let from = 0; from + length <= n; from++) if (isAway(from, from + length)) return true;
  for (let from = 2; from < n; from++) if (isAway(from, n)) return true;
  return false;
}
