import { normalTail } from "./normal.ts";

/** Up to this many values without ties the p-value is counted out; the normal law is close enough above. */
const EXACT_UP_TO = 10;

export interface MannKendall {
  /** Pairs that rise minus pairs that fall. */
  readonly s: number;
  /** Variance of `s` without trend, corrected for ties. */
  readonly variance: number;
  /** Standard normal score with the continuity correction of one. */
  readonly z: number;
  /** Chance of an `s` at least as far from zero on the same side: one-sided. */
  readonly p: number;
  /** Kendall's tau-b of the values against their order. */
  readonly tau: number;
}

/** Ways of n! orders that have each number of inversions (Kendall 1975): a convolution of flat steps. */
function inversionCounts(n: number): Float64Array {
  let counts = Float64Array.of(1);
  for (let k = 2; k <= n; k++) {
    const next = new Float64Array(counts.length + k - 1);
    for (let i = 0; i < counts.length; i++) for (let j = 0; j < k; j++) next[i + j] = next[i + j] + counts[i];
    counts = next;
  }
  return counts;
}

function exactTail(s: number, n: number): number {
  const counts = inversionCounts(n);
  const pairs = (n * (n - 1)) / 2;
  let all = 0;
  let tail = 0;
  for (let inversions = 0; inversions <= pairs; inversions++) {
    all += counts[inversions];
    if (pairs - 2 * inversions >= Math.abs(s)) tail += counts[inversions];
  }
  return tail / all;
}

/**
 * Mann-Kendall test for a trend that only rises or only falls (Mann 1945, Kendall 1975). Ranks alone count, so one wild
 * frame can't make a trend. Fewer than two values: s 0, p 1.
 */
export function mannKendall(values: ArrayLike<number>): MannKendall {
  const n = values.length;
  let s = 0;
  let tied = 0;
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) {
      const difference = values[j] - values[i];
      if (difference === 0) tied++;
      else s += Math.sign(difference);
    }
  }
  const groups = new Map<number, number>();
  for (let i = 0; i < n; i++) groups.set(values[i], (groups.get(values[i]) ?? 0) + 1);
  let variance = n * (n - 1) * (2 * n + 5);
  for (const size of groups.values()) variance -= size * (size - 1) * (2 * size + 5);
  variance /= 18;
  const pairs = (n * (n - 1)) / 2;
  const z = variance > 0 ? (s - Math.sign(s)) / Math.sqrt(variance) : 0;
  const p = n < 2 ? 1 : tied === 0 && n <= EXACT_UP_TO ? exactTail(s, n) : normalTail(Math.abs(z));
  const tau = pairs > tied ? s / Math.sqrt(pairs * (pairs - tied)) : 0;
  return { s, variance, z, p, tau };
}
