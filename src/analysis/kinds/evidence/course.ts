import { quadratic } from "../../../measure/statistics/matrix.ts";
import type { FrameNumber } from "../../../units/index.ts";
import type { HeldMotion, MotionEvent } from "./held-motion.ts";
import { motionOf } from "./held-series.ts";
import { covarianceAt, type Displacement, displacementAt } from "./rigid.ts";
import { courseAt } from "./series-event.ts";

/** How far an event had gone in one frame. */
export interface CoursePoint {
  readonly frame: FrameNumber;
  readonly px: number;
  /** 1 sigma, of the frame alone. */
  readonly sigma: number;
}

/**
 * The event's own course at the place that went farthest, along its direction: against the carrier where that moved too,
 * and all that else happened in the hold taken out.
 */
export function courseOf(
  { held, history }: HeldMotion,
  event: MotionEvent,
  { at, direction }: Displacement,
): CoursePoint[] {
  return held.rows.map(({ frame, covariance: c }, row) => {
    const value = courseAt(history, event, row);
    const own = value.length > 2 ? c : Float64Array.of(c[0], c[1], c[3], c[4]);
    const motion = motionOf(value, own, held.hold.centroid);
    const [x, y] = displacementAt(motion, at);
    const variance = quadratic(covarianceAt(motion, at), direction);
    return { frame, px: x * direction[0] + y * direction[1], sigma: Math.sqrt(Math.max(0, variance)) };
  });
}
