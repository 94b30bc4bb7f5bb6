import { gaussianWeights } from "./gaussian.ts";
import { PREFILTER_SIGMA } from "./prepared.ts";

// A change of focus or iris is a little more or less blur: to first order the picture changes by half the change of the
// blur's variance times its Laplacian, everywhere alike, whatever the texture. So the change is what is left over by the
// match, regressed on the Laplacian of the reference, with gain, offset and shift taken out. Linear, signed, and far
// finer than a ratio of energies, which noise fills up.

/** Contrast that waves of 3 px lose per px squared of blur: what the discrete Laplacian is on them. */
const LOSS_OF_WAVE = 3;

/** Sums over a piece without its outermost pixels: L Laplacian of the piece T, e what is left over, X and Y its projected gradient. */
export interface BlurSums {
  readonly n: number;
  readonly l: number;
  readonly ll: number;
  readonly lt: number;
  readonly t: number;
  readonly tt: number;
  readonly e: number;
  readonly el: number;
  readonly et: number;
  readonly lx: number;
  readonly ly: number;
  readonly ee: number;
}

/** Autocorrelation of white noise behind the prefilter, (dx, dy) px apart. */
const noiseAt = (() => {
  const weights = gaussianWeights(PREFILTER_SIGMA);
  const at = (i: number): number => weights[Math.abs(i)] ?? 0;
  const along = (d: number): number => {
    let sum = 0;
    for (let i = -weights.length; i <= weights.length; i++) sum += at(i) * at(i + d);
    return sum;
  };
  const zero = along(0);
  return (dx: number, dy: number): number => (along(dx) * along(dy)) / zero ** 2;
})();
/** Of prefiltered noise of variance 1: minus its covariance with its own Laplacian, and its Laplacian's variance. */
const WITH_LAPLACIAN = 4 - 4 * noiseAt(1, 0);
const LAPLACIAN_NOISE = 20 - 32 * noiseAt(1, 0) + 8 * noiseAt(1, 1) + 4 * noiseAt(2, 0);

/** Energy of the texture's Laplacian over that of noise below which no blur is told. */
const LEAST_TEXTURE = 4;

export interface BlurChange {
  /** Share of the contrast that waves of 3 px lost since the reference; negative: gained. */
  loss: number;
  /** Its variance by the noise that is seen. */
  variance: number;
}

/**
 * The change of blur that a piece shows, both NaN where it has too little fine texture.
 * @param gain of the match, current over reference
 * @param hxx, hxy, hyy normal matrix of the piece's projected gradient
 */
export function blurChange(
  sums: BlurSums,
  gain: number,
  hxx: number,
  hxy: number,
  hyy: number,
  into: BlurChange,
): void {
  const { n, l, t, e } = sums;
  const tt = sums.tt - (t * t) / n;
  const lt = sums.lt - (l * t) / n;
  const slope = lt / tt;
  const determinant = hxx * hyy - hxy * hxy;
  const alongGradient = (sums.lx * sums.lx * hyy - 2 * sums.lx * sums.ly * hxy + sums.ly * sums.ly * hxx) / determinant;
  const et = sums.et - (e * t) / n;
  const score = sums.el - (e * l) / n - slope * et;
  const energy = sums.ll - (l * l) / n - slope * lt - alongGradient;
  // Part of what is left over is the reference's own noise, which is in its Laplacian too; the other frame's was divided
  // by the gain.
  const left = sums.ee / n;
  const noise = left / (1 + 1 / gain ** 2);
  const texture = energy - n * noise * LAPLACIAN_NOISE;
  if (!(texture > LEAST_TEXTURE * n * noise * LAPLACIAN_NOISE)) {
    into.loss = Number.NaN;
    into.variance = Number.NaN;
    return;
  }
  into.loss = (LOSS_OF_WAVE * (score - n * noise * WITH_LAPLACIAN)) / texture;
  into.variance = (LOSS_OF_WAVE ** 2 * left * LAPLACIAN_NOISE) / WITH_LAPLACIAN / texture;
}
