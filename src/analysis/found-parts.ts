import type { Polygon } from "../measure/mask.ts";
import { similarityAt } from "../measure/similarity.ts";
import type { CameraFit } from "./camera.ts";
import type { CellHistory } from "./cell-history.ts";
import type { GridMeasurement } from "./measurement.ts";

/** Frames in which a cell must have moved to count as animated: a knock moves it once, a pop twice. */
const ANIMATED = 3;
/** Smallest drift that makes a cell part of something found, px of the analysed frame, and in its own sigmas. */
const DRIFT_PX = 0.1;
const DRIFT_Z = 6;
/** Frames whose mean is tested, so that a slow drift is seen below the noise of one frame. */
const WINDOW = 3;

/** A piece of the picture that nobody outlined and that drifted. Outline in px of the analysed frame. */
export interface FoundPiece {
  readonly outline: Polygon;
  readonly cells: readonly number[];
}

/** Cells that are animated, grown by their neighbours. */
function animated(history: CellHistory): Uint8Array {
  const { cols, rows, moved } = history;
  const out = new Uint8Array(cols * rows);
  for (let r = 0; r < rows; r++)
    for (let c = 0; c < cols; c++) {
      if (moved[r * cols + c] < ANIMATED) continue;
      for (let v = Math.max(0, r - 1); v <= Math.min(rows - 1, r + 1); v++)
        for (let u = Math.max(0, c - 1); u <= Math.min(cols - 1, c + 1); u++) out[v * cols + u] = 1;
    }
  return out;
}

type Frames = readonly { readonly grid: GridMeasurement; readonly camera: CameraFit | null }[];

function drifts(history: CellHistory, frames: Frames, cell: number, width: number, height: number): boolean {
  const dx: number[] = [];
  const dy: number[] = [];
  const variance: number[] = [];
  const [px, py] = history.centre(cell);
  for (const { grid, camera } of frames) {
    if (grid.valid[cell] !== 1 || camera === null) continue;
    const [cx, cy] = similarityAt(camera, width / 2, height / 2, px, py);
    dx.push(grid.dx[cell] - cx);
    dy.push(grid.dy[cell] - cy);
    variance.push(Math.max(grid.varX[cell], grid.varY[cell]));
  }
  if (dx.length < Math.max(4, frames.length * 0.6)) return false;
  // The anchor is the reference frame itself; its own noise is in all, so the first frames are taken as zero together.
  const zero = Math.min(WINDOW, dx.length - 1);
  const mean = (values: number[], from: number, to: number): number => {
    let sum = 0;
    for (let i = from; i < to; i++) sum += values[i];
    return sum / (to - from);
  };
  const zx = mean(dx, 0, zero);
  const zy = mean(dy, 0, zero);
  for (let i = 0; i < dx.length; i++) {
    const single = Math.hypot(dx[i] - zx, dy[i] - zy);
    if (single > 2 * DRIFT_PX && single / Math.sqrt(variance[i]) > DRIFT_Z + 2) return true;
    if (i + WINDOW > dx.length) continue;
    const size = Math.hypot(mean(dx, i, i + WINDOW) - zx, mean(dy, i, i + WINDOW) - zy);
    const sigma = Math.sqrt(mean(variance, i, i + WINDOW) * (1 / WINDOW + 1 / zero));
    if (size > DRIFT_PX && size / sigma > DRIFT_Z) return true;
  }
  return false;
}

/** Outer border of a set of cells, as a polygon along the cells' sides. */
function border(cells: ReadonlySet<number>, history: CellHistory): Polygon {
  const { cols, originX, originY, step } = history;
  // Directed sides with the inside on the right; each corner leads to the next.
  const next = new Map<string, [number, number][]>();
  const add = (ax: number, ay: number, bx: number, by: number): void => {
    const key = `${ax},${ay}`;
    const list = next.get(key) ?? [];
    list.push([bx, by]);
    next.set(key, list);
  };
  const has = (c: number, r: number): boolean => c >= 0 && c < cols && cells.has(r * cols + c);
  for (const cell of cells) {
    const c = cell % cols;
    const r = Math.floor(cell / cols);
    if (!has(c, r - 1)) add(c, r, c + 1, r);
    if (!has(c + 1, r)) add(c + 1, r, c + 1, r + 1);
    if (!has(c, r + 1)) add(c + 1, r + 1, c, r + 1);
    if (!has(c - 1, r)) add(c, r + 1, c, r);
  }
  let longest: [number, number][] = [];
  while (next.size > 0) {
    const [startKey] = next.keys();
    const start = startKey!.split(",").map(Number) as [number, number];
    const ring: [number, number][] = [];
    let at = start;
    for (;;) {
      const key = `${at[0]},${at[1]}`;
      const list = next.get(key);
      if (list === undefined) break;
      const to = list.pop() as [number, number];
      if (list.length === 0) next.delete(key);
      ring.push(at);
      at = to;
      if (at[0] === start[0] && at[1] === start[1]) break;
    }
    if (ring.length > longest.length) longest = ring;
  }
  const left = originX - step / 2;
  const top = originY - step / 2;
  const corners = longest.filter((point, i) => {
    const before = longest[(i + longest.length - 1) % longest.length];
    const after = longest[(i + 1) % longest.length];
    return (point[0] - before[0]) * (after[1] - point[1]) !== (point[1] - before[1]) * (after[0] - point[0]);
  });
  return corners.map(([c, r]) => [left + c * step, top + r * step] as const);
}

/**
 * Pieces of the held rest of the picture that drifted, each made of neighbouring cells, largest first. What is animated
 * is left out with a margin of one cell.
 */
export function foundPieces(history: CellHistory, frames: Frames, width: number, height: number): FoundPiece[] {
  const { cols, rows } = history;
  const masked = animated(history);
  const hit = new Uint8Array(cols * rows);
  for (let i = 0; i < hit.length; i++) if (masked[i] === 0 && drifts(history, frames, i, width, height)) hit[i] = 1;
  const pieces: FoundPiece[] = [];
  const seen = new Uint8Array(hit.length);
  for (let i = 0; i < hit.length; i++) {
    if (hit[i] === 0 || seen[i] === 1) continue;
    const cells: number[] = [];
    const queue = [i];
    seen[i] = 1;
    while (queue.length > 0) {
      const cell = queue.pop() as number;
      cells.push(cell);
      const c = cell % cols;
      const r = Math.floor(cell / cols);
      for (const [u, v] of [
        [c - 1, r],
        [c + 1, r],
        [c, r - 1],
        [c, r + 1],
      ] as const) {
        if (u < 0 || v < 0 || u >= cols || v >= rows) continue;
        const other = v * cols + u;
        if (hit[other] === 1 && seen[other] === 0) {
          seen[other] = 1;
          queue.push(other);
        }
      }
    }
    // One cell alone is as often a speck of changed light as a thing.
    if (cells.length >= 2) pieces.push({ outline: border(new Set(cells), history), cells });
  }
  return pieces.sort((a, b) => b.cells.length - a.cells.length);
}

/** Where something is, in words: "upper left", "left of centre". */
export function placeInWords(x: number, y: number, width: number, height: number): string {
  const column = x < width / 3 ? 0 : x < (2 * width) / 3 ? 1 : 2;
  const row = y < height / 3 ? 0 : y < (2 * height) / 3 ? 1 : 2;
  return [
    ["upper left", "top centre", "upper right"],
    ["left of centre", "centre", "right of centre"],
    ["lower left", "bottom centre", "lower right"],
  ][row][column];
}
