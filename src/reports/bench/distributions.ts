// Quantiles of Student's t and of chi squared, for intervals of a few holds. Incomplete beta and gamma functions by
// their continued fraction and series (Abramowitz & Stegun 26.5.8, 6.5.29 and 6.5.31; modified Lentz), turned round by
// halving. Good to 1e-9 for what is asked here, degrees of freedom from 0.5 to 1e6.

const TINY = 1e-300;
const MOST = 500;

/** ln of the gamma function for x > 0 (Lanczos' approximation, g = 7, n = 9; error below 1e-13). */
const logGamma = (x: number): number => {
  const terms = [
    0.999_999_999_999_809_93, 676.520_368_121_885_1, -1259.139_216_722_402_8, 771.323_428_777_653_13,
    -176.615_029_162_140_6, 12.507_343_278_686_905, -0.138_571_095_265_720_12, 9.984_369_578_019_572e-6,
    1.505_632_735_149_311_6e-7,
  ];
  const y = x - 1;
  const base = y + 7.5;
  const sum = terms.slice(1).reduce((all, term, i) => all + term / (y + i + 1), terms[0]);
  return 0.5 * Math.log(2 * Math.PI) + (y + 0.5) * Math.log(base) - base + Math.log(sum);
};

/** A continued fraction b0 + a1 / (b1 + a2 / (b2 + ...)), by Lentz. */
const fraction = (b0: number, term: (i: number) => readonly [a: number, b: number]): number => {
  let f = b0 === 0 ? TINY : b0;
  let [c, d] = [f, 0];
  for (let i = 1; i <= MOST; i++) {
    const [a, b] = term(i);
    d = b + a * d;
    c = b + a / c;
    if (d === 0) d = TINY;
    if (c === 0) c = TINY;
    d = 1 / d;
    f *= c * d;
    if (Math.abs(c * d - 1) < 1e-15) break;
  }
  return f;
};

/** Regularised incomplete beta function I_x(a, b). */
const betaShare = (x: number, a: number, b: number): number => {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  // Its fraction converges quickly on this side of the mean only.
  if (x > (a + 1) / (a + b + 2)) return 1 - betaShare(1 - x, b, a);
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  const inverse = fraction(1, (i) => {
    const m = Math.floor(i / 2);
    const up = i % 2 === 0;
    const top = up
      ? (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
      : (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    return [top, 1];
  });
  return front / (a * inverse);
};

/** Regularised lower incomplete gamma function P(a, x). */
const gammaShare = (a: number, x: number): number => {
  if (x <= 0) return 0;
  const front = Math.exp(a * Math.log(x) - x - logGamma(a));
  if (x < a + 1) {
    let [term, sum] = [1 / a, 1 / a];
    for (let i = 1; i < 10_000 && term > sum * 1e-16; i++) {
      term *= x / (a + i);
      sum += term;
    }
    return front * sum;
  }
  return 1 - front / fraction(x + 1 - a, (i) => [-i * (i - a), x + 2 * i + 1 - a]);
};

/** Where a rising function reaches a value, by halving. */
const turnedRound = (rising: (x: number) => number, value: number, low: number, high: number): number => {
  let [from, to] = [low, high];
  for (let i = 0; i < 200 && to - from > 1e-13 * Math.max(1, Math.abs(to)); i++) {
    const middle = (from + to) / 2;
    if (rising(middle) < value) from = middle;
    else to = middle;
  }
  return (from + to) / 2;
};

const widths = new Map<number, number>();
const MOST_WIDTHS = 4096;

/** The 97.5 % quantile of Student's t: half the width of a 95 % interval, in standard errors. */
export const studentHalfWidth = (freedom: number): number => {
  const known = widths.get(freedom);
  if (known !== undefined) return known;
  const below = (t: number): number => 1 - 0.5 * betaShare(freedom / (freedom + t * t), freedom / 2, 0.5);
  let high = 2;
  while (below(high) < 0.975) high *= 2;
  const width = turnedRound(below, 0.975, 0, high);
  // Hundreds of parts have as many holds as each other.
  if (widths.size < MOST_WIDTHS) widths.set(freedom, width);
  return width;
};

/** Quantile of chi squared. */
export const chiSquaredQuantile = (share: number, freedom: number): number => {
  const below = (x: number): number => gammaShare(freedom / 2, x / 2);
  let high = Math.max(4, 2 * freedom);
  while (below(high) < share) high *= 2;
  return turnedRound(below, share, 0, high);
};
