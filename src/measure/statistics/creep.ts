import { inverse, quadratic } from "./matrix.ts";

// How something under a steady load goes on: laws of creep fitted by nonlinear least squares (Levenberg 1944, Marquardt
// 1963), chosen by evidence (Schwarz 1978). Each is still up to its onset; from there u is the time since.

/** b u; b log(1 + u / tau); b (1 - exp(-u / tau)). */
export type CreepLaw = "linear" | "logarithmic" | "exponential";

export interface CreepSeries {
  /** Ascending, in any unit. */
  readonly times: ArrayLike<number>;
  readonly values: ArrayLike<number>;
  /** 1 over each value's variance against the ordinary one's. */
  readonly weights: ArrayLike<number>;
  /** Variance of an ordinary value, known beforehand as well as from so many values. */
  readonly variance: number;
  readonly priorRows: number;
  /** Factor on the variance of slow things where the noise is correlated: 1 for even noise. */
  readonly slowNoise: number;
}

export interface CreepFit {
  readonly law: CreepLaw;
  /** Bayesian information criterion up to a constant of the series: smaller is better, 2 is little, 6 is a lot. */
  readonly bic: number;
  /** When it began. */
  readonly onset: number;
  /** tau, in the unit of the times; NaN for a line. */
  readonly constant: number;
  /** Size of the drift since its onset at a time, in the unit of the values, and its standard error. */
  at(time: number): { readonly value: number; readonly sigma: number };
  /** Where it comes to rest; null for the laws that don't. */
  readonly rest: { readonly value: number; readonly sigma: number } | null;
}

const LAWS: readonly CreepLaw[] = ["linear", "logarithmic", "exponential"];
/** Time constants are looked for from this share of the time that is seen up to so many times it. */
const SHORTEST = 1 / 40;
const LONGEST = 2;
const CONSTANTS = 14;
/** Places at which the onset is tried before it is refined. */
const ONSETS = 16;
/** Values after the onset without which no law can be told. */
const ROWS_TO_FIT = 4;
const ROUNDS = 40;

/** base, size, log of tau, onset. */
type Parameters = [number, number, number, number];

/** The drift since the onset for size 1, and its derivatives by log tau and by the onset. */
function shapeAt(law: CreepLaw, time: number, logTau: number, onset: number): [number, number, number] {
  const u = time - onset;
  if (u <= 0) return [0, 0, 0];
  if (law === "linear") return [u, 0, -1];
  const tau = Math.exp(logTau);
  if (law === "logarithmic") return [Math.log1p(u / tau), -u / (tau + u), -1 / (tau + u)];
  const left = Math.exp(-u / tau);
  return [1 - left, (-u / tau) * left, -left / tau];
}

/** Which parameters are fitted, by their places. */
function freeOf(law: CreepLaw, onsetFree: boolean): readonly number[] {
  return [0, 1, ...(law === "linear" ? [] : [2]), ...(onsetFree ? [3] : [])];
}

/** Base and size for a shape that is given, and the weighted sum of squares that they leave. */
function projected(series: CreepSeries, law: CreepLaw, logTau: number, onset: number): [number, number, number] | null {
  const { times, values, weights } = series;
  let [w, g, gg, y, gy, yy] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < times.length; i++) {
    const [shape] = shapeAt(law, times[i], logTau, onset);
    const weight = weights[i];
    w += weight;
    g += weight * shape;
    gg += weight * shape * shape;
    y += weight * values[i];
    gy += weight * shape * values[i];
    yy += weight * values[i] ** 2;
  }
  const determinant = w * gg - g * g;
  if (!(determinant > 1e-12 * w * gg)) return null;
  const size = (w * gy - g * y) / determinant;
  const base = (y - size * g) / w;
  return [base, size, yy - base * y - size * gy];
}

interface Normal {
  readonly rss: number;
  /** J'WJ and J'W r over the free parameters. */
  readonly matrix: Float64Array;
  readonly gradient: Float64Array;
}

