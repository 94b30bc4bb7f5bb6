import { similarityAt } from "../measure/similarity.ts";
import { huberLocation, median } from "../measure/statistics/robust.ts";
import { type CameraFit, LEAST_CELLS } from "./camera.ts";
import type { GridMeasurement } from "./measurement.ts";

/** Frames whose mean is looked at: long enough to see a drift far below one frame's noise. */
const WINDOW = 6;
/** Standard deviations of a window's mean from the first window's that give a cell away. */
const GIVES_AWAY = 4;
/** Where more than this share of the cells gives itself away, it is the first answer that is wrong: keep all. */
const MOST = 0.6;

/**
 * Cells of the background that are not still, told by what they do over the whole shot once the camera is out: a costume
 * that creeps by a hundredth of a pixel is invisible in a frame and would pull the camera after it.
 * Depends on the pictures alone, never on outlines.
 * @param frames grid and first camera of every frame, in order
 * @returns 1 for each cell to leave out
 */
export function unsteadyCells(
  frames: readonly { readonly grid: GridMeasurement; readonly camera: CameraFit | null }[],
  width: number,
  height: number,
): Uint8Array {
  const first = frames[0]?.grid;
  if (first === undefined) return new Uint8Array(0);
  const count = first.valid.length;
  const out = new Uint8Array(count);
  if (frames.length < 2 * WINDOW) return out;
  let known = 0;
  let unsteady = 0;
  const x = new Float64Array(frames.length);
  const y = new Float64Array(frames.length);
  const variance = new Float64Array(frames.length);
  for (let i = 0; i < count; i++) {
    const px = first.originX + (i % first.cols) * first.step;
    const py = first.originY + Math.floor(i / first.cols) * first.step;
    let n = 0;
    for (const { grid, camera } of frames) {
      if (grid.valid[i] !== 1 || camera === null) continue;
      const [cx, cy] = similarityAt(camera, width / 2, height / 2, px, py);
      x[n] = grid.dx[i] - cx;
      y[n] = grid.dy[i] - cy;
      variance[n] = Math.max(grid.varX[i], grid.varY[i]);
      n++;
    }
    if (n < 2 * WINDOW) continue;
    known++;
    const mean = (values: Float64Array, from: number): number => {
      let sum = 0;
      for (let k = from; k < from + WINDOW; k++) sum += values[k];
      return sum / WINDOW;
    };
    const [zeroX, zeroY] = [mean(x, 0), mean(y, 0)];
    for (let from = WINDOW; from + WINDOW <= n; from++) {
      const sigma = Math.sqrt((2 * mean(variance, from)) / WINDOW);
      if (Math.hypot(mean(x, from) - zeroX, mean(y, from) - zeroY) > GIVES_AWAY * sigma) {
        out[i] = 1;
        unsteady++;
        break;
      }
    }
  }
  if (unsteady > MOST * known) out.fill(0);
  return out;
}

/** Standard deviations from which on the set and the camera disagree. */
const DISAGREES = 4;
/** And px: shading and relief make wall and puppet differ by thousandths, which all the cells together decide better. */
const LEAST_DISAGREEMENT = 0.01;

/**
 * Whether the cells outside every outline, all together, move against the camera in some frame, or from some frame on: then
 * a part has pulled the camera after it. Each cell's own constant error is common to all frames and comes off.
 * @param left cells of each frame that were left out since something moves there
 * @param inPart 1 for each cell inside an outline
 */
export function setDisagrees(
  frames: readonly { readonly grid: GridMeasurement; readonly left: Uint8Array; readonly camera: CameraFit | null }[],
  inPart: Uint8Array,
  width: number,
  height: number,
): boolean {
  if (!inPart.some((cell) => cell === 1)) return false;
  const means = frames.flatMap(({ grid, left, camera }) => {
    if (camera === null) return [];
    const x: number[] = [];
    const y: number[] = [];
    const variance: number[] = [];
    for (let i = 0; i < grid.valid.length; i++) {
      if (grid.valid[i] !== 1 || left[i] === 1 || inPart[i] === 1) continue;
      const px = grid.originX + (i % grid.cols) * grid.step;
      const py = grid.originY + Math.floor(i / grid.cols) * grid.step;
      const [cx, cy] = similarityAt(camera, width / 2, height / 2, px, py);
      x.push(grid.dx[i] - cx);
      y.push(grid.dy[i] - cy);
      variance.push(Math.max(grid.varX[i], grid.varY[i]));
    }
    if (x.length < LEAST_CELLS) return [];
    const [mx, my] = [huberLocation(x), huberLocation(y)];
    const typical = Math.sqrt(median(variance) / x.length);
    return [{ x: mx.value, y: my.value, sigma: Math.max(typical, mx.sigma, my.sigma) }];
  });
  if (means.length < 3) return false;
  const zeroX = median(means.map((mean) => mean.x));
  const zeroY = median(means.map((mean) => mean.y));
  const total = { x: 0, y: 0, variance: 0 };
  for (const mean of means) {
    if (Math.hypot(mean.x - zeroX, mean.y - zeroY) > Math.max(LEAST_DISAGREEMENT, DISAGREES * mean.sigma)) return true;
    total.x += mean.x;
    total.y += mean.y;
    total.variance += mean.sigma ** 2;
  }
  // A step: the frames before against the frames after, at every place where it may be.
  const before = { x: 0, y: 0, variance: 0 };
  for (let n = 1; n < means.length; n++) {
    before.x += means[n - 1].x;
    before.y += means[n - 1].y;
    before.variance += means[n - 1].sigma ** 2;
    const m = means.length - n;
    if (n < 2 || m < 2) continue;
    const sigma = Math.sqrt(before.variance / (n * n) + (total.variance - before.variance) / (m * m));
    const x = (total.x - before.x) / m - before.x / n;
    const y = (total.y - before.y) / m - before.y / n;
    if (Math.hypot(x, y) > Math.max(LEAST_DISAGREEMENT, DISAGREES * sigma)) return true;
  }
  return false;
}
