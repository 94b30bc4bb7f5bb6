import type { GridLayout } from "./grid.ts";
import type { PreparedFrame } from "./prepared.ts";
import { selected } from "./statistics/selected.ts";
import { SUBSET_SIZE } from "./subset.ts";

// How much two frames that follow each other differ by noise: two exposures of a still picture never have the same
// noise, one exposure saved twice has. Not registered: what was exposed once has not moved by any fraction of a pixel,
// and a camera that was knocked in between only makes the difference larger.

/** Scatter of the difference of two frames over the cells of the grid, grey levels of the even scale. */
export interface PairNoise {
  /** Of the middle cell. */
  readonly middle: number;
  /** Of the cell that nine in ten are below: of one exposure saved twice nothing in the picture differs. */
  readonly upper: number;
  /** What the later frame, registered, differs from the reference by in the middle cell: more than usual where it has noise of its own, as a copy that was saved again has. */
  readonly own: number;
}

/** Share of the cells below `upper`. */
const UPPER = 0.9;
/** Gain between the two beyond which they are not taken for one exposure, either way. */
const MOST_GAIN = 1.5;
const LEAST_CELLS = 12;
/** One row in so many is enough: a cell still has 128 pixels. */
const ROWS_APART = 4;

const quantile = (values: Float64Array, share: number): number =>
  selected(values, Math.min(values.length - 1, Math.floor(share * values.length)));

/**
 * Every other pixel of one row in four counts. A gain and an offset of the light between the frames fall out.
 * @param residual of each cell of the later frame against the reference, NaN where it was not found
 * @returns null where the picture has too few cells
 */
export function pairNoise(
  before: PreparedFrame,
  after: PreparedFrame,
  layout: GridLayout,
  residual: Float32Array,
): PairNoise | null {
  const count = layout.cols * layout.rows;
  if (count < LEAST_CELLS) return null;
  const { width } = before;
  const [a, b] = [before.even.data, after.even.data];
  const half = (SUBSET_SIZE - 1) / 2;
  const varA = new Float64Array(count);
  const varB = new Float64Array(count);
  const cov = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const left = Math.floor(layout.originX + (i % layout.cols) * layout.step) - half;
    const top = Math.floor(layout.originY + Math.floor(i / layout.cols) * layout.step) - half;
    let sumA = 0;
    let sumB = 0;
    let sumAA = 0;
    let sumBB = 0;
    let sumAB = 0;
    let n = 0;
    // Told from the corner, so that squares of large numbers cost no digits.
    const baseA = a[top * width + left];
    const baseB = b[top * width + left];
    for (let y = 0; y < SUBSET_SIZE; y += ROWS_APART) {
      const row = (top + y) * width + left;
      for (let x = 0; x < SUBSET_SIZE; x += 2) {
        const u = a[row + x] - baseA;
        const v = b[row + x] - baseB;
        sumA += u;
        sumB += v;
        sumAA += u * u;
        sumBB += v * v;
        sumAB += u * v;
        n++;
      }
    }
    varA[i] = sumAA / n - (sumA / n) ** 2;
    varB[i] = sumBB / n - (sumB / n) ** 2;
    cov[i] = sumAB / n - (sumA / n) * (sumB / n);
  }
  // One gain for the whole picture: a cell's own would fit noise to noise where there is no texture.
  const gains = varA.map((value, i) => Math.sqrt(varB[i] / Math.max(1e-9, value)));
  const gain = Math.min(MOST_GAIN, Math.max(1 / MOST_GAIN, quantile(gains, 0.5)));
  const scatter = varA.map((value, i) => Math.sqrt(Math.max(0, varB[i] + gain * gain * value - 2 * gain * cov[i])));
  const own = Float64Array.from(residual.filter(Number.isFinite));
  return {
    middle: quantile(scatter, 0.5),
    upper: quantile(scatter, UPPER),
    own: own.length < LEAST_CELLS ? Number.NaN : quantile(own, 0.5),
  };
}
