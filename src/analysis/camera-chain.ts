import { propagated } from "../measure/statistics/matrix.ts";
import type { CameraFit } from "./camera.ts";

// Cameras one after the other: where a picture is that has left the reference frame.

/** A similarity told at the frame's centre, px of the analysed frame: p goes to centre + shift + scale R(turn) (p - centre). */
export interface Pose {
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly scale: number;
}

const turned = ({ turn, scale }: Pose, x: number, y: number): [number, number] => {
  const [c, s] = [scale * Math.cos(turn), scale * Math.sin(turn)];
  return [c * x - s * y, s * x + c * y];
};

const inverted = (pose: Pose): Pose => {
  const back: Pose = { dx: 0, dy: 0, turn: 0 - pose.turn, scale: 1 / pose.scale };
  const [dx, dy] = turned(back, 0 - pose.dx, 0 - pose.dy);
  return { ...back, dx, dy };
};

const after = (first: Pose, then: Pose): Pose => {
  const [x, y] = turned(then, first.dx, first.dy);
  return { dx: then.dx + x, dy: then.dy + y, turn: first.turn + then.turn, scale: first.scale * then.scale };
};

/** From one frame's picture to another's, by both their cameras against the reference. */
export const between = (from: Pose, to: Pose): Pose => after(inverted(from), to);

/** The camera of a frame against the reference, from a nearer frame's and what was measured against that one. Errors add. */
export function chained(near: CameraFit, measured: CameraFit): CameraFit {
  const [x, y] = turned(measured, near.dx, near.dy);
  const [c, s] = turned(measured, 1, 0);
  const moved = Float64Array.of(c, -s, 0, 0, s, c, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1);
  const lever = Float64Array.of(1, 0, -y, x, 0, 1, x, y, 0, 0, 1, 0, 0, 0, 0, 1);
  const own = propagated(lever, 4, measured.covariance, 4);
  const before = propagated(moved, 4, near.covariance, 4);
  return { ...after(near, measured), covariance: own.map((value, k) => value + before[k]) };
}

/** Share of a reference's picture that is still to be seen under a camera; turn and zoom left out of account. */
export const stillSeen = ({ dx, dy }: Pose, width: number, height: number): number =>
  Math.max(0, 1 - Math.abs(dx) / width) * Math.max(0, 1 - Math.abs(dy) / height);
