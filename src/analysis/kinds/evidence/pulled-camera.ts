import { polygonArea } from "../../../model/geometry.ts";
import type { JudgeInput } from "../../series.ts";
import type { CameraEvent } from "./camera-motion.ts";
import type { PartDrift } from "./part-drift.ts";
import type { MovedSurface } from "./rigid.ts";

// The camera is told by all that stands still, held parts among it: a part that drifts by less than one frame shows
// pulls it along by its share of the picture. In small frames full of parts that is hundredths of a px.

/**
 * The most that a cell pulls however far it went, px: Tukey's weight times the distance is largest at 1.3 standard
 * deviations of a cell, which are 0.03 to 0.07 px, and what is farther off counts for less and less.
 */
const MOST_PULL = 0.1;
/** Frames by which two jumps may be apart and still be one. */
const SAME_FRAME = 1;

/** The camera's events that are more than what drifting parts can have pulled it by. */
export const beyondPull = (
  camera: readonly CameraEvent[],
  drifts: readonly PartDrift[],
  input: JudgeInput,
): readonly CameraEvent[] =>
  camera.filter((move) => {
    const surfaces = drifts.filter((drift) => isAtOnce(drift, move)).flatMap((drift) => drift.surfaces);
    return move.displacement.px > surfaces.reduce((sum, surface) => sum + pullOf(surface, move, input), 0);
  });

function isAtOnce({ event }: PartDrift, move: CameraEvent): boolean {
  if (event.family !== move.family) return false;
  if (event.family !== "slow") return Math.abs(event.from - move.from) <= SAME_FRAME;
  return event.from <= move.to && move.from <= event.to;
}

/**
 * How far a surface can pull the camera, px: its share of the picture times how far it went. What it turns or zooms by
 * adds in a corner three times its own distance from the centre over the corner's (a rectangle's mean square distance is a
 * third of its corner's).
 */
function pullOf({ outline, motion }: MovedSurface, move: CameraEvent, { width, height }: JudgeInput): number {
  const share = Math.abs(polygonArea(outline)) / (width * height);
  const [x, y] = [motion.centre[0] - width / 2, motion.centre[1] - height / 2];
  const lever = move.atCorner ? 1 + (3 * Math.hypot(x, y)) / Math.hypot(width / 2, height / 2) : 1;
  return share * lever * Math.min(MOST_PULL, Math.hypot(motion.dx, motion.dy));
}
