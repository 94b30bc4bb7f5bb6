/** Sigma above which a direction can't be told, px. */
export const WEAK_SIGMA = 0.15;

/**
 * Difference of brightness over a part from which on its light is uneven, share in grey levels: about 2 % in light. Along
 * the strands of rendered hair one percent in grey levels still pulls by pixels.
 */
export const UNEVEN = 0.008;

export interface PartMotion {
  /** Shift at the centroid (current minus template, px) and turn (radians, positive from x towards y). */
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  /** Covariance of (dx, dy, turn) by the picture alone: xx, xy, xt, yy, yt, tt. */
  readonly covariance: readonly [number, number, number, number, number, number];
  readonly state: "ok" | "weak" | "ambiguous" | "hidden" | "lost";
  readonly reason: string;
  /** Share of the pixels in trusted tiles, 0 to 1. */
  readonly trusted: number;
  /** 95th percentile of the tiles' own displacement from the rigid motion, px. */
  readonly leftOver: number;
  /** Mean gain and offset on the even scale, current over template. */
  readonly gain: number;
  readonly offset: number;
  /** RMS of what is left over, grey levels. */
  readonly residual: number;
  /** Largest less smallest of the tiles' own ratio of brightness, current over template, less what noise does: 0.01 is one percent in grey levels. */
  readonly uneven: number;
  /** Period of a pattern in which the part fits as well one period further, px; left out where its place is sure. */
  readonly rival?: readonly [number, number];
}

/** A motion without numbers, and why. */
export const failed = (
  state: "hidden" | "lost" | "weak" | "ambiguous",
  reason: string,
  trusted: number,
): PartMotion => ({
  dx: Number.NaN,
  dy: Number.NaN,
  turn: Number.NaN,
  covariance: [Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN],
  state,
  reason,
  trusted,
  leftOver: Number.NaN,
  gain: Number.NaN,
  offset: Number.NaN,
  residual: Number.NaN,
  uneven: Number.NaN,
});
