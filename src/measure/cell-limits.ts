/** Sigma above which a cell is no measurement, px. */
export const CELL_SIGMA_LIMIT = 0.15;
/** Correlation under which the piece found is not the piece looked for. */
export const CELL_CORRELATION = 0.6;
/** Farthest that a cell is followed from its seed, px. */
export const CELL_RANGE = 4;
