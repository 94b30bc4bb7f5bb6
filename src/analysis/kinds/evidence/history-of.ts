import { explain, type ExplainOptions, type History } from "../../../measure/statistics/explain.ts";
import type { Series } from "../../../measure/statistics/explain.ts";
import type { Family } from "../../../measure/statistics/shapes.ts";
import { type SeriesName, thresholdsFor, type Thresholds } from "../threshold-at.ts";

/** Rows that it takes to tell one event. */
const ROWS_AN_EVENT = 3;
const MOST_EVENTS = 12;

/** What may happen in each kind of series, and how it is told where two shapes are one (a step in the last row is a pop). */
const menus: Readonly<Record<SeriesName, { readonly families: readonly Family[]; readonly singleEnds: boolean }>> = {
  held: { families: ["slow", "step", "pop"], singleEnds: false },
  camera: { families: ["slow", "step", "pop"], singleEnds: false },
  light: { families: ["slow", "step", "pop"], singleEnds: true },
  shape: { families: ["slow", "step", "pop"], singleEnds: true },
};

export interface HistoryChoice {
  /** Only a straight slow line: for a part that is alive, whose path bends on purpose. */
  readonly trendOnly?: boolean;
  /** Other thresholds than the table's: for the simulation that makes the table. */
  readonly thresholds?: Thresholds;
}

/** The history of a series of one kind under the thresholds for its length. */
export function historyOf(
  name: SeriesName,
  series: Series,
  axes: readonly Float64Array[],
  choice: HistoryChoice = {},
): History | null {
  const rows = series.weights.length;
  const { families, singleEnds } = menus[name];
  const last = rows - 1;
  const options: ExplainOptions = {
    axes,
    families: choice.trendOnly === true ? ["slow"] : families,
    bends: choice.trendOnly !== true,
    steps: singleEnds ? [2, last - 1] : [1, last],
    pops: singleEnds ? [0, last] : [1, last - 1],
    thresholds: choice.thresholds ?? thresholdsFor(name, rows),
    most: Math.max(1, Math.min(MOST_EVENTS, Math.floor(rows / ROWS_AN_EVENT))),
  };
  return explain(series, options);
}
