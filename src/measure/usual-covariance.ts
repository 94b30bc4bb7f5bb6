import { median } from "./statistics/robust.ts";

/** Of a vector in the plane, px squared. */
export type Covariance = readonly [xx: number, xy: number, yy: number];

/**
 * The one that most of several covariances are like: medians of their entries. Where they tell one direction far better
 * than the other these may be no covariance at all: then it is the one in the middle by size.
 */
export function usualOf(all: readonly Covariance[]): Covariance {
  const usual = (k: 0 | 1 | 2): number => median(all.map((one) => one[k]));
  const [xx, xy, yy] = [usual(0), usual(1), usual(2)];
  if (xy * xy < 0.96 * xx * yy || xx + yy === 0) return [xx, xy, yy];
  return all.toSorted((a, b) => a[0] + a[2] - b[0] - b[2])[all.length >> 1];
}