function normalOf(series: CreepSeries, law: CreepLaw, p: Parameters, free: readonly number[]): Normal {
  const { times, values, weights } = series;
  const k = free.length;
  const matrix = new Float64Array(k * k);
  const gradient = new Float64Array(k);
  let rss = 0;
  for (let i = 0; i < times.length; i++) {
    const [shape, byTau, byOnset] = shapeAt(law, times[i], p[2], p[3]);
    const derivatives = [1, shape, p[1] * byTau, p[1] * byOnset];
    const left = values[i] - p[0] - p[1] * shape;
    rss += weights[i] * left * left;
    for (let a = 0; a < k; a++) {
      const weighted = weights[i] * derivatives[free[a]];
      gradient[a] += weighted * left;
      for (let b = 0; b < k; b++) matrix[a * k + b] += weighted * derivatives[free[b]];
    }
  }
  return { rss, matrix, gradient };
}

/** Levenberg's and Marquardt's descent from a start, log tau and onset kept within their ranges. */
function descended(
  series: CreepSeries,
  law: CreepLaw,
  start: Parameters,
  free: readonly number[],
  ranges: { readonly logTau: readonly [number, number]; readonly onset: readonly [number, number] },
): { readonly p: Parameters; readonly normal: Normal } {
  let p = start;
  let normal = normalOf(series, law, p, free);
  let damping = 1e-3;
  const k = free.length;
  for (let round = 0; round < ROUNDS && damping < 1e8; round++) {
    const damped = normal.matrix.slice();
    for (let a = 0; a < k; a++) damped[a * k + a] = damped[a * k + a] * (1 + damping) + 1e-300;
    const inverted = inverse(damped, k);
    if (inverted === null) break;
    const next: Parameters = [...p];
    for (let a = 0; a < k; a++) for (let b = 0; b < k; b++) next[free[a]] += inverted[a * k + b] * normal.gradient[b];
    next[2] = Math.min(Math.max(next[2], ranges.logTau[0]), ranges.logTau[1]);
    next[3] = Math.min(Math.max(next[3], ranges.onset[0]), ranges.onset[1]);
    const tried = normalOf(series, law, next, free);
    if (tried.rss < normal.rss) {
      const gain = (normal.rss - tried.rss) / normal.rss;
      p = next;
      normal = tried;
      damping /= 5;
      if (gain < 1e-10) break;
    } else damping *= 5;
  }
  return { p, normal };
}

function fitLaw(series: CreepSeries, law: CreepLaw): CreepFit | null {
  const { times } = series;
  const n = times.length;
  const [first, last] = [times[0], times[n - 1]];
  const span = last - first;
  const ranges = {
    logTau: [Math.log(span * SHORTEST), Math.log(span * LONGEST)],
    onset: [first, times[n - ROWS_TO_FIT]],
  } as const;
  const constants = law === "linear" ? [0] : Array.from({ length: CONSTANTS }, (_, i) => i / (CONSTANTS - 1));
  const places = Math.min(ONSETS, n - ROWS_TO_FIT + 1);
  const starts: { readonly p: Parameters; readonly rss: number }[] = [];
  for (let place = 0; place < places; place++) {
    const onset = times[Math.round((place * (n - ROWS_TO_FIT)) / Math.max(1, places - 1))];
    for (const share of constants) {
      const logTau = ranges.logTau[0] + share * (ranges.logTau[1] - ranges.logTau[0]);
      const found = projected(series, law, logTau, onset);
      if (found !== null) starts.push({ p: [found[0], found[1], logTau, onset], rss: found[2] });
    }
  }
  const counted = n + series.priorRows;
  const candidates = [false, true].flatMap((onsetFree) => {
    const usable = starts.filter(({ p }) => onsetFree || p[3] === first);
    if (usable.length === 0) return [];
    const best = usable.reduce((a, b) => (b.rss < a.rss ? b : a));
    const free = freeOf(law, onsetFree);
    const { p, normal } = descended(series, law, best.p, free, ranges);
    const scatter = normal.rss + series.priorRows * series.variance;
    const spread = inverse(normal.matrix, free.length);
    const freedom = counted - free.length;
    if (spread === null || freedom <= 0) return [];
    const covariance = spread.map((entry) => (entry * scatter * series.slowNoise) / freedom);
    // Correlated noise tells less than its rows: the gain in evidence shrinks with it.
    const bic = (counted * Math.log(scatter)) / series.slowNoise + free.length * Math.log(counted);
    return [{ p, free, covariance, bic }];
  });
  if (candidates.length === 0) return null;
  const { p, free, covariance, bic } = candidates.reduce((a, b) => (b.bic < a.bic ? b : a));
  const along = (shape: number, byTau: number, byOnset: number) => {
    const derivatives = [0, shape, p[1] * byTau, p[1] * byOnset];
    const gradient = free.map((place) => derivatives[place]);
    return { value: p[1] * shape, sigma: Math.sqrt(Math.max(0, quadratic(covariance, gradient))) };
  };
  return {
    law,
    bic,
    onset: p[3],
    constant: law === "linear" ? Number.NaN : Math.exp(p[2]),
    at: (time) => along(...shapeAt(law, time, p[2], p[3])),
    rest: law === "exponential" ? along(1, 0, 0) : null,
  };
}

