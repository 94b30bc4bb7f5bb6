/** Largest radius of a Gaussian, px. */
export const MOST_RADIUS: i32 = 32;
/** Largest side of a subset or of a searched piece, px. */
export const MOST_SIZE: i32 = 64;
