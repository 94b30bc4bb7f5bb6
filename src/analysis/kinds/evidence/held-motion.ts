import { breathingOf } from "../../../measure/statistics/breathing.ts";
import type { History } from "../../../measure/statistics/history.ts";
import { quadratic } from "../../../measure/statistics/matrix.ts";
import type { FrameNumber } from "../../../units/index.ts";
import type { Hold } from "../../series.ts";
import { eventsOf } from "./events.ts";
import type { Reading, SeriesEvent } from "./series-event.ts";
import { anchorRow, type HeldRow, type HeldSeries, motionOf } from "./held-series.ts";
import { historyOf } from "./history-of.ts";
import {
  displacementAt,
  displacementOf,
  largestDisplacement,
  leverOf,
  type Point,
  type RigidMotion,
  type Ring,
} from "./rigid.ts";

// What one held part did: one slow drift, steps and pops, each a rigid motion at its centroid.

/** Frames after a move in which a part may still settle. */
export const GRACE_FRAMES = 3;

export interface MotionEvent extends SeriesEvent {
  readonly motion: RigidMotion;
}

export interface HeldMotion {
  readonly held: HeldSeries;
  readonly history: History;
  readonly events: readonly MotionEvent[];
}

/** What decides whether a step matters: its band, px, and the outlines that go where the part goes, its own included. */
export interface Reach {
  readonly outlines: readonly Ring[];
  readonly band: number;
}

/** Everything that happened to the part, significant by its own thresholds; null where nothing can be told. */
export function heldMotion(held: HeldSeries, reach: Reach): HeldMotion | null {
  const { hold, series, axes } = held;
  const trendOnly = hold.intent === "alive";
  const breathing = trendOnly ? breathingOf(series, axes[0]) : null;
  const history = historyOf("held", series, axes, {
    straight: trendOnly,
    ...(breathing === null ? {} : { base: breathing.columns }),
    ...(breathing?.hasTrend === false ? { families: [] } : {}),
  });
  if (history === null) return null;
  const settles = (frame: FrameNumber) => hold.afterMove && frame - hold.anchor <= GRACE_FRAMES;
  const events = eventsOf(history, readingOf(held, reach, trendOnly))
    .filter((event) => event.family !== "step" || !settles(event.from))
    .map((event) => ({ ...event, motion: motionOf(event.value, event.covariance, hold.centroid) }));
  return { held, history, events };
}

const NO_COVARIANCE = new Float64Array(9);

function readingOf({ hold, rows }: HeldSeries, reach: Reach, trendOnly: boolean): Reading {
  const motion = (value: Float64Array) => motionOf(value, NO_COVARIANCE, hold.centroid);
  const largest = (value: Float64Array) => largestDisplacement([{ outline: hold.outline, motion: motion(value) }]);
  return {
    frames: rows.map((row) => row.frame),
    sizeOf: (value) => largest(value).px,
    along: (value, reference) => {
      const { at, direction } = largest(reference);
      const [x, y] = displacementAt(motion(value), at);
      return x * direction[0] + y * direction[1];
    },
    matters: (value) => {
      const surfaces = reach.outlines.map((outline) => ({ outline, motion: motion(value) }));
      return largestDisplacement(surfaces).px > reach.band;
    },
    sigmas: (value, row, end) => {
      if (rows[row].frame === hold.anchor) return 0;
      // The centroid is where tracks are told; a part that turns about it shows its drift at its edge.
      const most = largest(end);
      const at = displacementOf(motion(end), hold.centroid).px > most.px / 3 ? hold.centroid : most.at;
      const { px, direction } = displacementOf(motion(value), at);
      return px / reportedSigma(hold, rows[row], at, direction);
    },
    trendOnly,
  };
}

/** Reported sigma of a row at a point along a direction, the anchor's error in it, as the track tells it. */
function reportedSigma(hold: Hold, row: HeldRow, at: Point, direction: Point): number {
  const known = (value: number) => (Number.isFinite(value) ? value : 0);
  const anchor = anchorRow(hold).covariance;
  const covariance = row.covariance.map((value, k) => known(value) + known(anchor[k]));
  const lever = leverOf(hold.centroid, at);
  const factors = Float64Array.from({ length: 3 }, (_, k) => direction[0] * lever[k] + direction[1] * lever[3 + k]);
  return Math.sqrt(quadratic(covariance, factors));
}
