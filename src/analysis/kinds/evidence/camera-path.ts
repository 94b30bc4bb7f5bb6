import type { History, Series } from "../../../measure/statistics/history.ts";
import { inverse, quadratic } from "../../../measure/statistics/matrix.ts";
import { type Regression, startRegression, withColumn } from "../../../measure/statistics/regression.ts";
import type { Prior } from "../../../measure/statistics/scan.ts";
import { columnOf } from "../../../measure/statistics/shapes.ts";
import { type Thresholds, thresholdsFor } from "../threshold-at.ts";
import { historyOf } from "./history-of.ts";

// A camera that is meant to move goes along a smooth path: rails and motors don't jump. What one frame, or all from one
// frame on, does beside it is told from what is left of a spline.

/** Frames between the knots of the spline, the smoothest first: the path may be slow or quick to start and stop. */
const SPACINGS = [12, 8, 5, 3];
/** A curve and what happens beside it can't be told in fewer rows. */
const ROWS_TO_JUDGE = 8;
const MOST_BENDS = 8;
/** A column of which less than this share is its own is not tried: the spline says the same. */
const OWN_PART = 1e-8;

/** The cubic B-spline about zero, of four unit pieces. */
function cubic(x: number): number {
  const far = Math.abs(x);
  if (far >= 2) return 0;
  return far >= 1 ? (2 - far) ** 3 / 6 : 2 / 3 - far * far + far ** 3 / 2;
}

/** Cubic B-splines with a knot about every so many frames. Together they make one, so one is left to the intercept. */
function splineColumns(axis: Float64Array, spacing: number): Float64Array[] {
  const span = axis[axis.length - 1] - axis[0];
  const pieces = Math.max(1, Math.round(span / spacing));
  return Array.from({ length: pieces + 2 }, (_, k) =>
    axis.map((value) => cubic(((value - axis[0]) * pieces) / span - k)),
  );
}

/** Log-evidence of a history's columns, times two, up to a constant (Schwarz 1978). */
function evidenceOf(history: History, { dims, prior, weights }: Series): number {
  const counted = weights.length + prior.rows;
  const freedom = counted - history.columns.length;
  let logarithm = 0;
  for (let d = 0; d < dims; d++) logarithm += Math.log(history.covariance[d * dims + d] * (freedom / counted));
  return -counted * logarithm - history.columns.length * dims * Math.log(counted);
}

/** A path takes rows away from what tells the scatter; as many places are tried as before. */
function pathThresholds(rows: number, columns: number, live: boolean | undefined): Thresholds {
  const [all, left] = [rows, Math.max(4, rows - columns)].map((count) => thresholdsFor("camera", count, live));
  return {
    slow: Math.max(all.slow, left.slow),
    step: Math.max(all.step, left.step),
    pop: Math.max(all.pop, left.pop),
  };
}

/** A column's effect beside a regression: Hotelling's T, 0 for one that adds nothing. */
function gainOf(fit: Regression, precision: Float64Array, prior: Prior, column: Float64Array): number {
  const { rows, dims, weights, residual, basis } = fit;
  const product = new Float64Array(dims);
  let whole = 0;
  for (let i = 0; i < rows; i++) {
    const value = weights[i] * column[i];
    whole += value * column[i];
    for (let d = 0; d < dims; d++) product[d] += value * residual[i * dims + d];
  }
  let own = whole;
  for (const q of basis) {
    let dot = 0;
    for (let i = 0; i < rows; i++) dot += weights[i] * column[i] * q[i];
    own -= dot * dot;
  }
  const freedom = rows + prior.rows - fit.columns.length - 1;
  if (!(own > OWN_PART * whole) || freedom <= 0) return 0;
  const explained = Math.min(quadratic(precision, product) / own, 1 - 1e-12);
  return Math.sqrt((freedom * explained) / (1 - explained));
}

/**
 * Where the path itself bends sharper than its spline: a move that starts or stops at once, or changes its acceleration at
 * once, as easing curves do. Told one after the other beside steps and single frames, so that these are not taken for bends.
 */
function bendsOf(series: Series, axis: Float64Array, base: readonly Float64Array[], thresholds: Thresholds) {
  const rows = axis.length;
  const { dims, prior } = series;
  const ones = new Float64Array(rows).fill(1);
  let fit: Regression | null = startRegression(series.values, dims, series.weights);
  for (const column of [ones, ...base]) fit = fit === null ? null : withColumn(fit, column);
  const bends: Float64Array[] = [];
  for (let stage = 0; fit !== null && stage < MOST_BENDS && fit.columns.length < rows - 3; stage++) {
    const precision = inverse(
      fit.scatter.map((value, k) => value + prior.rows * prior.covariance[k]),
      dims,
    );
    if (precision === null) break;
    let best: { gain: number; bend: boolean; column: Float64Array } = { gain: 0, bend: false, column: ones };
    for (let at = 1; at < rows - 1; at++) {
      const since = axis.map((value) => Math.max(0, value - axis[at]));
      const candidates: { column: Float64Array; bend: boolean }[] = [
        { column: since, bend: true },
        { column: since.map((value) => value ** 2), bend: true },
      ];
      if (at >= 2 && at < rows - 2) {
        candidates.push({ column: columnOf({ kind: "step", at }, [axis], rows), bend: false });
        candidates.push({ column: columnOf({ kind: "pop", at }, [axis], rows), bend: false });
      }
      for (const { column, bend } of candidates) {
        const gain = gainOf(fit, precision, prior, column);
        if (gain > best.gain) best = { gain, bend, column };
      }
    }
    if (best.gain < thresholds.slow) break;
    if (best.bend) bends.push(best.column);
    fit = withColumn(fit, best.column);
  }
  return bends;
}

/** Rows that are judged at once, how far on the next such piece begins, and the ends that the neighbours know better. */
const PIECE = 72;
const NEXT_PIECE = 48;
const ENDS = (PIECE - NEXT_PIECE) / 2;

/** A long move in pieces that overlap: the rows of each, and those of them whose events count. */
export function piecesOf(
  rows: number,
): { readonly from: number; readonly to: number; readonly told: [number, number] }[] {
  const pieces: { from: number; to: number; told: [number, number] }[] = [];
  for (let from = 0; ; from += NEXT_PIECE) {
    const last = from + PIECE >= rows;
    const to = last ? rows : from + PIECE;
    pieces.push({ from, to, told: [from === 0 ? 0 : from + ENDS, last ? rows : to - ENDS] });
    if (last) return pieces;
  }
}

/**
 * Steps and single frames beside a smooth path. The spline's knots are as many as the evidence asks for; bends that are
 * sharper than it can follow are the path's own.
 *
 * @returns null where the stretch is too short, or no spline fits
 */
export function pathHistory(series: Series, axis: Float64Array, live: boolean | undefined): History | null {
  const rows = axis.length;
  if (rows < ROWS_TO_JUDGE) return null;
  let best: { readonly history: History; readonly evidence: number } | null = null;
  for (const spacing of SPACINGS) {
    const spline = splineColumns(axis, spacing);
    if (spline.length + 1 > rows - 3) continue;
    const thresholds = pathThresholds(rows, spline.length, live);
    const base = [...spline, ...bendsOf(series, axis, spline, thresholds)];
    const history = historyOf("camera", series, [axis], { base, families: ["step", "pop"], inside: true, thresholds });
    if (history === null) continue;
    const evidence = evidenceOf(history, series);
    if (best === null || evidence > best.evidence) best = { history, evidence };
  }
  return best?.history ?? null;
}
