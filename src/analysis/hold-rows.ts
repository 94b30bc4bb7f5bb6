import { ambiguity } from "../measure/part-register.ts";
import { median } from "../measure/statistics/robust.ts";
import type { FrameNumber } from "../units/index.ts";
import { type CameraFit, cameraStep } from "./camera.ts";
import { type Covariance, plus, principalAxes, scaled } from "./covariance.ts";
import type { MeasureState, PartMeasurement } from "./measurement.ts";

/** Variance of a second difference from which on a direction was not looked along, px squared. */
const TELLS_NOTHING = 6;
/** How many degrees of freedom the pictures' own sigmas are worth: they are right to about a quarter. */
const PICTURE_WORTH = 8;
/**
 * And one squared second difference: differences that overlap correlate by -2/3 and 1/6 (which costs a factor of 1.94), and
 * the median tells 0.37 of what the mean square would.
 */
const DEGREES_A_DIFFERENCE = 0.19;

/** One frame of a hold with the camera taken out, px of the analysed frame; NaN where there is no number. */
export interface HeldRow {
  readonly frame: FrameNumber;
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly rawDx: number;
  readonly rawDy: number;
  /** Of this frame alone, the anchor's own error left out. */
  readonly covariance: Covariance;
  readonly leftOver: number;
  /** Share of the part's pixels that show it; left out where it is not known. */
  readonly shown?: number;
  readonly state: MeasureState;
  readonly reason: string;
}

const ZERO: Covariance = [0, 0, 0, 0, 0, 0];
const NOTHING: Covariance = [Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN];

/**
 * Takes the camera out of a part's measurements.
 * @param cameras the camera of every frame; null where it can't be told: then the row has no number
 * @param templateFrames frames that the template averages, the anchor first
 */
export function cameraOut(
  measured: ReadonlyMap<FrameNumber, PartMeasurement>,
  frames: readonly FrameNumber[],
  anchor: FrameNumber,
  centroid: readonly [number, number],
  cameras: ReadonlyMap<FrameNumber, CameraFit | null>,
  width: number,
  height: number,
  templateFrames: readonly FrameNumber[],
): HeldRow[] {
  const from = cameras.get(anchor) ?? null;
  const rows: HeldRow[] = [];
  const sure: [number, number] = [0, 0];
  for (const frame of frames) {
    if (frame === anchor) continue;
    const part = measured.get(frame);
    if (part === undefined) continue;
    const { shown, leftOver } = part;
    const base = { frame, rawDx: part.dx, rawDy: part.dy, leftOver, ...(shown === undefined ? {} : { shown }) };
    const to = cameras.get(frame) ?? null;
    if (from === null || to === null) {
      rows.push({
        ...base,
        dx: Number.NaN,
        dy: Number.NaN,
        turn: Number.NaN,
        covariance: NOTHING,
        state: "lost",
        reason: "the camera can't be told from the set in this frame",
      });
      continue;
    }
    const step = cameraStep(from, to, centroid[0], centroid[1], width, height);
    const place = [part.dx - step.dx, part.dy - step.dy] as const;
    if (part.rival !== undefined && couldBeElsewhere(place, sure, part.rival)) {
      const nan = Number.NaN;
      const reason = ambiguity({ dx: part.rival[0], dy: part.rival[1] });
      rows.push({ ...base, dx: nan, dy: nan, turn: nan, covariance: NOTHING, state: "ambiguous", reason });
      continue;
    }
    if (Number.isFinite(part.dx)) [sure[0], sure[1]] = place;
    const own = scaled(part.covariance, ofFrameAlone(templateFrames, frame));
    rows.push({
      ...base,
      dx: part.dx - step.dx,
      dy: part.dy - step.dy,
      turn: part.turn - step.turn,
      covariance: plus(own, [step.varX, 0, 0, step.varY, 0, step.varTurn]),
      state: part.state,
      reason: part.reason,
    });
  }
  return rows;
}

/**
 * A frame's own share of what a measurement's figure says, which is made of what is left between frame and template: the
 * template's noise is in that too and comes off. A frame that is in the template leaves less, since some of its noise is on
 * both sides, and yet is no better known: each was laid in by its own measured place. Over 398 still holds (noise 0.5 to 2)
 * frames 2 to 4 scattered 1.5 times as much as they claimed against all others, in variance, before that was put back.
 */
function ofFrameAlone(templateFrames: readonly FrameNumber[], frame: FrameNumber): number {
  const n = templateFrames.length;
  return templateFrames.includes(frame) && n > 1 ? n / (n - 1) : n / (n + 1);
}

/** A step of more than this share of a period may have been one the other way. */
const COULD_BE = 0.25;

/** Whether a place in a pattern that repeats is too far from the last sure one to be told from the next repeat. */
function couldBeElsewhere(
  place: readonly [number, number],
  sure: readonly [number, number],
  [px, py]: readonly [number, number],
): boolean {
  const along = (place[0] - sure[0]) * px + (place[1] - sure[1]) * py;
  return Math.abs(along) > COULD_BE * (px * px + py * py);
}

/**
 * How much larger or smaller the variance of a hold is than its sigmas say, from second differences of frames that follow
 * each other: a steady drift doesn't enter them, one step or pop is outvoted. Between 1 and what is observed, each by its
 * degrees of freedom (the posterior mean under a scaled inverse chi-square, Gelman et al., Bayesian data analysis,
 * section 2.6), so that a lucky short hold is hardly better than its pictures say and a long one speaks for itself. Not
 * held at 1 or above: a largest of two would push up all the holds whose sigmas are right.
 */
export function temporalInflation(rows: readonly HeldRow[]): number {
  const ratios: number[] = [];
  for (let i = 1; i + 1 < rows.length; i++) {
    const [a, b, c] = [rows[i - 1], rows[i], rows[i + 1]];
    if (![a, b, c].every((row) => Number.isFinite(row.dx))) continue;
    const expected = plus(plus(a.covariance, scaled(b.covariance, 4)), c.covariance);
    const [x, y] = [a.dx - 2 * b.dx + c.dx, a.dy - 2 * b.dy + c.dy];
    // Along its principal axes: where the texture runs one way only, the other one says nothing.
    for (const { variance, direction } of principalAxes(expected))
      if (variance < TELLS_NOTHING) ratios.push((x * direction[0] + y * direction[1]) ** 2 / variance);
  }
  if (ratios.length === 0) return 1;
  // Median of a chi-square with one degree of freedom.
  const observed = median(ratios) / 0.4549;
  const degrees = DEGREES_A_DIFFERENCE * ratios.length;
  return (PICTURE_WORTH + degrees * observed) / (PICTURE_WORTH + degrees);
}

/** The anchor is a frame like the others: its own error is that of a typical row. */
export function typicalCovariance(rows: readonly HeldRow[]): Covariance {
  // A weak row may have no number at all.
  const known = rows.filter(({ state, dx }) => (state === "ok" || state === "weak") && Number.isFinite(dx));
  if (known.length === 0) return ZERO;
  // One row's whole covariance: medians taken number by number need not be a covariance.
  const size = ({ covariance }: HeldRow): number => covariance[0] + covariance[3];
  return known.toSorted((a, b) => size(a) - size(b))[known.length >> 1].covariance;
}
