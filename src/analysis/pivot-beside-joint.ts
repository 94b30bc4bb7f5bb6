import { inverse, whitenedSquare } from "../measure/statistics/matrix.ts";
import { covarianceAt, displacementAt, type Point, type RigidMotion } from "./kinds/evidence/rigid.ts";

// The pivot of a small part is a quotient of two small numbers and wanders by pixels. Where the joint that it is the pivot
// of is known, that is a second measurement of the same place: a person's, who marked it.

const STEPS = 20;
const SETTLED = 1e-4;

/**
 * The point that is likeliest to be the pivot by its own displacement, which should be none, and by where a person put
 * the joint: least squares of both in their own sigmas, by Gauss-Newton from the joint. Where the motion is told well
 * that is its fixed point; where it is told badly, the joint.
 *
 * @param placed sigma of a person's joint along each axis, px
 */
export function pivotBesideJoint(motion: RigidMotion, joint: Point, placed: number): Point {
  // Of a point that shifts by (x, y), the displacement shifts by (R - I) (x, y).
  const [c, s] = [Math.cos(motion.turn) - 1, Math.sin(motion.turn)];
  const prior = 1 / (placed * placed);
  let at: Point = joint;
  for (let step = 0; step < STEPS; step++) {
    const precision = inverse(covarianceAt(motion, at), 2);
    if (precision === null) return at;
    const [pxx, pxy, pyx, pyy] = precision;
    const [x, y] = displacementAt(motion, at);
    const [wx, wy] = [pxx * x + pxy * y, pyx * x + pyy * y];
    const right = [prior * (joint[0] - at[0]) - (c * wx + s * wy), prior * (joint[1] - at[1]) - (c * wy - s * wx)];
    // J' P J with J = [[c, -s], [s, c]].
    const [ax, bx] = [pxx * c + pxy * s, pyx * c + pyy * s];
    const [ay, by] = [-pxx * s + pxy * c, -pyx * s + pyy * c];
    const normal = [prior + c * ax + s * bx, c * ay + s * by, -s * ax + c * bx, prior - s * ay + c * by];
    const determinant = normal[0] * normal[3] - normal[1] * normal[2];
    const [mx, my] = [
      (normal[3] * right[0] - normal[1] * right[1]) / determinant,
      (normal[0] * right[1] - normal[2] * right[0]) / determinant,
    ];
    at = [at[0] + mx, at[1] + my];
    if (Math.hypot(mx, my) < SETTLED) break;
  }
  return at;
}

/** True where a point's displacement can't be told from none, at so many sigmas squared. */
export const mayBePivot = (motion: RigidMotion, at: Point, level: number): boolean =>
  whitenedSquare(covarianceAt(motion, at), displacementAt(motion, at)) <= level;
