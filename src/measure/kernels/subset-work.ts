import { MOST_SIZE } from "./sizes";

// What the kernels of subsets leave for each other. Rows are padded to whole vectors; in the padding lie zeros.

/** Bytes from row to row. */
export const ROW: usize = MOST_SIZE * 4;
/** The current frame on the moved piece, less the reference's mean, and the mean of that (a double). */
export const SAMPLED: usize = memory.data(MOST_SIZE * MOST_SIZE * 4, 16);
export const SAMPLED_MEAN: usize = memory.data(8, 16);
/** Of the reference: the piece without its mean, and the gradient with its regression on 1 and T taken out. */
export const PIECE: usize = memory.data(MOST_SIZE * MOST_SIZE * 4, 16);
export const SLOPE_X: usize = memory.data(MOST_SIZE * MOST_SIZE * 4, 16);
export const SLOPE_Y: usize = memory.data(MOST_SIZE * MOST_SIZE * 4, 16);