/**
 * The laws of creep that can be fitted to a series, the likeliest first. Standard errors are those of the law to first
 * order; that another law may hold is in the others' BIC. None for fewer than six values, or times that don't ascend.
 */
export function fitCreep(series: CreepSeries): CreepFit[] {
  const { times } = series;
  const n = times.length;
  if (n < ROWS_TO_FIT + 2) return [];
  for (let i = 1; i < n; i++) if (!(times[i] > times[i - 1])) return [];
  return LAWS.flatMap((law) => fitLaw(series, law) ?? []).sort((a, b) => a.bic - b.bic);
}

/** BIC beyond which the odds against a law are strong, 20 to 1 (Kass & Raftery 1995). */
const RULED_OUT = 6;
/** Ends of a 95 % interval, in standard errors. */
const REACH = 1.959963984540054;

export interface Crossing {
  /** By the likeliest law; null where it doesn't get there within the horizon. */
  readonly at: number | null;
  /** 95 % interval over all laws that aren't ruled out; null where an end lies past the horizon. */
  readonly low: number | null;
  readonly high: number | null;
}

/** First time after `from` at which the curve reaches zero or more; null where it doesn't up to `to`. */
function firstReached(curve: (time: number) => number, from: number, to: number): number | null {
  if (curve(from) >= 0) return from;
  const steps = 400;
  for (let i = 1; i <= steps; i++) {
    let right = from + ((to - from) * i) / steps;
    if (curve(right) < 0) continue;
    let left = from + ((to - from) * (i - 1)) / steps;
    for (let halving = 0; halving < 40; halving++) {
      const middle = (left + right) / 2;
      if (curve(middle) < 0) left = middle;
      else right = middle;
    }
    return right;
  }
  return null;
}

/**
 * When a drift will reach a limit. The interval is that of Fieller (1954): all times at which the limit is within reach of
 * the curve, so that it is open at its end where the drift may come to rest before.
 *
 * @param fits of one series, by `fitCreep`
 * @param limit size of the drift, above zero
 * @param from the last time that was seen; nothing is told of earlier ones
 * @param horizon the last time about which anything is said
 */
export function crossingOf(fits: readonly CreepFit[], limit: number, from: number, horizon: number): Crossing {
  const likely = fits.filter(({ bic }) => bic - fits[0].bic < RULED_OUT);
  const reached = (fit: CreepFit, sigmas: number) =>
    firstReached(
      (time) => {
        const { value, sigma } = fit.at(time);
        return value + sigmas * sigma - limit;
      },
      from,
      horizon,
    );
  const lows = likely.map((fit) => reached(fit, REACH));
  const highs = likely.map((fit) => reached(fit, -REACH));
  const known = lows.filter((low) => low !== null);
  return {
    at: likely.length === 0 ? null : reached(likely[0], 0),
    low: known.length === 0 ? null : Math.min(...known),
    high: highs.length === 0 || highs.includes(null) ? null : Math.max(...highs.map((high) => high ?? from)),
  };
}
