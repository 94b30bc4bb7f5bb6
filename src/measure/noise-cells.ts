import { evenLevel } from "./even-scale.ts";
import type { NoiseRow } from "./noise-fit.ts";
import type { Plane } from "./plane.ts";
import { median } from "./statistics/robust.ts";

/** Side of a cell, px: two blocks of JPEG. */
const CELL = 16;
/** Cells that are looked at, about, and the least distance of two, px. */
const CELLS = 1_200;
const LEAST_STEP = 24;
/** Light beyond which a pixel may be clipped: its noise is then cut off, and claims to be none. */
const BLACK = 4e-4;
const WHITE = 0.985;
/** Width of a level, grey levels of the sRGB curve, and pixels that it needs. */
const LEVEL = 8;
const LEAST_PIXELS = 400;
/** A cell counts where its noise is at most this many times the middle one of the cells of about its brightness. */
const STILL = 1.6;
/** Cells of about the same brightness, to either side. */
const ALIKE = 20;
/** Cells there have to be at all. */
const LEAST_CELLS = 12;
/** What is taken out of a difference: offset, gain of the light, shift in x and in y. */
const TERMS = 4;

/** Light for each grey level of the sRGB curve, at linear light `level`. */
export function lightPerGrey(level: number): number {
  const grey = evenLevel(level) / 255;
  if (grey <= 0.04045) return 1 / (12.92 * 255);
  return ((2.4 / 1.055) * ((grey + 0.055) / 1.055) ** 1.4) / 255;
}

/** What two frames differ by in one cell, each pixel with its level; noise alone where nothing moves there. */
interface Cell {
  readonly level: number;
  /** Variance of one frame over the whole cell. */
  readonly variance: number;
  readonly levels: Float64Array;
  /** One frame's share of the squared difference of each pixel, offset, gain and shift out. */
  readonly squares: Float64Array;
}

const PIXELS = (CELL - 2) ** 2;
/** Room for the columns of one cell: one, mean, slope in x, slope in y, and last the difference. */
const COLUMNS = Array.from({ length: TERMS + 1 }, () => new Float64Array(PIXELS));

/** Null where the cell is clipped or flat beyond noise. */
function cellOf(a: Plane, b: Plane, left: number, top: number): Cell | null {
  const { width } = a;
  const [before, after] = [a.data, b.data];
  const n = PIXELS;
  const [ones, means, slopesX, slopesY, differences] = COLUMNS;
  let k = 0;
  for (let y = top + 1; y < top + CELL - 1; y++) {
    for (let x = left + 1; x < left + CELL - 1; x++, k++) {
      const at = y * width + x;
      const u = before[at];
      const v = after[at];
      if (u < BLACK || v < BLACK || u > WHITE || v > WHITE) return null;
      differences[k] = v - u;
      // From the sum of both frames, whose noise has nothing to do with that of the difference.
      ones[k] = 1;
      means[k] = (u + v) / 2;
      slopesX[k] = (before[at + 1] + after[at + 1] - before[at - 1] - after[at - 1]) / 4;
      slopesY[k] = (before[at + width] + after[at + width] - before[at - width] - after[at - width]) / 4;
    }
  }
  const levels = means.slice();
  // One column after the other is taken out of those that follow and of the difference.
  for (let c = 0; c < TERMS; c++) {
    const column = COLUMNS[c];
    let length = 0;
    for (let i = 0; i < n; i++) length += column[i] * column[i];
    if (!(length > 0)) return null;
    for (let d = c + 1; d <= TERMS; d++) {
      const other = COLUMNS[d];
      let dot = 0;
      for (let i = 0; i < n; i++) dot += column[i] * other[i];
      const share = dot / length;
      for (let i = 0; i < n; i++) other[i] = other[i] - share * column[i];
    }
  }
  const perFrame = n / (n - TERMS) / 2;
  const squares = new Float64Array(n);
  let [total, level] = [0, 0];
  for (let i = 0; i < n; i++) {
    squares[i] = differences[i] * differences[i] * perFrame;
    total += squares[i];
    level += levels[i];
  }
  const variance = total / n;
  return variance > 0 ? { level: level / n, variance, levels, squares } : null;
}

/** Cells in which nothing moved: those that are not far noisier than others of their brightness. */
function still(cells: Cell[]): Cell[] {
  cells.sort((a, b) => a.level - b.level);
  return cells.filter((cell, i) => {
    const alike = cells.slice(Math.max(0, i - ALIKE), i + ALIKE + 1);
    return cell.variance <= STILL * median(alike.map((other) => other.variance));
  });
}

/**
 * Temporal variance against level from a few frames that follow each other: a row for each level that the picture has.
 * Camera and light may change: within a small cell a shift, an offset and a gain come off. What is animated is left out:
 * each cell takes the quietest of its pairs, and counts only where others of its brightness are no quieter.
 * @param frames linear light, 0 to 1, same size, at least two
 */
export function noiseRows(frames: readonly Plane[]): NoiseRow[] {
  const { width, height } = frames[0];
  const cells: Cell[] = [];
  const step = Math.max(LEAST_STEP, 8 * Math.round(Math.sqrt((width * height) / CELLS) / 8));
  for (let top = 0; top + CELL <= height; top += step) {
    for (let left = 0; left + CELL <= width; left += step) {
      let quietest: Cell | null = null;
      for (let i = 1; i < frames.length; i++) {
        const cell = cellOf(frames[i - 1], frames[i], left, top);
        if (cell !== null && (quietest === null || cell.variance < quietest.variance)) quietest = cell;
      }
      if (quietest !== null) cells.push(quietest);
    }
  }
  if (cells.length < LEAST_CELLS) return [];
  const bins = Math.ceil(256 / LEVEL);
  const [count, level, variance] = [0, 0, 0].map(() => new Float64Array(bins));
  for (const cell of still(cells)) {
    for (let i = 0; i < cell.levels.length; i++) {
      const bin = Math.floor(evenLevel(cell.levels[i]) / LEVEL);
      count[bin]++;
      level[bin] += cell.levels[i];
      variance[bin] += cell.squares[i];
    }
  }
  const rows: NoiseRow[] = [];
  for (let bin = 0; bin < bins; bin++) {
    const n = count[bin];
    if (n < LEAST_PIXELS || !(variance[bin] > 0)) continue;
    const mean = level[bin] / n;
    rows.push({
      level: mean,
      variance: variance[bin] / n,
      weight: n / (variance[bin] / n) ** 2,
      step: lightPerGrey(mean) ** 2,
    });
  }
  return rows;
}
