import { effectOf, type History, statisticOf } from "../../../measure/statistics/history.ts";
import { mannKendall } from "../../../measure/statistics/mann-kendall.ts";
import {
  coefficientsOf,
  type Regression,
  startRegression,
  withColumn,
} from "../../../measure/statistics/regression.ts";
import { type Family, familyOf } from "../../../measure/statistics/shapes.ts";
import type { FrameNumber } from "../../../units/index.ts";

// From the columns of a history to what people would call one event: bends and lines are one slow drift, a jump caught
// on its way is one step, a jump that is taken back later is one step that ended.

/** A trend by ranks must be this unlikely by chance to agree with a slope. */
const TREND_CHANCE = 0.05;
/** A drift is there from the first frame in which it passes this many reported sigmas. */
const ONSET_SIGMAS = 3;
/** A step below this share of the slow drift beside it is part of that drift: no law of creep fits to the last digit. */
const STEP_OF_DRIFT = 0.25;
/** Steps in neighbouring rows that go the same way by this share of their size are one jump. */
const ALIKE = 0.7;
const NEIGHBOURS = 2;
/** A jump of which less than this share is left after a later one was put right by it. */
const PUT_RIGHT = 0.35;

/** Rows on either side between which a step must be seen, and the share of it that must be. */
const SURROUNDINGS = 8;
const SHARP = 0.5;

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
  /** Where the onset of a slow drift is read: its size there at a row, in reported sigmas of that row. */
  sigmas(value: Float64Array, row: number, end: Float64Array): number;
  /** True: the series follows a path on purpose and only its trend counts. */
  readonly trendOnly: boolean;
}

/** All events of a history, in the order of frames; bands are not asked here. */
export function eventsOf(history: History, reading: Reading): SeriesEvent[] {
  const steps = joinedSteps(history, reading);
  const small = stepsOfDrift(history, reading, steps);
  const slow = slowEvent(history, reading, small);
  const own = slow === null ? steps : steps.filter((step) => !small.includes(step));
  const events = [...(slow === null ? [] : [slow]), ...takenBack(own, reading), ...popEvents(history, reading)];
  return events.sort((a, b) => a.row - b.row);
}

/** 1 for the columns of the chosen events; those of the intercept and the base come before them. */
function only(history: History, chosen: (family: Family, k: number) => boolean): Float64Array {
  const first = history.columns.length - history.events.length;
  return Float64Array.from(history.columns, (_, column) => {
    const k = column - first;
    return k >= 0 && chosen(familyOf(history.events[k].shape), k) ? 1 : 0;
  });
}

function eventOf(
  history: History,
  { frames }: Reading,
  family: Family,
  rows: readonly [number, number],
  combination: Float64Array,
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
    unsettled: false,
    putRight: false,
    begun: 0,
  };
}

function popEvents(history: History, reading: Reading): SeriesEvent[] {
  return history.events.flatMap(({ shape }, k) => {
    const chosen = only(history, (_, other) => other === k);
    return shape.kind === "pop" ? [eventOf(history, reading, "pop", [shape.at, shape.at], chosen)] : [];
  });
}

/** All steps in the order of rows, those that follow each other at once and go the same way taken together. */
function joinedSteps(history: History, reading: Reading): SeriesEvent[] {
  const last = reading.frames.length - 1;
  const steps = history.events
    .flatMap(({ shape }, k) => (shape.kind === "step" ? [{ at: shape.at, k }] : []))
    .sort((a, b) => a.at - b.at)
    .map(({ at, k }) =>
      eventOf(
        history,
        reading,
        "step",
        [at, last],
        only(history, (_, other) => other === k),
      ),
    );
  const joined: SeriesEvent[] = [];
  let lastAt = Number.NEGATIVE_INFINITY;
  for (const step of steps) {
    const before = joined.at(-1);
    const alike = before !== undefined && reading.along(step.value, before.value) > ALIKE * reading.sizeOf(step.value);
    if (before !== undefined && alike && step.row - lastAt <= NEIGHBOURS) {
      const both = before.combination.map((value, k) => value + step.combination[k]);
      joined[joined.length - 1] = eventOf(history, reading, "step", [before.row, last], both);
    } else {
      joined.push(step);
    }
    lastAt = step.row;
  }
  return joined.map((step) => ({ ...step, unsettled: step.row === last }));
}

function takenBack(steps: readonly SeriesEvent[], reading: Reading): SeriesEvent[] {
  const told: SeriesEvent[] = [];
  for (const step of steps) {
    const before = told.at(-1);
    const left = before === undefined ? 1 : reading.sizeOf(before.value.map((value, d) => value + step.value[d]));
    if (before !== undefined && !before.putRight && left < PUT_RIGHT * reading.sizeOf(before.value)) {
      const lastRow = step.row - 1;
      const to = reading.frames[lastRow];
      told[told.length - 1] = { ...before, lastRow, to, unsettled: false, putRight: true };
    } else {
      told.push(step);
    }
  }
  return told;
}

/** The chosen columns' factors at a row. */
const atRow = (history: History, chosen: Float64Array, row: number): Float64Array =>
  chosen.map((on, k) => on * history.columns[k][row]);

