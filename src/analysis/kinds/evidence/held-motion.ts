import { breathingOf } from "../../../measure/statistics/breathing.ts";
import type { History } from "../../../measure/statistics/history.ts";
import { propagated, whitenedSquare } from "../../../measure/statistics/matrix.ts";
import type { FrameNumber } from "../../../units/index.ts";
import { columnOf } from "../../../measure/statistics/shapes.ts";
import type { Hold, JudgeInput } from "../../series.ts";
import { storyOf } from "./events.ts";
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
  /** What somebody did to it on purpose, one for each mark that can be told in this hold. */
  readonly corrections: readonly Correction[];
}

/** Something that was done to a part on purpose before a frame was taken. */
export interface Correction {
  readonly mark: PlacedMark;
  readonly event: MotionEvent;
}

/** What decides whether a step matters: its band, px, and the outlines that go where the part goes, its own included. */
export interface Reach {
  readonly outlines: readonly Ring[];
  readonly band: number;
}

type PlacedMark = JudgeInput["marks"][number];

/** Marked rows of a series: the first frame at or after each mark, where there are frames before it too. */
function markedRows(rows: readonly HeldRow[], marks: readonly PlacedMark[]): { mark: PlacedMark; row: number }[] {
  const placed = marks.map((mark) => ({ mark, row: rows.findIndex(({ frame }) => frame >= mark.frame) }));
  return placed.filter(({ row }, i) => row > 0 && placed.findIndex((other) => other.row === row) === i);
}

/**
 * Everything that happened to the part, significant by its own thresholds; null where nothing can be told.
 * @param marks where somebody moved it, or what carries it, on purpose
 */
export function heldMotion(
  held: HeldSeries,
  reach: Reach,
  marks: readonly PlacedMark[] = [],
  live = false,
): HeldMotion | null {
  const { hold, rows, series, axes } = held;
  const trendOnly = hold.intent === "alive";
  const breathing = trendOnly ? breathingOf(series, axes[0]) : null;
  const waves = breathing?.columns ?? [];
  const placed = markedRows(rows, marks);
  const history = historyOf("held", series, axes, {
    straight: trendOnly,
    base: [...waves, ...placed.map(({ row }) => columnOf({ kind: "step", at: row }, axes, rows.length))],
    live,
    ...(breathing?.hasTrend === false ? { families: [] } : {}),
  });
  if (history === null) return null;
  const settles = (frame: FrameNumber) => hold.afterMove && frame - hold.anchor <= GRACE_FRAMES;
  const first = 1 + waves.length;
  const story = storyOf(
    history,
    readingOf(held, reach, trendOnly),
    placed.map(({ row }, i) => ({ row, column: first + i })),
  );
  const moved = (event: SeriesEvent): MotionEvent => ({
    ...event,
    motion: motionOf(event.value, event.covariance, hold.centroid),
  });
  return {
    held,
    history,
    events: story.events.filter((event) => event.family !== "step" || !settles(event.from)).map(moved),
    corrections: story.corrections.map((event, i) => ({ mark: placed[i].mark, event: moved(event) })),
  };
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
      return reportedSigmas(hold, rows[row], motion(value), at);
    },
    trendOnly,
  };
}

/**
 * Reported sigmas of a row at a point that a motion is away from nothing, the anchor's error in them. By the whole
 * covariance: on stripes, what can't be told along them says nothing against what is plain across.
 */
function reportedSigmas(hold: Hold, row: HeldRow, motion: RigidMotion, at: Point): number {
  const known = (value: number) => (Number.isFinite(value) ? value : 0);
  const anchor = anchorRow(hold).covariance;
  const covariance = row.covariance.map((value, k) => known(value) + known(anchor[k]));
  const there = propagated(leverOf(hold.centroid, at), 2, covariance, 3);
  return Math.sqrt(whitenedSquare(there, Float64Array.from(displacementAt(motion, at))));
}
