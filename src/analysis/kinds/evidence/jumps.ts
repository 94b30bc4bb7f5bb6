import type { History } from "../../../measure/statistics/history.ts";
import {
  coefficientsOf,
  type Regression,
  startRegression,
  withColumn,
} from "../../../measure/statistics/regression.ts";
import { eventOf, only, type Reading, type SeriesEvent, valueAt } from "./series-event.ts";

// Steps and single frames of a history, put together to what happened at once: a jump caught on its way is one step, a
// jump that is taken back later is one step that ended.

/** Effects go the same way where this share of one is along the other; steps in neighbouring rows are one jump then. */
export const ALIKE = 0.7;
const NEIGHBOURS = 2;
/** A jump of which less than this share is left after a later one was put right by it. */
const PUT_RIGHT = 0.35;
/** Rows on either side between which a step must be seen, and the share of it that must be. */
const SURROUNDINGS = 8;
const SHARP = 0.5;

/** All steps in the order of rows, those that follow each other at once and go the same way taken together. */
export function joinedSteps(history: History, reading: Reading): SeriesEvent[] {
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

/** Steps without those that another took back: it ended them. */
export function takenBack(steps: readonly SeriesEvent[], reading: Reading): SeriesEvent[] {
  const told: SeriesEvent[] = [];
  for (const step of steps) {
    const before = told.at(-1);
    const left = before === undefined ? 1 : reading.sizeOf(before.value.map((value, d) => value + step.value[d]));
    if (before !== undefined && !before.putRight && left < PUT_RIGHT * reading.sizeOf(before.value)) {
      const lastRow = step.row - 1;
      const to = reading.frames[lastRow];
      const course = before.course.map((on, k) => on + step.course[k]);
      told[told.length - 1] = { ...before, lastRow, to, course, unsettled: false, putRight: true };
    } else {
      told.push(step);
    }
  }
  return told;
}

/** All single frames; two that follow each other and are alike are a jump that was put right. */
export function singleFrames(history: History, reading: Reading): SeriesEvent[] {
  const pops = history.events
    .flatMap(({ shape }, k) => (shape.kind === "pop" ? [{ at: shape.at, k }] : []))
    .sort((a, b) => a.at - b.at)
    .map(({ at, k }) => {
      const own = only(history, (_, other) => other === k);
      return eventOf(history, reading, "pop", [at, at], own);
    });
  const told: SeriesEvent[] = [];
  for (const pop of pops) {
    const before = told.at(-1);
    if (before !== undefined && before.lastRow === pop.row - 1 && isAlike(pop, before, reading)) {
      // The mean of the rows.
      const rows = pop.row - before.row + 1;
      const both = before.combination.map((value, k) => (value * (rows - 1) + pop.combination[k]) / rows);
      const course = before.course.map((on, k) => on + pop.course[k]);
      const joined = eventOf(history, reading, "step", [before.row, pop.row], both, course);
      told[told.length - 1] = { ...joined, putRight: true };
    } else {
      told.push(pop);
    }
  }
  return told;
}

/** Steps that took in the single frames in which they were caught on their way, and the frames that are left. */
export function caughtOnTheWay(
  steps: readonly SeriesEvent[],
  pops: readonly SeriesEvent[],
  reading: Reading,
): { readonly steps: readonly SeriesEvent[]; readonly pops: readonly SeriesEvent[] } {
  const taken = new Set<SeriesEvent>();
  const whole = steps.map((step) => {
    const size = reading.sizeOf(step.value);
    const share = (pop: SeriesEvent) => reading.along(pop.value, step.value) / size;
    const early = pops.find(({ family, row }) => family === "pop" && row === step.row - 1);
    const late = pops.find(({ family, row }) => family === "pop" && row === step.row);
    if (late !== undefined && share(late) < 0 && share(late) > -1) taken.add(late);
    if (early === undefined || share(early) <= 0 || share(early) >= 1) return step;
    taken.add(early);
    return { ...step, row: early.row, from: early.from };
  });
  return { steps: whole, pops: pops.filter((pop) => !taken.has(pop)) };
}

/** True where the event goes the same way as the one before, and about as far. */
function isAlike(event: SeriesEvent, before: SeriesEvent, reading: Reading): boolean {
  const along = reading.along(event.value, before.value);
  return along > ALIKE * Math.max(reading.sizeOf(event.value), reading.sizeOf(before.value));
}

/** True for a step that is seen between its neighbours. */
export const isSharp = (history: History, reading: Reading, step: SeriesEvent): boolean =>
  sharpness(history, reading, step) >= SHARP;

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
