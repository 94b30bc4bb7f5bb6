import type { History } from "../../../measure/statistics/history.ts";
import {
  coefficientsOf,
  type Regression,
  startRegression,
  withColumn,
} from "../../../measure/statistics/regression.ts";
import type { FrameRow } from "../../series.ts";
import { eventsOf } from "./events.ts";
import type { Reading, SeriesEvent } from "./series-event.ts";
import { lightHistories } from "./history-of.ts";

// What the light did: the frame's mean gain, and the shape of the gain field, which exposure flicker can't change. Each
// frame is judged against the shot's own flicker without it (leave-one-out, after the slow changes are taken out): the
// median absolute deviation of even flicker is too wide and would hide a lamp.

/** Flicker that is expected before the shot is seen, stops, rms: 0.7 % in the mean, half of it at a node of the shape. */
export const expectedFlicker = { mean: 0.01, shape: 0.005 } as const;
/** The expectation counts as this many frames: the mean's own flicker is told in any shot, the shape's five series take more. */
export const FLICKER_ROWS = 2;
export const SHAPE_ROWS = 4;

/** Nodes of the lattice on which the shape of the light is told. */
export const LATTICE_COLS = 4;
export const LATTICE_ROWS = 3;
const NODES = LATTICE_COLS * LATTICE_ROWS;

export interface LightChange extends SeriesEvent {
  readonly of: "mean" | "shape";
  /** Change in stops: of the mean; of the shape, of the region that changed most against the one that changed least. */
  readonly stops: number;
  readonly sigma: number;
  /** Change at each node of the lattice, stops; empty for the mean. */
  readonly nodes: Float64Array;
}

interface LightRow {
  readonly frame: FrameRow["frame"];
  readonly values: readonly number[];
}

function seriesOf(rows: readonly LightRow[], flicker: number, priorRows: number) {
  const dims = rows[0].values.length;
  const covariance = new Float64Array(dims * dims);
  for (let d = 0; d < dims; d++) covariance[d * dims + d] = flicker ** 2;
  return {
    values: Float64Array.from(rows.flatMap((row) => row.values)),
    dims,
    weights: new Float64Array(rows.length).fill(1),
    prior: { covariance, rows: priorRows },
  };
}

const axisOf = (rows: readonly LightRow[]): Float64Array => Float64Array.from(rows, (row) => row.frame - rows[0].frame);

/**
 * Changes of the frame's mean light.
 *
 * @param stepBand stops up to which a step beside a trend is part of it
 */
export function meanChanges(frames: readonly FrameRow[], stepBand: number, live = false): LightChange[] {
  const rows = frames
    .filter((row) => Number.isFinite(row.lightStops))
    .map((row) => ({ frame: row.frame, values: [row.lightStops] }));
  if (rows.length < 2) return [];
  return lightHistories("light", seriesOf(rows, expectedFlicker.mean, FLICKER_ROWS), axisOf(rows), { live }).flatMap(
    (history) =>
      eventsOf(history, meanReading(rows, Math.sqrt(history.covariance[0]), stepBand)).map((event) => ({
        ...event,
        of: "mean" as const,
        stops: event.value[0],
        sigma: Math.sqrt(event.covariance[0]),
        nodes: new Float64Array(0),
      })),
  );
}

function meanReading(rows: readonly LightRow[], flicker: number, stepBand: number): Reading {
  return {
    frames: rows.map((row) => row.frame),
    sizeOf: ([value]) => Math.abs(value),
    along: ([value], [reference]) => value * Math.sign(reference),
    matters: ([value]) => Math.abs(value) > stepBand,
    sigmas: ([value]) => Math.abs(value) / flicker,
    trendOnly: false,
  };
}

