import type { Part } from "../../../model/index.ts";
import type { Hold, JudgeInput } from "../../series.ts";
import type { CameraEvent } from "./camera-motion.ts";
import { type CoursePoint, courseOf } from "./course.ts";
import { effectElsewhere } from "./elsewhere.ts";
import { type Correction, type HeldMotion, heldMotion, type MotionEvent, type Reach } from "./held-motion.ts";
import { heldSeries } from "./held-series.ts";
import {
  type Displacement,
  displacementAt,
  displacementOf,
  largestDisplacement,
  type MovedSurface,
  movedTo,
  type Ring,
} from "./rigid.ts";

// One cause, one drift. A part whose carrier moved is judged relative to it, so that what it was merely carried through
// is told once, on the part that moved by itself. What a moved camera leaves on the parts belongs to the camera.

/** Beside a carrier that moved, a part's own drift must exceed this share of it: limbs are not quite rigid in the picture. */
const RIGID_ENOUGH = 0.1;
/** What a camera's move leaves on a part, up to this share of it, belongs to the camera. */
const CAMERA_LEAVES = 0.25;
/** Parts that step with the camera and along it (cosine), most of them together and none farther, are parallax. */
const PARALLAX = 0.8;
/** A carried part goes where its carrier's motion puts it, to this share of its own. */
const CARRIED_TO = 0.3;
const SIGMAS = 3;

/** A part that was carried along, and its motion told at its centroid: its own measurement, or else its carrier's. */
export interface CarriedPart {
  readonly part: Part;
  readonly surface: MovedSurface;
  readonly measured: boolean;
}

/** One thing that one part did by itself, with all that it carried along. */
export interface PartDrift {
  readonly hold: Hold;
  readonly part: Part;
  readonly event: MotionEvent;
  readonly carried: readonly CarriedPart[];
  /** The part's own surface and all that it carried. */
  readonly surfaces: readonly MovedSurface[];
  /** Largest displacement over all these surfaces. */
  readonly largest: Displacement;
  /** The carrier that moved too: the drift is what it doesn't explain. */
  readonly besideCarrier: Part | null;
  /** The drift's own course at the place that went farthest: px along its direction, all that else happened taken out. */
  readonly course: readonly CoursePoint[];
  /** The part's own series, relative to its carrier where that moved, with all that happened in it. */
  readonly own: HeldMotion;
}

/** What somebody did to a part on purpose. */
export interface PartCorrection {
  readonly hold: Hold;
  readonly correction: Correction;
  readonly largest: Displacement;
}

interface Judged {
  readonly hold: Hold;
  readonly absolute: HeldMotion;
  /** The carrier that moved, where there is one, and the part's motion relative to it. */
  readonly reference: Judged | null;
  readonly own: HeldMotion;
}

interface Shot {
  readonly input: JudgeInput;
  readonly parts: ReadonlyMap<string, Part>;
  readonly clockOf: (frame: number) => number | null;
  readonly judged: readonly Judged[];
  readonly stepBandOf: (part: Part) => number;
  readonly camera: readonly CameraEvent[];
}

const judgedIntents: ReadonlySet<Hold["intent"]> = new Set(["holds", "found", "alive"]);

/**
 * Drifts of all parts that hold, in the order of the input's holds.
 *
 * @param stepBandOf px up to which a step beside a slow drift is part of it
 */
export function partMotions(
  input: JudgeInput,
  camera: readonly CameraEvent[],
  stepBandOf: (part: Part) => number,
): { readonly drifts: readonly PartDrift[]; readonly corrections: readonly PartCorrection[] } {
  const parts = new Map([...input.parts, ...input.holds.map((hold) => hold.part)].map((part) => [part.id, part]));
  const clocks = new Map<number, number | null>(input.frames.map((row) => [row.frame, row.clock]));
  const judged: Judged[] = [];
  const shot: Shot = { input, parts, clockOf: (frame) => clocks.get(frame) ?? null, judged, stepBandOf, camera };
  const holds = input.holds.filter((hold) => judgedIntents.has(hold.intent) || hold.worn?.carrierHeld === true);
  for (const hold of holds.toSorted((a, b) => chainOf(a.part, parts).length - chainOf(b.part, parts).length)) {
    const one = judgeHold(hold, shot);
    if (one !== null) judged.push(one);
  }
  const drifts = holds.flatMap((hold) => {
    const one = judged.find((other) => other.hold === hold);
    return one === undefined ? [] : one.own.events.flatMap((event) => driftOf(one, event, shot) ?? []);
  });
  const corrections = judged.flatMap(({ hold, own }) =>
    own.corrections
      // What a mark for one part did to what that part carries is told with the part.
      .filter(({ mark }) => mark.part === null || mark.part === hold.part.id)
      .map((correction) => ({
        hold,
        correction,
        largest: largestDisplacement([{ outline: hold.outline, motion: correction.event.motion }]),
      })),
  );
  return { drifts: drifts.filter((drift) => !isOfCamera(drift, drifts, shot, camera)), corrections };
}

