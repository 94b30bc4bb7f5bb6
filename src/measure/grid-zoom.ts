import type { GridLayout, GridResult } from "./grid.ts";
import { fitSimilarity } from "./similarity.ts";

/** Zoom under which parts are told without it, and how many sigmas it has to be away from none. */
const LEAST_ZOOM = 0.001;
const SURE = 6;
/** Cells that must say so, and the share of those found. */
const LEAST_CELLS = 12;
const LEAST_SHARE = 0.6;

/** How much larger the picture as a whole got, by a robust similarity through its cells; exactly 1 where that is not sure. */
export function gridZoom({ cols, originX, originY, step }: GridLayout, grid: GridResult): number {
  const found = Array.from(grid.valid.keys()).filter((i) => grid.valid[i] === 1);
  const pick = (values: Float32Array): number[] => found.map((i) => values[i]);
  const x = found.map((i) => originX + (i % cols) * step);
  const y = found.map((i) => originY + Math.floor(i / cols) * step);
  const fit = fitSimilarity(x, y, pick(grid.dx), pick(grid.dy), pick(grid.varX), pick(grid.varY), x[0] ?? 0, y[0] ?? 0);
  if (fit === null || fit.support < Math.max(LEAST_CELLS, LEAST_SHARE * found.length)) return 1;
  const sure = Math.abs(fit.scale - 1) > Math.max(LEAST_ZOOM, SURE * Math.sqrt(fit.covariance[15]));
  return sure ? fit.scale : 1;
}
