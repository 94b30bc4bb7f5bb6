import { similarityAt } from "../measure/similarity.ts";
import type { CameraFit } from "./camera.ts";
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
