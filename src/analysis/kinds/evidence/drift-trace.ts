import { type CreepSeries } from "../../../measure/statistics/creep.ts";
import { slowNoise } from "../../../measure/statistics/history.ts";
import { quadratic } from "../../../measure/statistics/matrix.ts";
import { familyOf } from "../../../measure/statistics/shapes.ts";
import type { FrameNumber } from "../../../units/index.ts";
import { motionOf } from "./held-series.ts";
import type { PartDrift } from "./part-drift.ts";
import { displacementAt, leverOf } from "./rigid.ts";

// A slow drift as one number a frame: where it went farthest, along the way that it went, all other events taken out.

export interface DriftTrace {
  readonly frames: readonly FrameNumber[];
  /** The same values against each axis on which the drift may run. */
  readonly series: readonly { readonly by: "clock" | "frames"; readonly series: CreepSeries }[];
}

/** Beyond this factor what a carried part did is not the carrier's motion seen there. */
const SAME_MOTION = 2;

/** Rows up to the last one, single frames that were out left out; null for a drift with no size. */
export function driftTrace({ own, event, largest, hold }: PartDrift): DriftTrace | null {
  const { held, history } = own;
  const { series, rows, axes, timed } = held;
  const { dims } = series;
  const centre = hold.centroid;
  const lever = leverOf(centre, largest.at);
  const [u, v] = largest.direction;
  const factors = [u, v, u * lever[2] + v * lever[5]].slice(0, dims);
  const [x, y] = displacementAt(event.motion, largest.at);
  const seen = x * u + y * v;
  const scale = largest.px / seen;
  if (!(seen > 0) || scale > SAME_MOTION || scale < 1 / SAME_MOTION) return null;

  const first = history.columns.length - history.events.length;
  // Steps that belong to the drift stay in; a path on purpose (the columns after the intercept) goes out.
  const base = Array.from({ length: first - 1 }, (_, k) => k + 1);
  const steps = history.events.flatMap(({ shape }, k) =>
    familyOf(shape) === "step" && event.combination[first + k] === 0 ? [first + k] : [],
  );
  const others = [...base, ...steps];
  const pops = new Set(history.events.flatMap(({ shape }) => (shape.kind === "pop" ? [shape.at] : [])));
  const kept = rows.flatMap((_, row) => (pops.has(row) ? [] : [row]));
  const values = kept.map((row) => {
    let sum = 0;
    for (let d = 0; d < dims; d++) {
      let value = series.values[row * dims + d];
      for (const k of others) value -= history.columns[k][row] * history.coefficients.values[k * dims + d];
      sum += factors[d] * value;
    }
    return scale * sum;
  });
  const common = {
    values,
    weights: kept.map((row) => series.weights[row]),
    variance: scale ** 2 * quadratic(history.covariance, factors),
    priorRows: series.prior.rows,
    slowNoise: slowNoise(history),
  };
  return {
    frames: kept.map((row) => rows[row].frame),
    series: axes.map((axis, k) => ({
      by: timed && k === 0 ? ("clock" as const) : ("frames" as const),
      series: { ...common, times: kept.map((row) => axis[row]) },
    })),
  };
}

/** 1 sigma of how much the drift grew between its onset and its end, px, where it went farthest. */
export function growthSigma({ own, event, largest, hold }: PartDrift): number {
  const { history } = own;
  const grown = event.combination.map((factor, k) => {
    const whole = history.columns[k][event.lastRow];
    return whole === 0 ? 0 : factor * (1 - history.columns[k][event.row] / whole);
  });
  const { spread } = history.coefficients;
  const p = history.columns.length;
  let length = 0;
  for (let a = 0; a < p; a++) for (let b = 0; b < p; b++) length += grown[a] * spread[a * p + b] * grown[b];
  const covariance = history.covariance.map((entry) => entry * length * slowNoise(history));
  const motion = motionOf(new Float64Array(own.held.series.dims), covariance, hold.centroid);
  const lever = leverOf(hold.centroid, largest.at);
  const factors = [0, 1, 2].map((k) => largest.direction[0] * lever[k] + largest.direction[1] * lever[3 + k]);
  return Math.sqrt(Math.max(0, quadratic(motion.covariance, factors)));
}