const valueAt = (history: History, chosen: Float64Array, row: number): Float64Array =>
  effectOf(history, atRow(history, chosen, row)).value;

/** The steps that are no cause of their own: too small beside the slow drift, or not seen between their neighbours. */
function stepsOfDrift(history: History, reading: Reading, steps: readonly SeriesEvent[]): SeriesEvent[] {
  const slow = only(history, (family) => family === "slow");
  const end = reading.sizeOf(valueAt(history, slow, reading.frames.length - 1));
  return steps.filter(
    (step) => reading.sizeOf(step.value) < STEP_OF_DRIFT * end || sharpness(history, reading, step) < SHARP,
  );
}

/**
 * How much of a step is a jump between the rows around it: a line and a step fitted to these alone. Where a series
 * wanders, a step far from its ends is a cheap way to fit it, and no jump.
 */
function sharpness(history: History, reading: Reading, step: SeriesEvent): number {
  const first = Math.max(0, step.row - SURROUNDINGS);
  const last = Math.min(reading.frames.length, step.row + SURROUNDINGS) - 1;
  const rows = last - first + 1;
  const dims = step.value.length;
  if (rows < 4) return 1;
  const kept = only(history, (family) => family === "slow").map((on, k) => Math.max(on, step.combination[k]));
  const values = new Float64Array(rows * dims);
  for (let i = 0; i < rows; i++) {
    const value = valueAt(history, kept, first + i);
    const left = (first + i) * dims;
    for (let d = 0; d < dims; d++) values[i * dims + d] = value[d] + history.residual[left + d];
  }
  const columns = [
    new Float64Array(rows).fill(1),
    Float64Array.from({ length: rows }, (_, i) => i),
    Float64Array.from({ length: rows }, (_, i) => stepShare(history, step, first + i)),
  ];
  let local: Regression | null = startRegression(values, dims, new Float64Array(rows).fill(1));
  for (const column of columns) local = local === null ? null : withColumn(local, column);
  const coefficients = local === null ? null : coefficientsOf(local, values);
  if (coefficients === null) return 1;
  return reading.along(coefficients.values.subarray(2 * dims), step.value) / reading.sizeOf(step.value);
}

/** How much of a step has happened by a row: 0 before, 1 after, between where it took more than one. */
function stepShare(history: History, { combination }: SeriesEvent, row: number): number {
  const whole = combination.reduce((sum, on) => sum + on, 0);
  return combination.reduce((sum, on, k) => sum + on * history.columns[k][row], 0) / whole;
}

/** The drift of all slow columns together, with the small steps that belong to it. */
function slowEvent(history: History, reading: Reading, small: readonly SeriesEvent[]): SeriesEvent | null {
  const slow = only(history, (family) => family === "slow");
  if (!slow.includes(1) && small.length === 0) return null;
  const whole = slow.map((on, k) => Math.max(on, ...small.map((step) => step.combination[k])));
  const last = reading.frames.length - 1;
  const sizes = reading.frames.map((_, row) => reading.sizeOf(valueAt(history, whole, row)));
  // A drift that came and went is told where it was largest.
  const peak = sizes.indexOf(Math.max(...sizes));
  const lastRow = sizes[peak] > 2 * sizes[last] ? peak : last;
  const event = eventOf(history, reading, "slow", [0, lastRow], atRow(history, whole, lastRow));
  // A path on purpose is correlated noise to its trend: fewer rows count.
  const share = reading.trendOnly ? (1 - history.correlation) / (1 + history.correlation) : 1;
  const statistic = event.statistic * Math.sqrt(share);
  const row = onsetRow(history, reading, whole, event);
  if (statistic <= event.threshold || !trendAgrees(history, reading, whole, event, row)) return null;
  return { ...event, row, from: reading.frames[row], statistic, begun: sizes[row] / (sizes[lastRow] || 1) };
}

/** First row from which on the drift stays beyond the reported noise. */
function onsetRow(history: History, reading: Reading, chosen: Float64Array, event: SeriesEvent): number {
  let onset = event.lastRow;
  for (let row = event.lastRow; row >= 0; row--) {
    if (!(reading.sigmas(valueAt(history, chosen, row), row, event.value) > ONSET_SIGMAS)) break;
    onset = row;
  }
  return onset;
}

/** Mann-Kendall on the drift and what is left beside it, from as many rows before the onset as there are after it. */
function trendAgrees(
  history: History,
  reading: Reading,
  chosen: Float64Array,
  { value, lastRow }: SeriesEvent,
  onset: number,
): boolean {
  const dims = value.length;
  const first = Math.max(0, Math.min(2 * onset - lastRow - 1, lastRow - 4));
  const trace: number[] = [];
  for (let row = first; row <= lastRow; row++) {
    const left = history.residual.subarray(row * dims, (row + 1) * dims);
    const whole = valueAt(history, chosen, row).map((entry, d) => entry + left[d]);
    trace.push(reading.along(whole, value));
  }
  const { s, p } = mannKendall(trace);
  const pairs = (trace.length * (trace.length - 1)) / 2;
  return s > 0 && (p < TREND_CHANCE || s === pairs);
}
