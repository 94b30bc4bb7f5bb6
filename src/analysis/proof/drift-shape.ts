import { drifted, type RigidDrift } from "../../measure/resample.ts";
import type { Part } from "../../model/index.ts";
import type { FrameNumber } from "../../units/index.ts";
import type { HoldPlan, PutMotion } from "../contract.ts";
import type { PartMeasurement } from "../measurement.ts";

// The drift that is put into a part: nothing up to the frames of its template, then rising in a line to the hold's end.
// A part that has a joint turns about it, its far end going down; one that hangs under its joint, where a turn would
// swing it sideways, or has none, slides along gravity. All in px of the analysed frame.

type Point = readonly [number, number];

/** Frames at the start of the hold that stay as they are: those that make the template. */
export const STILL_FRAMES = 4;
/** Fewer held frames than this can't tell a slow drift: four still ones and a ramp of as many. */
export const LEAST_FRAMES = 2 * STILL_FRAMES;
/** A turn that takes the middle of the part down by less than this share of its way is no sag: sine of 20 degrees. */
const SIDEWAYS = 0.34;
/** A joint nearer than this to all of the part turns nothing that could be seen. */
const LEAST_RADIUS = 8;

export interface DriftShape {
  readonly part: Part;
  readonly plan: HoldPlan;
  /** Joint about which it turns; null where it slides. */
  readonly joint: { readonly id: string; readonly name: string } | null;
  readonly pivot: Point;
  /** Place of the part that goes farthest, and how far it is from the pivot. */
  readonly far: Point;
  readonly radius: number;
  /** Sense of the turn; 0 for a slide. */
  readonly sense: -1 | 0 | 1;
  readonly down: Point;
  /** Last frame without a drift, and those with one. */
  readonly before: FrameNumber;
  readonly frames: readonly FrameNumber[];
}

/**
 * @param frames all frames of the hold
 * @param joint the part's own joint at the anchor; null where it has none
 */
export function driftShape(
  part: Part,
  plan: HoldPlan,
  frames: readonly FrameNumber[],
  joint: { readonly id: string; readonly name: string; readonly at: Point } | null,
  down: Point,
): DriftShape {
  const { outline, centroid } = plan;
  const base = { part, plan, down, before: frames[STILL_FRAMES - 1], frames: frames.slice(STILL_FRAMES) };
  const slide: DriftShape = { ...base, joint: null, pivot: centroid, far: centroid, radius: 0, sense: 0 };
  if (joint === null) return slide;
  const reach = ([x, y]: Point): number => Math.hypot(x - joint.at[0], y - joint.at[1]);
  const far = outline.reduce((a, b) => (reach(b) > reach(a) ? b : a));
  // A positive turn takes the middle, at (u, v) from the joint, along (-v, u).
  const [u, v] = [centroid[0] - joint.at[0], centroid[1] - joint.at[1]];
  const lowered = -v * down[0] + u * down[1];
  if (reach(far) < LEAST_RADIUS || Math.abs(lowered) < SIDEWAYS * Math.hypot(u, v)) return slide;
  const { id, name, at } = joint;
  return { ...base, joint: { id, name }, pivot: at, far, radius: reach(far), sense: lowered > 0 ? 1 : -1 };
}

/** The drift in one frame, `size` px at the far end in the last one. */
export function driftAt(shape: DriftShape, size: number, frame: FrameNumber): RigidDrift {
  const { frames, before, sense, pivot, radius, down } = shape;
  const last = frames[frames.length - 1];
  const now = size * Math.max(0, (frame - before) / (last - before));
  if (sense === 0) return { dx: now * down[0], dy: now * down[1], turn: 0, pivot };
  return { dx: 0, dy: 0, turn: sense * 2 * Math.asin(Math.min(1, now / (2 * radius))), pivot };
}

const placeIn = (plan: HoldPlan, measured: PartMeasurement | undefined): RigidDrift => {
  const known = measured !== undefined && [measured.dx, measured.dy, measured.turn].every(Number.isFinite);
  return { dx: 0, dy: 0, turn: 0, ...(known ? measured : {}), pivot: plan.centroid };
};

/** The drift for the measuring workers, on top of what the part did by itself. */
export const putMotions = (
  shape: DriftShape,
  size: number,
  measured: ReadonlyMap<FrameNumber, PartMeasurement>,
): PutMotion[] =>
  shape.frames.map((frame) => {
    const { dx, dy, turn } = placeIn(shape.plan, measured.get(frame));
    return { frame, ...driftAt(shape, size, frame), place: { dx, dy, turn } };
  });

/** What the drift does to a place of the part (told at the anchor) in one frame, on top of the part's own motion, px. */
export function knownAt(
  shape: DriftShape,
  size: number,
  frame: FrameNumber,
  measured: PartMeasurement | undefined,
  [x, y]: Point,
): [number, number] {
  const place = placeIn(shape.plan, measured);
  const here = drifted(place, x, y);
  const drift = driftAt(shape, size, frame);
  const there = drifted({ ...drift, pivot: drifted(place, drift.pivot[0], drift.pivot[1]) }, here[0], here[1]);
  return [there[0] - here[0], there[1] - here[1]];
}
