import type { History } from "../../../measure/statistics/history.ts";
import { inverse } from "../../../measure/statistics/matrix.ts";
import { mannKendall } from "../../../measure/statistics/mann-kendall.ts";
import { ALIKE, caughtOnTheWay, isSharp, joinedSteps, singleFrames, takenBack } from "./jumps.ts";
import { atRow, eventOf, only, type Reading, type SeriesEvent, valueAt } from "./series-event.ts";

// From the columns of a history to what people would call its events: bends and lines are one slow drift, with the steps
// that are no cause of their own.

/** A trend by ranks must be this unlikely by chance to agree with a slope. */
const TREND_CHANCE = 0.05;
/** A drift is there from the first frame in which it passes this many reported sigmas. */
const ONSET_SIGMAS = 3;
/** A step below this share of the slow drift beside it is part of that drift: no law of creep fits to the last digit. */
const STEP_OF_DRIFT = 0.1;
/** Creep is fastest at its start: up to this row a smaller step that goes the way of the drift is its first rush. */
const START_ROWS = 3;
/** A drift that begins within so many rows of a step may be its settling. */
const SETTLING_ROWS = 2;

/** Of a drift that was put right, this share must have been there before: it did not go on afterwards. */
const ENDED = 0.8;

/** What happened in a series, and what people did to it on purpose. */
export interface SeriesStory {
  /** In the order of frames; bands are not asked here. */
  readonly events: readonly SeriesEvent[];
  /** One step for each mark, in the order of the marks. */
  readonly corrections: readonly SeriesEvent[];
}

/** A row at which somebody moved the part on purpose, and the column of the history that fits it. */
export interface Marked {
  readonly row: number;
  readonly column: number;
}

export const eventsOf = (history: History, reading: Reading): readonly SeriesEvent[] =>
  storyOf(history, reading, []).events;

export function storyOf(history: History, reading: Reading, marked: readonly Marked[]): SeriesStory {
  const corrections = marked.map(({ row, column }) => {
    const own = Float64Array.from(history.columns, (_, k) => (k === column ? 1 : 0));
    return eventOf(history, reading, "step", [row, reading.frames.length - 1], own);
  });
  const jumps = caughtOnTheWay(joinedSteps(history, reading), singleFrames(history, reading), reading);
  const small = stepsOfDrift(history, reading, jumps.steps);
  const slow = slowEvent(history, reading, small);
  const own = slow === null ? jumps.steps : jumps.steps.filter((step) => !small.includes(step));
  const settled = slow === null ? undefined : own.find((step) => isSettlingOf(step, slow, reading));
  const told = own.map((step) =>
    step === settled && slow !== null ? togetherWith(step, slow, history, reading) : step,
  );
  const drift = slow === null || settled !== undefined ? [] : [endedBy(slow, corrections, history, reading)];
  const steps = takenBack(
    [...told, ...corrections].sort((a, b) => a.row - b.row),
    reading,
  ).filter((step) => !corrections.includes(step));
  const events = [...drift, ...steps, ...jumps.pops];
  return { events: events.sort((a, b) => a.row - b.row), corrections };
}

/** The drift up to where somebody put it right, if it did not go on from there. */
function endedBy(
  slow: SeriesEvent,
  corrections: readonly SeriesEvent[],
  history: History,
  reading: Reading,
): SeriesEvent {
  const size = (row: number) => reading.sizeOf(valueAt(history, slow.course, row));
  const end = corrections.find(
    ({ row, value }) =>
      row > slow.row &&
      row <= slow.lastRow &&
      reading.along(value, slow.value) < 0 &&
      size(row - 1) > ENDED * size(slow.lastRow),
  );
  if (end === undefined) return slow;
  const lastRow = end.row - 1;
  const event = eventOf(
    history,
    reading,
    "slow",
    [slow.row, lastRow],
    atRow(history, slow.course, lastRow),
    slow.course,
  );
  return { ...event, statistic: slow.statistic, begun: size(slow.row) / (size(lastRow) || 1) };
}

/** True for a slow drift that begins with a step and takes part of it back: what was knocked springs back a little. */
function isSettlingOf(step: SeriesEvent, slow: SeriesEvent, reading: Reading): boolean {
  const size = reading.sizeOf(slow.value);
  const back = -reading.along(slow.value, step.value) > ALIKE * size && size < reading.sizeOf(step.value);
  return back && Math.abs(slow.row - step.row) <= SETTLING_ROWS;
}

/** The step with its settling: what stays of it. */
function togetherWith(step: SeriesEvent, slow: SeriesEvent, history: History, reading: Reading): SeriesEvent {
  const both = step.combination.map((value, k) => value + slow.combination[k]);
  const course = step.course.map((on, k) => Math.max(on, slow.course[k]));
  return { ...eventOf(history, reading, "step", [step.row, step.lastRow], both, course), unsettled: step.unsettled };
}

/**
 * The steps that are no cause of their own: within their band or too small beside the slow drift, not seen between their
 * neighbours, or at the start of a hold the way that the drift goes on. What is told of the drift has them in it.
 */
function stepsOfDrift(history: History, reading: Reading, steps: readonly SeriesEvent[]): SeriesEvent[] {
  const slow = only(history, (family) => family === "slow");
  const end = valueAt(history, slow, reading.frames.length - 1);
  const whole = reading.sizeOf(end);
  return steps.filter((step) => {
    const size = reading.sizeOf(step.value);
    const begins = step.row <= START_ROWS && size < whole && reading.along(step.value, end) > ALIKE * size;
    const small = slow.includes(1) && !reading.matters(step.value);
    return begins || small || size < STEP_OF_DRIFT * whole || !isSharp(history, reading, step);
  });
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
  const event = eventOf(history, reading, "slow", [0, lastRow], atRow(history, whole, lastRow), whole);
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
  // Along the drift as the noise lets it be told: on stripes what is unknown along them would drown it.
  const precision = inverse(history.covariance, dims);
  const toward =
    precision === null
      ? null
      : value.map((_, d) => value.reduce((sum, entry, e) => sum + entry * precision[d * dims + e], 0));
  const trace: number[] = [];
  for (let row = first; row <= lastRow; row++) {
    const left = history.residual.subarray(row * dims, (row + 1) * dims);
    const whole = valueAt(history, chosen, row).map((entry, d) => entry + left[d]);
    trace.push(
      toward === null ? reading.along(whole, value) : whole.reduce((sum, entry, d) => sum + entry * toward[d], 0),
    );
  }
  const { s, p } = mannKendall(trace);
  const pairs = (trace.length * (trace.length - 1)) / 2;
  return s > 0 && (p < TREND_CHANCE || s === pairs);
}
