import { median } from "./robust.ts";

export interface SenSlope {
  /** Median of the slopes between all pairs of different x; NaN where there is no such pair. */
  readonly slope: number;
  /** Ends of the interval for the slope. */
  readonly low: number;
  readonly high: number;
  /** Median of y minus slope times median of x. */
  readonly intercept: number;
}

/** Sizes of the groups of equal values. */
function tieSizes(values: ArrayLike<number>): number[] {
  const groups = new Map<number, number>();
  for (let i = 0; i < values.length; i++) groups.set(values[i], (groups.get(values[i]) ?? 0) + 1);
  return [...groups.values()];
}

/**
 * Slope by the median of pairwise slopes, with its interval by Kendall's statistic (Sen 1968).
 *
 * @param reach standard normal deviate of the interval's ends: 1.96 for 95 %
 */
export function senSlope(x: ArrayLike<number>, y: ArrayLike<number>, reach = 1.959963984540054): SenSlope {
  const n = y.length;
  const slopes: number[] = [];
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) if (x[j] !== x[i]) slopes.push((y[j] - y[i]) / (x[j] - x[i]));
  }
  slopes.sort((a, b) => a - b);
  const slope = median(slopes);
  let variance = n * (n - 1) * (2 * n + 5);
  for (const ties of [tieSizes(x), tieSizes(y)]) for (const k of ties) variance -= k * (k - 1) * (2 * k + 5);
  const half = reach * Math.sqrt(Math.max(0, variance / 18));
  const last = slopes.length - 1;
  const below = Math.max(Math.round((slopes.length - half) / 2) - 1, 0);
  const above = Math.min(Math.round((slopes.length + half) / 2), last);
  return {
    slope,
    low: slopes[below] ?? Number.NaN,
    high: slopes[above] ?? Number.NaN,
    intercept: median(y) - slope * median(x),
  };
}
