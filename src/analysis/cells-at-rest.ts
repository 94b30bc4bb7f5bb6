import { similarityAt } from "../measure/similarity.ts";
import { median } from "../measure/statistics/robust.ts";
import type { CameraFit } from "./camera.ts";
import type { GridMeasurement } from "./measurement.ts";

/** A cell so many standard errors, and so many px, from where it is in the middle of the shot's frames, does not rest there. */
const AWAY_Z = 4;
const AWAY_PX = 0.03;
/** One that is away in more than this share of the frames never counts as resting. */
const MOST_AWAY = 0.25;

/**
 * Cells that are not where they are for most of the shot once the camera is out, frame by frame: finer than one frame
 * shows, since each cell is compared with its own middle. Nothing is asked about outlines.
 * @returns for each frame 1 for each cell that does not rest in it
 */
export function restlessCells(
  frames: readonly { readonly grid: GridMeasurement; readonly camera: CameraFit | null }[],
  width: number,
  height: number,
): Uint8Array[] {
  const count = frames[0]?.grid.valid.length ?? 0;
  const out = frames.map(() => new Uint8Array(count));
  for (let cell = 0; cell < count; cell++) {
    const seen: number[] = [];
    const x: number[] = [];
    const y: number[] = [];
    frames.forEach(({ grid, camera }, i) => {
      if (grid.valid[cell] !== 1 || camera === null) return;
      const px = grid.originX + (cell % grid.cols) * grid.step;
      const py = grid.originY + Math.floor(cell / grid.cols) * grid.step;
      const [cx, cy] = similarityAt(camera, width / 2, height / 2, px, py);
      seen.push(i);
      x.push(grid.dx[cell] - cx);
      y.push(grid.dy[cell] - cy);
    });
    if (seen.length === 0) continue;
    const [middleX, middleY] = [median(x), median(y)];
    const away = seen.filter((i, k) => {
      const { varX, varY } = frames[i].grid;
      const [dx, dy] = [x[k] - middleX, y[k] - middleY];
      return (
        Math.hypot(dx, dy) > AWAY_PX && Math.hypot(dx / Math.sqrt(varX[cell]), dy / Math.sqrt(varY[cell])) > AWAY_Z
      );
    });
    const never = away.length > MOST_AWAY * seen.length;
    for (const i of never ? frames.keys() : away) out[i][cell] = 1;
  }
  return out;
}
