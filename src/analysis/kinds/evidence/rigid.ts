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
}

/** Displacement of one point with its uncertainty along its own direction. */
export function displacementOf(motion: RigidMotion, at: Point): Displacement {
  const [x, y] = displacementAt(motion, at);
  const px = Math.hypot(x, y);
  const direction: Point = px > 0 ? [x / px, y / px] : [0, 0];
  const covariance = covarianceAt(motion, at);
  const variance = px > 0 ? quadratic(covariance, direction) : Math.max(covariance[0], covariance[3]);
  return { px, sigma: Math.sqrt(Math.max(0, variance)), direction, at };
}

/** The corner of all surfaces that went farthest. A rigid motion is largest at a corner, so corners are enough. */
export function largestDisplacement(surfaces: readonly MovedSurface[]): Displacement {
  let largest: Displacement | null = null;
  for (const { outline, motion } of surfaces) {
    for (const point of outline.length > 0 ? outline : [motion.centre]) {
      const [x, y] = displacementAt(motion, point);
      if (largest === null || Math.hypot(x, y) > largest.px) largest = displacementOf(motion, point);
    }
  }
  return largest ?? { px: 0, sigma: 0, direction: [0, 0], at: [0, 0] };
}
