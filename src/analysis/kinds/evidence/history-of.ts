import { explain } from "../../../measure/statistics/explain.ts";
import type { History, Series } from "../../../measure/statistics/history.ts";
import { columnOf, type Family, familyOf } from "../../../measure/statistics/shapes.ts";
import { type SeriesName, type Thresholds, thresholdsFor } from "../threshold-at.ts";
import { restlessness } from "./restlessness.ts";

/** Rows that it takes to tell one event. */
const ROWS_AN_EVENT = 3;
/** In two rows a drift and a step are the same. */
const ROWS_TO_DRIFT = 3;
const MOST_EVENTS = 12;
const MOST_OF_LIGHT = 24;
/** Light wanders: a frame is judged beside a curve with a knee every so many rows. */
const ROWS_A_KNEE = 10;
const ROWS_TO_CURVE = 6;

export interface HistoryChoice {
  readonly families?: readonly Family[];
  /** Only a straight slow line: for a part that is alive, whose path bends on purpose. */
  readonly straight?: boolean;
  /** Where a step and a single frame can't be told apart, at either end, tell the single frame. */
  readonly singleEnds?: boolean;
  readonly base?: readonly Float64Array[];
  /** Other thresholds than the table's: for the simulation that makes the table. */
  readonly thresholds?: Thresholds | undefined;
  /** Steps and single frames at the ends can't be told from a path that bends there: they are not tried. */
  readonly inside?: boolean;
  /** The series is judged after every frame. */
  readonly live?: boolean | undefined;
}

/** The history of a series of one kind, under the thresholds for its length. */
export function historyOf(
  name: SeriesName,
  series: Series,
  axes: readonly Float64Array[],
  { families, straight = false, singleEnds = false, base = [], thresholds, live, inside = false }: HistoryChoice = {},
): History | null {
  const rows = series.weights.length;
  const last = rows - 1;
  const most = name === "light" || name === "shape" ? MOST_OF_LIGHT : MOST_EVENTS;
  return explain(series, {
    axes,
    families: (families ?? (straight ? ["slow"] : ["slow", "step", "pop"])).filter(
      (family) => family !== "slow" || rows >= ROWS_TO_DRIFT,
    ),
    slow: straight ? "line" : "curves",
    steps: inside ? [2, last - 2] : singleEnds ? [2, last - 1] : [1, last],
    pops: inside ? [2, last - 2] : singleEnds ? [0, last] : [1, last - 1],
    thresholds: thresholds ?? thresholdsFor(name, rows, live),
    most: Math.max(1, Math.min(most, Math.floor(rows / ROWS_AN_EVENT))),
    base,
  });
}

/** Thresholds for a series of light or focus: a single one is judged by how restless it is. */
export function lightThresholds(name: SeriesName, series: Series, live = false): Thresholds {
  const { slow, step, pop } = thresholdsFor(name, series.weights.length, live);
  const factor = series.dims === 1 ? restlessness(series) : 1;
  return { slow: factor * slow, step: factor * step, pop: factor * pop };
}

/**
 * Light in passes: first whatever is plain; then each frame against its neighbours, which is single frames beside a smooth
 * curve and the steps found; then steps and slow changes beside these frames. The last two are what happened.
 */
export function lightHistories(
  name: SeriesName,
  series: Series,
  axis: Float64Array,
  { thresholds: given, live }: Pick<HistoryChoice, "thresholds" | "live"> = {},
): readonly History[] {
  const thresholds = given ?? lightThresholds(name, series, live);
  const columns = (history: History | null, family: Family) =>
    (history?.events ?? [])
      .filter(({ shape }) => familyOf(shape) === family)
      .map(({ shape }) => columnOf(shape, [axis], axis.length));
  const plain = historyOf(name, series, [axis], { singleEnds: true, thresholds });
  const base = [...smoothCurve(axis), ...columns(plain, "step")];
  const frames = historyOf(name, series, [axis], { families: ["pop"], singleEnds: true, base, thresholds });
  const rest = historyOf(name, series, [axis], {
    families: ["slow", "step"],
    singleEnds: true,
    base: columns(frames, "pop"),
    thresholds,
  });
  return [frames, rest].filter((history) => history !== null);
}

/** A line that may bend at knees spread evenly; nothing for a few rows. */
function smoothCurve(axis: Float64Array): readonly Float64Array[] {
  const rows = axis.length;
  if (rows < ROWS_TO_CURVE) return [];
  const knees = Math.floor(rows / ROWS_A_KNEE);
  return Array.from({ length: knees + 1 }, (_, k) => {
    const at = Math.round((k * (rows - 1)) / (knees + 1));
    return columnOf(k === 0 ? { kind: "line", axis: 0 } : { kind: "hinge", axis: 0, at }, [axis], rows);
  });
}
