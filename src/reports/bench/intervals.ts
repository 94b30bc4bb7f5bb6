import { chiSquaredQuantile, studentHalfWidth } from "./distributions.ts";

// Numbers over many holds, each with its 95 % interval.

/** The 97.5 % quantile of the normal law. */
const Z = 1.959_963_984_540_054;

/** How often: `count` of `of`, with the interval of the share. */
export interface Share {
  readonly count: number;
  readonly of: number;
  readonly low: number;
  readonly high: number;
}

/**
 * Wilson's score interval (Wilson 1927; recommended by Newcombe 1998 and Brown, Cai & DasGupta 2001). Of none: 0 to 1.
 * Its lower bound is what things are ranked by: 1 of 1 is "at least 21 %", 30 of 40 "at least 60 %".
 */
export const share = (count: number, of: number): Share => {
  if (of <= 0) return { count: 0, of: 0, low: 0, high: 1 };
  const p = count / of;
  const scale = 1 + (Z * Z) / of;
  const middle = (p + (Z * Z) / (2 * of)) / scale;
  const half = (Z * Math.sqrt((p * (1 - p)) / of + (Z * Z) / (4 * of * of))) / scale;
  return {
    count,
    of,
    low: count === 0 ? 0 : Math.max(0, middle - half),
    high: count === of ? 1 : Math.min(1, middle + half),
  };
};

export interface Measured {
  readonly value: number;
  readonly sigma: number;
}

/** A mean over several. `low` and `high` are null where one alone was seen: it takes two to tell how far they differ. */
export interface Mean {
  readonly value: number;
  readonly low: number | null;
  readonly high: number | null;
  readonly count: number;
  /** Standard error, and how much single ones differ beyond their own sigmas (1 sigma). */
  readonly error: number;
  readonly between: number;
}

/**
 * Mean of measurements that differ by more than their own sigmas, as holds do: a random-effects mean (DerSimonian & Laird
 * 1986) with Hartung and Knapp's interval, modified so that it never gets narrower than the sigmas alone would have it
 * (Knapp & Hartung 2003; Röver, Knapp & Friede 2015 recommend it for few and uneven ones). Null without any.
 */
export const meanOf = (all: readonly Measured[]): Mean | null => {
  const count = all.length;
  if (count === 0) return null;
  // A sigma of nothing would outweigh all others.
  const smallest = 1e-9 * Math.max(1e-9, ...all.map(({ value }) => Math.abs(value)));
  const rows = all.map(({ value, sigma }) => ({ value, variance: Math.max(sigma, smallest) ** 2 }));
  if (count === 1)
    return { value: rows[0].value, low: null, high: null, count, error: Math.sqrt(rows[0].variance), between: 0 };
  const weighted = (extra: number) => {
    let [sum, total, squares] = [0, 0, 0];
    for (const { value, variance } of rows) {
      const weight = 1 / (variance + extra);
      sum += weight;
      total += weight * value;
      squares += weight * weight;
    }
    const value = total / sum;
    const scatter = rows.reduce((all2, row) => all2 + (row.value - value) ** 2 / (row.variance + extra), 0);
    return { value, sum, squares, scatter };
  };
  const fixed = weighted(0);
  const between = Math.max(0, (fixed.scatter - (count - 1)) / (fixed.sum - fixed.squares / fixed.sum));
  const random = weighted(between);
  const error = Math.sqrt(Math.max(1, random.scatter / (count - 1)) / random.sum);
  const half = studentHalfWidth(count - 1) * error;
  return {
    value: random.value,
    low: random.value - half,
    high: random.value + half,
    count,
    error,
    between: Math.sqrt(between),
  };
};

/** How much one mean is above another, with the interval of the difference. */
export interface Difference {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** Welch's interval (Welch 1947, Satterthwaite's degrees of freedom) of two means of at least two each; null otherwise. */
export const differenceOf = (a: Mean, b: Mean): Difference | null => {
  if (a.count < 2 || b.count < 2) return null;
  const [va, vb] = [a.error ** 2, b.error ** 2];
  const freedom = (va + vb) ** 2 / (va ** 2 / (a.count - 1) + vb ** 2 / (b.count - 1));
  const half = studentHalfWidth(freedom) * Math.sqrt(va + vb);
  const value = a.value - b.value;
  return { value, low: value - half, high: value + half };
};

/** How far single values scatter (1 sigma), with its interval. */
export interface Spread {
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly count: number;
}

/**
 * Scatter of places of which only the steps from one to the next are known, in two dimensions: the mean square of the
 * steps is twice the variance along each axis. Steps that follow each other share a place, so n of them are worth
 * n^2 / (1.5 n - 0.5) an axis (von Neumann, Kent, Bellinson & Hart 1941, from memory: the variance of the mean square
 * successive difference), and the interval is that of chi squared with as many degrees of freedom. `noise` is the mean
 * square of the steps' own sigmas along one axis, which is taken off. Null without steps.
 */
export const spreadOfSteps = (
  steps: readonly { readonly dx: number; readonly dy: number }[],
  noise = 0,
): Spread | null => {
  const n = steps.length;
  if (n === 0) return null;
  const square = steps.reduce((sum, { dx, dy }) => sum + dx * dx + dy * dy, 0) / n;
  const variance = square / 4;
  const freedom = (2 * n * n) / (1.5 * n - 0.5);
  const less = (value: number) => Math.sqrt(Math.max(0, value - noise / 2));
  return {
    value: less(variance),
    low: less((variance * freedom) / chiSquaredQuantile(0.975, freedom)),
    high: less((variance * freedom) / chiSquaredQuantile(0.025, freedom)),
    count: n,
  };
};
