// Errors of many frames and what they come to, cell by cell. A hold's frames share the error of its anchor, so they are
// not independent: every interval counts holds, not frames.

/** One frame of one hold, along one axis of the picture in which the part can be told. */
export interface Sample {
  /** Holds with the same number share an anchor. */
  readonly hold: number;
  readonly axis: number;
  /** Measured minus true, px; NaN: not measured. */
  readonly error: number;
  /** What the track states, the anchor's own error included, px. */
  readonly sigma: number;
  /** True displacement along the axis, px; NaN where the hold stands still. */
  readonly displacement: number;
}

export interface Figures {
  readonly samples: number;
  readonly holds: number;
  /** Root mean square error of what was measured, px. */
  readonly rmse: number;
  /** Median and 95th percentile of the size of the error along one axis, px. */
  readonly median: number;
  readonly p95: number;
  /** Amplitude of the error over the sub-pixel phase, what noise adds to it taken off, and its standard error, px. NaN without drift. */
  readonly bias: number;
  readonly biasSigma: number;
  /** Root mean square of error over sigma, and its 95 % interval. */
  readonly z: number;
  readonly zLow: number;
  readonly zHigh: number;
  /** Share of |z| > 3. */
  readonly beyond3: number;
  /** Share of samples without a number. */
  readonly notMeasured: number;
  /** Share of all samples, measured or not, that are within 0.1 px. */
  readonly within: number;
}

/** How far off false motion may be, px. */
export const FALSE_MOTION = 0.1;

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted.length === 0 ? Number.NaN : sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
}

/** Two-sided 95 % point of Student's t: Cornish-Fisher to third order (Abramowitz & Stegun 26.7.5), 1 % off at 3 degrees. */
export function student95(degrees: number): number {
  const z = 1.959964;
  const g1 = (z ** 3 + z) / 4;
  const g2 = (5 * z ** 5 + 16 * z ** 3 + 3 * z) / 96;
  const g3 = (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / 384;
  return z + g1 / degrees + g2 / degrees ** 2 + g3 / degrees ** 3;
}

function byHold(samples: readonly Sample[]): Sample[][] {
  const groups = new Map<number, Sample[]>();
  for (const sample of samples) {
    const group = groups.get(sample.hold);
    if (group === undefined) groups.set(sample.hold, [sample]);
    else group.push(sample);
  }
  return [...groups.values()];
}

/** Root mean square of z with its interval: mean squares of the holds, Student's t over them. */
function zSpread(samples: readonly Sample[]): { z: number; zLow: number; zHigh: number } {
  const squares = byHold(samples).map((group) => mean(group.map(({ error, sigma }) => (error / sigma) ** 2)));
  const middle = mean(squares);
  const n = squares.length;
  if (n < 2) return { z: Math.sqrt(middle), zLow: 0, zHigh: Number.POSITIVE_INFINITY };
  const scatter = Math.sqrt(squares.reduce((sum, square) => sum + (square - middle) ** 2, 0) / (n - 1) / n);
  const reach = student95(n - 1) * scatter;
  return { z: Math.sqrt(middle), zLow: Math.sqrt(Math.max(0, middle - reach)), zHigh: Math.sqrt(middle + reach) };
}

/**
 * Peak-locking has the period of a pixel: error = constant of the hold and axis + a sin + b cos of the displacement's
 * phase, by least squares. What noise alone would give the amplitude comes off in squares.
 */
function phaseBias(samples: readonly Sample[]): { bias: number; biasSigma: number } {
  const none = { bias: Number.NaN, biasSigma: Number.NaN };
  let [ss, sc, cc, se, ce, ee, n, groups] = [0, 0, 0, 0, 0, 0, 0, 0];
  for (const hold of byHold(samples.filter(({ displacement }) => Number.isFinite(displacement)))) {
    for (const axis of [0, 1]) {
      const rows = hold.filter((sample) => sample.axis === axis);
      if (rows.length < 4) continue;
      const columns = [
        rows.map(({ displacement }) => Math.sin(2 * Math.PI * displacement)),
        rows.map(({ displacement }) => Math.cos(2 * Math.PI * displacement)),
        rows.map(({ error }) => error),
      ].map((values) => {
        const middle = mean(values);
        return values.map((value) => value - middle);
      });
      groups++;
      for (let i = 0; i < rows.length; i++) {
        const [s, c, e] = columns.map((column) => column[i]);
        ss += s * s;
        sc += s * c;
        cc += c * c;
        se += s * e;
        ce += c * e;
        ee += e * e;
        n++;
      }
    }
  }
  const determinant = ss * cc - sc * sc;
  if (n - groups < 6 || !(determinant > 0)) return none;
  const a = (cc * se - sc * ce) / determinant;
  const b = (ss * ce - sc * se) / determinant;
  const variance = Math.max(0, ee - a * se - b * ce) / (n - groups - 2);
  const [varA, varB] = [(variance * cc) / determinant, (variance * ss) / determinant];
  return { bias: Math.sqrt(Math.max(0, a * a + b * b - varA - varB)), biasSigma: Math.sqrt((varA + varB) / 2) };
}

export function figuresOf(samples: readonly Sample[]): Figures {
  const measured = samples.filter(({ error }) => Number.isFinite(error));
  const sizes = measured.map(({ error }) => Math.abs(error));
  const share = (count: number): number => (samples.length === 0 ? Number.NaN : count / samples.length);
  return {
    samples: samples.length,
    holds: byHold(samples).length,
    rmse: Math.sqrt(mean(sizes.map((size) => size * size))),
    median: quantile(sizes, 0.5),
    p95: quantile(sizes, 0.95),
    ...phaseBias(measured),
    ...zSpread(measured),
    beyond3: mean(measured.map(({ error, sigma }) => (Math.abs(error) > 3 * sigma ? 1 : 0))),
    notMeasured: share(samples.length - measured.length),
    within: share(sizes.filter((size) => size <= FALSE_MOTION).length),
  };
}