/** Marks of a person who moved the part, or what carries it, on purpose before a frame was taken. */
const onPurpose: ReadonlySet<string> = new Set(["correction", "reset", "anchor"]);

function marksOn(part: Part, { input, parts }: Shot): JudgeInput["marks"] {
  const chain = [part, ...chainOf(part, parts)];
  return input.marks.filter(
    (mark) => onPurpose.has(mark.kind) && (mark.part === null || chain.some(({ id }) => id === mark.part)),
  );
}

/** The carriers of a part, nearest first. Loops were refused with the sheet; a broken chain ends. */
function chainOf(part: Part, parts: ReadonlyMap<string, Part>): Part[] {
  const chain: Part[] = [];
  for (let next = part.carrier; next !== null; ) {
    const carrier = parts.get(next);
    if (carrier === undefined || chain.includes(carrier)) break;
    chain.push(carrier);
    next = carrier.carrier;
  }
  return chain;
}

function judgeHold(hold: Hold, shot: Shot): Judged | null {
  const reach: Reach = { outlines: [hold.outline, ...outlinesOn(hold, shot)], band: shot.stepBandOf(hold.part) };
  const held = heldSeries(hold, shot.clockOf);
  const marks = marksOn(hold.part, shot);
  const absolute = held === null ? null : heldMotion(held, reach, marks, shot.input.live);
  if (absolute === null) return null;
  // A hand that rests on the table while its arm sags did nothing, though it moved against its carrier.
  const reference = hold.worn !== undefined ? null : movedCarrier(hold, absolute, shot);
  const relative = reference === null ? null : heldSeries(hold, shot.clockOf, reference.hold);
  const own = relative === null ? null : heldMotion(relative, reach, marks, shot.input.live);
  return { hold, absolute, reference: own === null ? null : reference, own: own ?? absolute };
}

/** Outlines of the parts that this one carries in the same frames. */
function outlinesOn(hold: Hold, { input, parts }: Shot): readonly Ring[] {
  return input.holds
    .filter((other) => chainOf(other.part, parts).some(({ id }) => id === hold.part.id))
    .filter((other) => sharedFrames(other, hold) > 0)
    .map(({ outline }) => outline);
}

function sharedFrames(a: Hold, b: Hold): number {
  const frames = new Set<number>([b.anchor, ...b.rows.map((row) => row.frame)]);
  return a.rows.filter((row) => frames.has(row.frame)).length;
}

/** What a hold did by itself, in px at its farthest: events that are no more than what a camera's move left are not in it. */
function sizesBeside(
  camera: readonly CameraEvent[],
  hold: Hold,
  events: readonly MotionEvent[],
  outline: Ring,
): number[] {
  return events.flatMap((event) => {
    const { px } = largestDisplacement([{ outline, motion: event.motion }]);
    const left = camera.some(
      (move) => isAtOnce({ event, hold }, move) && px < CAMERA_LEAVES * Math.hypot(...move.at(hold.centroid)),
    );
    return left ? [] : [px];
  });
}

/**
 * The nearest carrier that moved, with a hold over at least half of these frames. What it did has to be noticeable
 * beside what the part did: else taking it out brings in more of the carrier's noise than of its motion.
 */
function movedCarrier(hold: Hold, absolute: HeldMotion, { parts, judged, camera }: Shot): Judged | null {
  const least = Math.min(...sizesBeside(camera, hold, absolute.events, hold.outline));
  if (!Number.isFinite(least)) return null;
  for (const carrier of chainOf(hold.part, parts)) {
    const best = judged
      .filter((one) => one.hold.part.id === carrier.id)
      .filter((one) =>
        sizesBeside(camera, one.hold, one.absolute.events, hold.outline).some((px) => px >= RIGID_ENOUGH * least),
      )
      .map((one) => ({ one, shared: sharedFrames(hold, one.hold) }))
      .filter(({ shared }) => shared >= 2 && 2 * shared >= hold.rows.length)
      .sort((a, b) => b.shared - a.shared);
    if (best.length > 0) return best[0].one;
  }
  return null;
}

