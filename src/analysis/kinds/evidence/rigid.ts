import { propagated, quadratic } from "../../../measure/statistics/matrix.ts";

// Rigid motion in the picture: where each point of a part went.

export type Point = readonly [number, number];
export type Ring = readonly Point[];

/** A small planar motion told at `centre`, px and radians, with the covariance of (dx, dy, turn), row-major 3 x 3. */
export interface RigidMotion {
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly covariance: Float64Array;
  readonly centre: Point;
}

/** A piece of surface and the motion that was measured on it. */
export interface MovedSurface {
  readonly outline: Ring;
  readonly motion: RigidMotion;
}

/** Displacement of the point, px. */
export function displacementAt(motion: RigidMotion, [x, y]: Point): [number, number] {
  const [lx, ly] = [x - motion.centre[0], y - motion.centre[1]];
  const [c, s] = [Math.cos(motion.turn) - 1, Math.sin(motion.turn)];
  return [motion.dx + c * lx - s * ly, motion.dy + s * lx + c * ly];
}

/** Derivative of the displacement at the point by (dx, dy, turn), 2 x 3. */
export const leverOf = (centre: Point, [x, y]: Point): Float64Array =>
  Float64Array.of(1, 0, centre[1] - y, 0, 1, x - centre[0]);

/** Covariance of the displacement at the point, 2 x 2. */
export const covarianceAt = (motion: RigidMotion, point: Point): Float64Array =>
  propagated(leverOf(motion.centre, point), 2, motion.covariance, 3);

/** The same motion told at another point. */
export function movedTo(motion: RigidMotion, centre: Point): RigidMotion {
  const [dx, dy] = displacementAt(motion, centre);
  const lever = Float64Array.of(...leverOf(motion.centre, centre), 0, 0, 1);
  return { dx, dy, turn: motion.turn, covariance: propagated(lever, 3, motion.covariance, 3), centre };
}

export interface Displacement {
  readonly px: number;
  /** 1 sigma of `px`. */
  readonly sigma: number;
  /** Unit vector; (0, 0) where nothing moved. */
  readonly direction: Point;
  readonly at: Point;
  /** Where the texture is lines it is told across them alone: what it did along them is not in it. */
  readonly acrossLines?: true;
}

/** Sigma from which on a direction is not told, px, where it is also so many times that of the better one. */
const UNTOLD = 0.15;
const LINED = 3;
/** What is so many sigmas long was told after all. */
const TOLD = 4;

/** The axis along which a displacement can't be told, a unit vector; null where it is told all round. */
function untoldAxis([xx, xy, , yy]: Float64Array, [x, y]: Point): Point | null {
  const half = (xx - yy) / 2;
  const spread = Math.hypot(half, xy);
  const [worse, better] = [Math.sqrt((xx + yy) / 2 + spread), Math.sqrt(Math.max(0, (xx + yy) / 2 - spread))];
  if (!(worse > UNTOLD && worse > LINED * better)) return null;
  const angle = Math.atan2(xy, half) / 2;
  const axis: Point = [Math.cos(angle), Math.sin(angle)];
  return Math.abs(x * axis[0] + y * axis[1]) < TOLD * worse ? axis : null;
}

/**
 * Displacement of one point with its uncertainty along its own direction. Along stripes or strands anything may have
 * happened, and noise would make the size and the way: there it is told across them.
 */
export function displacementOf(motion: RigidMotion, at: Point): Displacement {
  const covariance = covarianceAt(motion, at);
  const moved = displacementAt(motion, at);
  const axis = untoldAxis(covariance, moved);
  const along = axis === null ? 0 : moved[0] * axis[0] + moved[1] * axis[1];
  const [x, y] = axis === null ? moved : [moved[0] - along * axis[0], moved[1] - along * axis[1]];
  const px = Math.hypot(x, y);
  const direction: Point = px > 0 ? [x / px, y / px] : [0, 0];
  const variance = px > 0 ? quadratic(covariance, direction) : Math.max(covariance[0], covariance[3]);
  const sigma = Math.sqrt(Math.max(0, variance));
  return { px, sigma, direction, at, ...(axis === null ? {} : { acrossLines: true }) };
}

/** The corner of all surfaces that went farthest. A rigid motion is largest at a corner, so corners are enough. */
export function largestDisplacement(surfaces: readonly MovedSurface[]): Displacement {
  let largest: Displacement | null = null;
  for (const { outline, motion } of surfaces) {
    for (const point of outline.length > 0 ? outline : [motion.centre]) {
      const here = displacementOf(motion, point);
      if (largest === null || here.px > largest.px) largest = here;
    }
  }
  return largest ?? { px: 0, sigma: 0, direction: [0, 0], at: [0, 0] };
}
