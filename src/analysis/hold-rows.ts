import { median } from "../measure/statistics/robust.ts";
import type { FrameNumber } from "../units/index.ts";
import { type CameraFit, cameraStep } from "./camera.ts";
import { type Covariance, plus, scaled } from "./covariance.ts";
import type { MeasureState, PartMeasurement } from "./measurement.ts";

/** Rows that a hold needs before its own scatter says anything about its sigmas. */
const ENOUGH_ROWS = 6;

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
  readonly state: MeasureState;
  readonly reason: string;
}

const NOTHING: Covariance = [Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN];

/**
 * Takes the camera out of a part's measurements.
 * @param cameras the camera of every frame; null where it can't be told: then the row has no number
 * @param templateFrames frames that the template averages: their noise is in the measurement's figure and comes off
 */
export function cameraOut(
  measured: ReadonlyMap<FrameNumber, PartMeasurement>,
  frames: readonly FrameNumber[],
  anchor: FrameNumber,
  centroid: readonly [number, number],
  cameras: ReadonlyMap<FrameNumber, CameraFit | null>,
  width: number,
  height: number,
  templateFrames: number,
): HeldRow[] {
  const from = cameras.get(anchor) ?? null;
  const rows: HeldRow[] = [];
  for (const frame of frames) {
    if (frame === anchor) continue;
    const part = measured.get(frame);
    if (part === undefined) continue;
    const base = { frame, rawDx: part.dx, rawDy: part.dy, leftOver: part.leftOver };
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
    const own = scaled(part.covariance, templateFrames / (templateFrames + 1));
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
 * How much larger the variance of a hold is than its sigmas say, from second differences of frames that follow each
 * other: a steady drift doesn't enter them, one step or pop is outvoted. 1 where the sigmas are right or rows are too
 * few; never below 1, since a lucky short hold is no better than its pictures.
 */
export function temporalInflation(rows: readonly HeldRow[]): number {
  const ratios: number[] = [];
  for (let i = 1; i + 1 < rows.length; i++) {
    const [a, b, c] = [rows[i - 1], rows[i], rows[i + 1]];
    if (![a, b, c].every((row) => Number.isFinite(row.dx))) continue;
    ratios.push((a.dx - 2 * b.dx + c.dx) ** 2 / (a.covariance[0] + 4 * b.covariance[0] + c.covariance[0]));
    ratios.push((a.dy - 2 * b.dy + c.dy) ** 2 / (a.covariance[3] + 4 * b.covariance[3] + c.covariance[3]));
  }
  if (ratios.length < 2 * (ENOUGH_ROWS - 2)) return 1;
  // Median of a chi-square with one degree of freedom.
  return Math.max(1, median(ratios) / 0.4549);
}
