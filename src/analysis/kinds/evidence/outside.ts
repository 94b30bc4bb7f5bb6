import type { JudgeInput } from "../../series.ts";
import type { CameraEvent } from "./camera-motion.ts";
import type { FocusChange } from "./focus-change.ts";
import type { PartDrift } from "./part-drift.ts";
import type { Ring } from "./rigid.ts";

// One cause, one flag, for what lies outside all outlines: the shadow and the edge of a part that moved are that part's,
// what the camera left on near and far things is the camera's, and what moved together is one thing.

/** How far from a part's outline its shadow and its edge lie, as a share of the frame's width. */
const BESIDE = 0.06;
/** Frames by which two jumps may be apart and still be one. */
const SAME_FRAME = 1;
/** Two drifts go the same way (cosine), and as far (share). */
const ALONG = 0.9;
const AS_FAR = 0.4;
/** Beside each other they are one already this far along: cells on the edge of what moved show a part of it, across the edge. */
const BESIDE_ALONG = 0.5;
/** Or whichever way, where it is less than this share of it: such a sliver may show its shadow or its edge alone. */
const EDGE_SHARE = 0.3;
/** Parallax goes along the camera's own way to this angle, radians, and to so many sigmas of its own direction more. */
const PARALLAX = 0.64;
const OWN_DIRECTION = 2;
/**
 * Px that an edge may seem to go for each px by which the lens's blur grows or shrinks: what shines into it from one side
 * isn't what does from the other. A third of the blur is what a hard edge beside a bright one does.
 */
const SHIFT_OF_BLUR = 0.4;
/** Loss of waves of 3 px for each px^2 of blur: exp(-2 pi^2 / 9 b^2). */
const LOSS_OF_BLUR = (2 * Math.PI ** 2) / 9;
/** No loss of contrast is told beyond this. */
const MOST_LOSS = 0.98;

/** The drifts without those outside all outlines that another cause explains. */
export function ownCauses(
  drifts: readonly PartDrift[],
  input: JudgeInput,
  camera: readonly CameraEvent[],
  focus: readonly FocusChange[],
): readonly PartDrift[] {
  const { outside } = input;
  if (outside === undefined || outside.size === 0) return drifts;
  const isOutside = ({ part }: PartDrift) => outside.has(part.id);
  const parts = drifts.filter((drift) => !isOutside(drift));
  const reach = BESIDE * input.width;
  const own: PartDrift[] = [];
  const bySize = drifts.filter(isOutside).toSorted((a, b) => areaOf(b.hold.outline) - areaOf(a.hold.outline));
  for (const drift of bySize) {
    const joins = parts.some((part) => isAtOnce(part, drift) && distance(part, drift) < reach);
    const isCamera = camera.some((move) => isParallax(drift, move));
    const isFocus = focus.some((change) => isOfFocus(drift, change));
    const isKnown = own.some(
      (other) =>
        isAtOnce(other, drift) && (isAlike(other, drift) || (distance(other, drift) < reach && isEdge(drift, other))),
    );
    if (!joins && !isCamera && !isFocus && !isKnown) own.push(drift);
  }
  return drifts.filter((drift) => !isOutside(drift) || own.includes(drift));
}

function isAtOnce({ event: a }: PartDrift, { event: b }: PartDrift): boolean {
  if (a.family !== b.family) return false;
  if (a.family !== "slow") return Math.abs(a.row - b.row) <= SAME_FRAME || Math.abs(a.from - b.from) <= SAME_FRAME;
  return a.from <= b.to && b.from <= a.to;
}

function cosineOf({ largest: a }: PartDrift, { largest: b }: PartDrift): number {
  return a.direction[0] * b.direction[0] + a.direction[1] * b.direction[1];
}

function isAlike(a: PartDrift, b: PartDrift): boolean {
  const [p, q] = [a.largest.px, b.largest.px];
  return cosineOf(a, b) > ALONG && Math.abs(p - q) < AS_FAR * Math.max(p, q);
}

/** Whether what is beside a piece that moved is no more than its edge. */
const isEdge = (drift: PartDrift, other: PartDrift): boolean =>
  cosineOf(other, drift) > BESIDE_ALONG || drift.largest.px < EDGE_SHARE * other.largest.px;

function isParallax({ event, largest, hold }: PartDrift, move: CameraEvent): boolean {
  const isThen =
    event.from <= move.to &&
    move.from <= event.to &&
    (event.family === "slow" || Math.abs(event.from - move.from) <= SAME_FRAME);
  const [x, y] = move.at(hold.centroid);
  const whole = Math.hypot(x, y);
  const cosine = (x * largest.direction[0] + y * largest.direction[1]) / (whole || 1);
  const angle = Math.acos(Math.min(1, Math.abs(cosine)));
  const unsure = OWN_DIRECTION * Math.atan2(largest.sigma, largest.px);
  return isThen && angle < PARALLAX + unsure && largest.px < 1.5 * whole;
}

/** What a change of focus makes of edges that stand still. */
function isOfFocus({ event, largest }: PartDrift, change: FocusChange): boolean {
  const isThen = event.from <= change.to + SAME_FRAME && change.from <= event.from + SAME_FRAME;
  const blur = Math.sqrt(-Math.log(1 - Math.min(MOST_LOSS, Math.abs(change.loss))) / LOSS_OF_BLUR);
  return isThen && largest.px < SHIFT_OF_BLUR * blur;
}

/** Smallest distance between the corners of two outlines, px; 0 where one has a corner of the other within its box. */
function distance({ hold: a }: PartDrift, { hold: b }: PartDrift): number {
  const [p, q] = [boxOf(a.outline), boxOf(b.outline)];
  const gap = (low: number, high: number, from: number, to: number) => Math.max(0, from - high, low - to);
  return Math.hypot(gap(p[0], p[2], q[0], q[2]), gap(p[1], p[3], q[1], q[3]));
}

function boxOf(outline: Ring): readonly [number, number, number, number] {
  const xs = outline.map(([x]) => x);
  const ys = outline.map(([, y]) => y);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

function areaOf(outline: Ring): number {
  const [x0, y0, x1, y1] = boxOf(outline);
  return (x1 - x0) * (y1 - y0);
}