/** The drift that an event is; null where the part's moved carrier explains it after all. */
function driftOf(one: Judged, event: MotionEvent, shot: Shot): PartDrift | null {
  const { hold, reference, own } = one;
  const carried = [...carriedWith(one, event, shot), ...riders(one, event, shot)];
  const surfaces = [{ outline: hold.outline, motion: event.motion }, ...carried.map(({ surface }) => surface)];
  const largest = largestDisplacement(surfaces);
  const beside = reference === null ? null : effectElsewhere(event, own, reference.absolute.held, reference.absolute);
  if (beside !== null) {
    const motion = movedTo(beside, hold.centroid);
    if (largest.px < RIGID_ENOUGH * largestDisplacement([{ outline: hold.outline, motion }]).px) return null;
  }
  const course = courseOf(own, event, largest);
  return {
    hold,
    part: hold.part,
    event,
    carried,
    surfaces,
    largest,
    besideCarrier: reference?.hold.part ?? null,
    course,
    own,
  };
}

/** Held parts that ride on this one and went where it put them. */
function carriedWith(one: Judged, event: MotionEvent, shot: Shot): CarriedPart[] {
  return shot.judged.flatMap((other) => {
    if (!ridesOn(other, one)) return [];
    const { outline, centroid, part } = other.hold;
    const predicted = movedTo(event.motion, centroid);
    const byCarrier: CarriedPart = { part, surface: { outline, motion: predicted }, measured: false };
    // Where it, or a part between, did the same sort of thing by itself, its own track can't tell the two apart.
    if (linksBetween(other, one).some(({ own }) => own.events.some(({ family }) => family === event.family))) {
      return [byCarrier];
    }
    const target =
      one.reference === null ? other.absolute.held : heldSeries(other.hold, shot.clockOf, one.reference.hold);
    const measured = target === null ? null : effectElsewhere(event, one.own, target, null);
    if (measured === null) return [byCarrier];
    const moved = displacementOf(measured, centroid);
    const expected = displacementOf(predicted, centroid);
    const [x, y] = displacementAt(measured, centroid);
    const off = Math.hypot(x - predicted.dx, y - predicted.dy);
    const agrees = off <= Math.max(CARRIED_TO * moved.px, SIGMAS * Math.hypot(moved.sigma, expected.sigma));
    const moves = moved.px > SIGMAS * moved.sigma;
    return agrees && moves ? [{ part, surface: { outline, motion: measured }, measured: true }] : [];
  });
}

function ridesOn(other: Judged, one: Judged): boolean {
  for (let next = other.reference; next !== null; next = next.reference) if (next === one) return true;
  return false;
}

/** The part and the carriers between it and the one that it rides on. */
function linksBetween(other: Judged, one: Judged): Judged[] {
  const links: Judged[] = [];
  for (let next: Judged | null = other; next !== null && next !== one; next = next.reference) links.push(next);
  return links;
}

/** Parts that are meant to ride: their own tracks are told relative to their carrier, so its motion is theirs. */
function riders(one: Judged, event: MotionEvent, { input, parts }: Shot): CarriedPart[] {
  return input.holds
    .filter((hold) => (hold.intent === "rides" || hold.worn !== undefined) && sharedFrames(hold, one.hold) > 0)
    .filter((hold) => chainOf(hold.part, parts).some(({ id }) => id === one.hold.part.id))
    .map(({ part, outline, centroid }) => ({
      part,
      surface: { outline, motion: movedTo(event.motion, centroid) },
      measured: false,
    }));
}

/** True for what a camera's move left on the part: little of it at the same frame, or most parts together along it. */
function isOfCamera(
  drift: PartDrift,
  drifts: readonly PartDrift[],
  { judged }: Shot,
  camera: readonly CameraEvent[],
): boolean {
  return camera.some((move) => {
    if (!isAtOnce(drift, move)) return false;
    const whole = Math.hypot(...move.at(drift.hold.centroid));
    if (drift.largest.px < CAMERA_LEAVES * whole) return true;
    if (move.family === "slow" || !isAlong(drift, move)) return false;
    const together = drifts
      .filter((other) => isAtOnce(other, move) && isAlong(other, move))
      .reduce((count, other) => count + 1 + other.carried.length, 0);
    const present = judged.filter(
      ({ hold }) => hold.anchor < move.from && hold.rows.some((row) => row.frame >= move.from),
    );
    return 2 * together > present.length;
  });
}

/** True where the drift has the camera move's sort and time: its own frame before was still before the move. */
function isAtOnce({ event, hold }: Pick<PartDrift, "event" | "hold">, move: CameraEvent): boolean {
  if (event.family !== move.family) return false;
  if (event.family === "slow") return event.from <= move.to && event.to >= move.from;
  const before = hold.rows.findLast((row) => row.frame < event.from && Number.isFinite(row.dx))?.frame ?? hold.anchor;
  return before < move.from && move.from <= event.from;
}

function isAlong({ largest, hold }: PartDrift, move: CameraEvent): boolean {
  const [x, y] = move.at(hold.centroid);
  const whole = Math.hypot(x, y);
  const cosine = (x * largest.direction[0] + y * largest.direction[1]) / (whole || 1);
  return Math.abs(cosine) > PARALLAX && largest.px < whole;
}
