import { effectOf, type History, statisticOf } from "../../../measure/statistics/history.ts";
import { type Family, familyOf } from "../../../measure/statistics/shapes.ts";
import type { FrameNumber } from "../../../units/index.ts";

// What people would call one event of a series: one slow drift, one jump, one frame out.

export interface SeriesEvent {
  readonly family: Family;
  /** Rows of the series at which it begins, and at which its size is told. */
  readonly row: number;
  readonly lastRow: number;
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  /** Effect in each series at `lastRow`, and its covariance. */
  readonly value: Float64Array;
  readonly covariance: Float64Array;
  /** Standard errors of the event beside all others, and what it had to exceed. */
  readonly statistic: number;
  readonly threshold: number;
  /** One factor for each column of the history: its effect is `value`. */
  readonly combination: Float64Array;
  /** Factors of the columns that make the event's own course, row by row. */
  readonly course: Float64Array;
  /** A step in the last row: the next frame will tell whether it is a pop. */
  readonly unsettled: boolean;
  /** A step that a later one took back: `to` is the last frame before. */
  readonly putRight: boolean;
  /** Of a slow drift: the share of its size that was there at `from` already. */
  readonly begun: number;
}

/** What the numbers of a series stand for. */
export interface Reading {
  /** Frame of each row. */
  readonly frames: readonly FrameNumber[];
  /** Size of an effect in the unit of its band. */
  sizeOf(value: Float64Array): number;
  /** The same of `value`, signed, where and in the direction in which `reference` is largest. */
  along(value: Float64Array, reference: Float64Array): number;
  /** True where the effect is beyond the band of a step: a smaller one is no cause of its own beside a slow drift. */
  matters(value: Float64Array): boolean;
  /** Where the onset of a slow drift is read: its size there at a row, in reported sigmas of that row. */
  sigmas(value: Float64Array, row: number, end: Float64Array): number;
  /** True: the series follows a path on purpose and only its trend counts. */
  readonly trendOnly: boolean;
}

/** 1 for the columns of the chosen events; those of the intercept and the base come before them. */
export function only(history: History, chosen: (family: Family, k: number) => boolean): Float64Array {
  const first = history.columns.length - history.events.length;
  return Float64Array.from(history.columns, (_, column) => {
    const k = column - first;
    return k >= 0 && chosen(familyOf(history.events[k].shape), k) ? 1 : 0;
  });
}

export function eventOf(
  history: History,
  { frames }: Reading,
  family: Family,
  rows: readonly [number, number],
  combination: Float64Array,
  course: Float64Array = combination,
): SeriesEvent {
  const effect = effectOf(history, combination);
  const [row, lastRow] = rows;
  return {
    family,
    row,
    lastRow,
    from: frames[row],
    to: frames[lastRow],
    value: effect.value,
    covariance: effect.covariance,
    statistic: statisticOf(history, effect),
    threshold: history.thresholds[family],
    combination,
    course,
    unsettled: false,
    putRight: false,
    begun: 0,
  };
}

/** The chosen columns' factors at a row. */
export const atRow = (history: History, chosen: Float64Array, row: number): Float64Array =>
  chosen.map((on, k) => on * history.columns[k][row]);

export const valueAt = (history: History, chosen: Float64Array, row: number): Float64Array =>
  effectOf(history, atRow(history, chosen, row)).value;

/** The event's own course at a row with what is left there, the zero of the series and all that else happened taken out. */
export function courseAt(history: History, { course, value }: SeriesEvent, row: number): Float64Array {
  const dims = value.length;
  return valueAt(history, course, row).map((entry, d) => entry + history.residual[row * dims + d]);
}
