import {
  coefficientsOf,
  type Regression,
  startRegression,
  withColumn,
} from "../../../measure/statistics/regression.ts";
import type { HeldMotion, MotionEvent } from "./held-motion.ts";
import { type HeldSeries, motionOf } from "./held-series.ts";
import type { RigidMotion } from "./rigid.ts";

/**
 * What an event of one part did in the series of another: the event's columns, fitted there over the frames that both
 * have. Columns that the other part's own history needs go in beside them. Told at the other part's centroid; null where
 * too few frames are shared.
 */
export function effectElsewhere(
  event: MotionEvent,
  { held, history }: HeldMotion,
  target: HeldSeries,
  beside: HeldMotion | null,
): RigidMotion | null {
  const rowOf = new Map<number, number>(held.rows.map((row, i) => [row.frame, i]));
  const besideRowOf = new Map<number, number>(beside?.held.rows.map((row, i) => [row.frame, i]) ?? []);
  const shared = target.rows.flatMap(({ frame }, i) => {
    const at = rowOf.get(frame);
    return at === undefined ? [] : [{ i, at, besideAt: besideRowOf.get(frame) }];
  });
  const { dims, prior } = target.series;
  const rows = shared.length;
  const values = Float64Array.from(
    shared.flatMap(({ i }) => [...target.series.values.subarray(i * dims, (i + 1) * dims)]),
  );
  const weights = Float64Array.from(shared, ({ i }) => target.series.weights[i]);
  let fit: Regression | null = startRegression(values, dims, weights);
  for (const column of history.columns) {
    fit =
      fit === null
        ? null
        : withColumn(
            fit,
            Float64Array.from(shared, ({ at }) => column[at]),
          );
  }
  if (fit === null || rows < history.columns.length) return null;
  if (beside !== null && shared.every(({ besideAt }) => besideAt !== undefined)) {
    for (const column of beside.history.columns.slice(1)) {
      if (fit.columns.length >= rows) break;
      fit =
        withColumn(
          fit,
          Float64Array.from(shared, ({ besideAt }) => column[besideAt ?? 0]),
        ) ?? fit;
    }
  }
  const coefficients = coefficientsOf(fit, values);
  if (coefficients === null) return null;
  const p = fit.columns.length;
  const factor = (k: number) => event.combination[k] ?? 0;
  const value = new Float64Array(dims);
  let length = 0;
  for (let a = 0; a < p; a++) {
    for (let d = 0; d < dims; d++) value[d] += factor(a) * coefficients.values[a * dims + d];
    for (let b = 0; b < p; b++) length += factor(a) * coefficients.spread[a * p + b] * factor(b);
  }
  const freedom = rows - p + prior.rows;
  const covariance = fit.scatter.map((entry, k) => ((entry + prior.rows * prior.covariance[k]) / freedom) * length);
  return motionOf(value, covariance, target.hold.centroid);
}