/** Smooth fields on the lattice, orthonormal and without a mean: two slopes, a twist and two bows. */
export const modes: readonly Float64Array[] = (() => {
  const field = (height: (x: number, y: number) => number) =>
    Float64Array.from({ length: NODES }, (_, node) =>
      height((node % LATTICE_COLS) - (LATTICE_COLS - 1) / 2, Math.floor(node / LATTICE_COLS) - (LATTICE_ROWS - 1) / 2),
    );
  const wanted = [field(() => 1), field((x) => x), field((_, y) => y), field((x, y) => x * y)];
  wanted.push(
    field((x) => x * x),
    field((_, y) => y * y),
  );
  let fit: Regression = startRegression(new Float64Array(NODES), 1, new Float64Array(NODES).fill(1));
  for (const column of wanted) fit = withColumn(fit, column) ?? fit;
  return fit.basis.slice(1);
})();

const inModes = (shape: readonly number[]): number[] =>
  modes.map((mode) => mode.reduce((sum, value, node) => sum + value * shape[node], 0));

const fromModes = (value: Float64Array): Float64Array =>
  Float64Array.from({ length: NODES }, (_, node) => modes.reduce((sum, mode, k) => sum + mode[node] * value[k], 0));

const spreadOf = (nodes: Float64Array): number => Math.max(...nodes) - Math.min(...nodes);

/** Changes of the light between regions of the picture; parameters as for the mean. */
export function shapeChanges(frames: readonly FrameRow[], stepBand: number, live = false): LightChange[] {
  const whole = frames.filter((row) => row.lightShape.length === NODES && row.lightShape.every(Number.isFinite));
  if (whole.length < 2) return [];
  const rows = whole.map((row) => ({ frame: row.frame, values: inModes(row.lightShape) }));
  return lightHistories("shape", seriesOf(rows, expectedFlicker.shape, SHAPE_ROWS), axisOf(rows), { live }).flatMap(
    (history) => {
      const atNodes = nodeEffects(history, whole);
      return eventsOf(history, shapeReading(rows, Math.sqrt(meanVariance(history.covariance)), stepBand)).map(
        (event) => {
          const nodes = atNodes(event.combination);
          const [low, high] = [Math.min(...nodes), Math.max(...nodes)];
          return {
            ...event,
            of: "shape" as const,
            stops: -low > high ? low - high : high - low,
            // The difference of two nodes.
            sigma: Math.sqrt(2 * meanVariance(event.covariance)),
            nodes,
          };
        },
      );
    },
  );
}

function shapeReading(rows: readonly LightRow[], flicker: number, stepBand: number): Reading {
  return {
    frames: rows.map((row) => row.frame),
    sizeOf: (value) => spreadOf(fromModes(value)),
    along: (value, reference) =>
      (value.reduce((sum, entry, k) => sum + entry * reference[k], 0) * spreadOf(fromModes(reference))) /
      (Math.hypot(...reference) ** 2 || 1),
    matters: (value) => spreadOf(fromModes(value)) > stepBand,
    sigmas: (value) => Math.hypot(...value) / flicker,
    trendOnly: false,
  };
}

/** Mean variance over the modes, which is a node's own where noise is even. */
function meanVariance(covariance: Float64Array): number {
  const dims = modes.length;
  return modes.reduce((sum, _, k) => sum + covariance[k * dims + k], 0) / dims;
}

/** The effect of a combination of the history's columns at every node: modes would smooth a single lamp away. */
function nodeEffects(history: History, rows: readonly FrameRow[]): (combination: Float64Array) => Float64Array {
  const values = Float64Array.from(rows.flatMap((row) => row.lightShape));
  let fit: Regression = startRegression(values, NODES, new Float64Array(rows.length).fill(1));
  for (const column of history.columns) fit = withColumn(fit, column) ?? fit;
  const coefficients = coefficientsOf(fit, values);
  return (combination) =>
    Float64Array.from({ length: NODES }, (_, node) =>
      coefficients === null
        ? Number.NaN
        : combination.reduce((sum, factor, k) => sum + factor * coefficients.values[k * NODES + node], 0),
    );
}
