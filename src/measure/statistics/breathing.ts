import type { Series } from "./history.ts";
import { cholesky } from "./matrix.ts";
import { type Regression, startRegression, withColumn } from "./regression.ts";

// A path that comes round again, as of something that breathes: waves of unknown period, chosen one after the other by
// evidence (least-squares spectral analysis, Lomb 1976; Schwarz 1978), with and without a straight trend beside them.
// Less than half a wave over the whole series is a path too, so that only a trend that no such wave explains is one.

/** Waves have from this many turns over the whole series to one turn in so many rows. */
const SLOWEST_TURNS = 0.4;
const SHORTEST_ROWS = 4;
/** Distance of the frequencies that are tried, turns over the whole series. */
const NEXT_TURNS = 0.25;
const FINEST_TURNS = 0.01;
const MOST_WAVES = 4;
/** Twice the log of the Bayes factor from which evidence is very strong (Kass & Raftery 1995). */
const VERY_STRONG = 10;

export interface Breathing {
  /** Sine and cosine of each wave. */
  readonly columns: readonly Float64Array[];
  /** False: waves alone explain the series as well as waves with a trend. */
  readonly hasTrend: boolean;
}

interface Fit {
  readonly regression: Regression;
  readonly waves: readonly Float64Array[];
  readonly evidence: number;
}

/** @param axis ascending times of the rows */
export function breathingOf(series: Series, axis: Float64Array): Breathing {
  const ones = new Float64Array(axis.length).fill(1);
  const still = withColumn(startRegression(series.values, series.dims, series.weights), ones);
  const trend = still && withColumn(still, axis);
  if (still === null) return { columns: [], hasTrend: false };
  const without = withWaves(still, series, axis);
  const beside = trend && withWaves(trend, series, axis);
  const hasTrend = beside !== null && beside.evidence > without.evidence + VERY_STRONG;
  return { columns: (hasTrend ? beside : without).waves, hasTrend };
}

function withWaves(start: Regression, series: Series, axis: Float64Array): Fit {
  let fit: Fit = { regression: start, waves: [], evidence: evidenceOf(start, series, 0) };
  while (fit.waves.length < 2 * MOST_WAVES) {
    const more = withWave(fit, series, axis);
    if (more === null || more.evidence <= fit.evidence) break;
    fit = more;
  }
  return fit;
}

/** The fit with the best further wave; null where none can be told from what is there. */
function withWave({ regression, waves }: Fit, series: Series, axis: Float64Array): Fit | null {
  const rows = axis.length;
  const span = axis[rows - 1] - axis[0];
  let best: (Fit & { readonly turns: number }) | null = null;
  const attempt = (turns: number): void => {
    const angle = (2 * Math.PI * turns) / span;
    const sine = axis.map((time) => Math.sin(angle * (time - axis[0])));
    const cosine = axis.map((time) => Math.cos(angle * (time - axis[0])));
    const half = withColumn(regression, sine);
    const whole = half && withColumn(half, cosine);
    if (whole === null) return;
    const evidence = evidenceOf(whole, series, (waves.length + 2) / 2);
    if (best === null || evidence > best.evidence) {
      best = { regression: whole, waves: [...waves, sine, cosine], evidence, turns };
    }
  };
  const most = (rows - 1) / SHORTEST_ROWS;
  for (let turns = SLOWEST_TURNS; turns <= most; turns += NEXT_TURNS) attempt(turns);
  for (let step = NEXT_TURNS / 2; step >= FINEST_TURNS; step /= 2) {
    const middle: number = (best as { readonly turns: number } | null)?.turns ?? SLOWEST_TURNS;
    for (const turns of [middle - step, middle + step]) if (turns >= SLOWEST_TURNS && turns <= most) attempt(turns);
  }
  return best;
}

/** Log-evidence, times two, up to a constant; `searched` parameters besides the columns' own. */
function evidenceOf({ scatter, dims, rows, columns }: Regression, { prior }: Series, searched: number): number {
  const lower = cholesky(
    scatter.map((value, i) => value + prior.rows * prior.covariance[i]),
    dims,
  );
  if (lower === null) return Number.NEGATIVE_INFINITY;
  let logarithm = 0;
  for (let d = 0; d < dims; d++) logarithm += 2 * Math.log(lower[d * dims + d]);
  const counted = rows + prior.rows;
  return -counted * logarithm - (columns.length * dims + searched) * Math.log(counted);
}
