import { noiseLeft } from "./gaussian.ts";
import type { Polygon } from "./mask.ts";
import { overallCorrelation } from "./part-correlation.ts";
import { informationOf, STEPS_ALONG, type Symmetric3, UNTOLD_SIGMA } from "./part-information.ts";
import { partTemplate, type PartTemplate } from "./part-template.ts";
import { type Rival, rivalsOf } from "./part-rivals.ts";
import { GRADIENT_NOISE, levelOf, PREFILTER_SIGMA, PREFILTERS, type PreparedFrame } from "./prepared.ts";
import { medianAbsoluteDeviation } from "./statistics/robust.ts";

/** A coarser prefilter has to promise a variance this much smaller: the fine one keeps more of the part's edge. */
const WORTH = 0.85;
/** A promise that its own noise makes so many times larger rested on noise. */
const BROKEN = 2;
/** Share of the gradient's energy that must be texture: what is told of less is told by chance. */
const LEAST_TEXTURE = 0.05;

/**
 * Variance of one frame's noise before the prefilter, grey levels squared, from two frames in which the part stands
 * still: robust scatter of their difference.
 */
export function noiseOf(template: PartTemplate, frame: PreparedFrame): number {
  const { count, gx, gy, t, x, y, sigma } = template;
  const differences = new Float64Array(count);
  const even = levelOf(frame, sigma).even.data;
  let mean = 0;
  let meanX = 0;
  let meanY = 0;
  for (let i = 0; i < count; i++) {
    differences[i] = even[y[i] * frame.width + x[i]] - t[i];
    mean += differences[i] / count;
    meanX += gx[i] / count;
    meanY += gy[i] / count;
  }
  // A part that drifts already differs by its motion too: to first order that is a share of its gradient, and comes off.
  let [xx, xy, yy, xd, yd] = [0, 0, 0, 0, 0];
  for (let i = 0; i < count; i++) {
    const [p, q, d] = [gx[i] - meanX, gy[i] - meanY, differences[i] - mean];
    xx += p * p;
    xy += p * q;
    yy += q * q;
    xd += p * d;
    yd += q * d;
  }
  const determinant = xx * yy - xy * xy;
  if (determinant > 1e-9 * xx * yy) {
    const sx = (yy * xd - xy * yd) / determinant;
    const sy = (xx * yd - xy * xd) / determinant;
    for (let i = 0; i < count; i++) differences[i] -= sx * gx[i] + sy * gy[i];
  }
  const scatter = medianAbsoluteDeviation(differences);
  return (scatter * scatter) / 2 / noiseLeft(sigma);
}

/** The part's normal equations with each tile's gain and offset taken out, as `PartRefiner` solves them: (dx, dy, turn in px). */
function normalOf({ count, u, v, t, gx, gy, tile, tiles, radius }: PartTemplate): Symmetric3 {
  // Per tile: n, t, tt, then for each of x, y, r its sum and its product with t.
  const sums = new Float64Array(9 * tiles);
  const normal: [number, number, number, number, number, number] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < count; i++) {
    const k = 9 * tile[i];
    const [x, y, value] = [gx[i], gy[i], t[i]];
    const r = (u[i] * y - v[i] * x) / radius;
    sums[k] = sums[k] + 1;
    sums[k + 1] = sums[k + 1] + value;
    sums[k + 2] = sums[k + 2] + value * value;
    sums[k + 3] = sums[k + 3] + x;
    sums[k + 4] = sums[k + 4] + y;
    sums[k + 5] = sums[k + 5] + r;
    sums[k + 6] = sums[k + 6] + x * value;
    sums[k + 7] = sums[k + 7] + y * value;
    sums[k + 8] = sums[k + 8] + r * value;
    normal[0] += x * x;
    normal[1] += x * y;
    normal[2] += x * r;
    normal[3] += y * y;
    normal[4] += y * r;
    normal[5] += r * r;
  }
  for (let k = 0; k < tiles; k++) {
    const [n, T, TT] = sums.subarray(9 * k, 9 * k + 3);
    const first = sums.subarray(9 * k + 3, 9 * k + 6);
    const spread = TT - (T * T) / n;
    const by = [0, 1, 2].map((j) => sums[9 * k + 6 + j] - (first[j] * T) / n);
    for (let p = 0, at = 0; p < 3; p++)
      for (let q = p; q < 3; q++, at++)
        normal[at] -= (first[p] * first[q]) / n + (spread > 0 ? (by[p] * by[q]) / spread : 0);
  }
  return normal;
}

/**
 * What a template promises, both frames noisy: sum of its variances along its three principal directions, the turn
 * counted in px, and the least of them, px squared. What can't be told counts as such.
 * @param noise variance of one frame's noise before the prefilter, grey levels squared
 * @param frames how many frames the template will average
 */
export function promiseOf(template: PartTemplate, noise: number, frames: number): { sum: number; least: number } {
  const { count, sigma, correlation } = template;
  const left = noiseLeft(sigma);
  const own = noise * left;
  const gradientNoise = count * own * (GRADIENT_NOISE.get(sigma) ?? 1);
  const score = own * (1 + 1 / frames) * overallCorrelation(correlation, sigma);
  const none = { sum: Number.POSITIVE_INFINITY, least: Number.POSITIVE_INFINITY };
  const information = informationOf(normalOf(template), 0, null);
  if (information === null) return none;
  // The frames that are averaged are brought onto one of them first: what that one alone doesn't look along stays where it
  // is, and a drift along it would go into the template.
  const looksAlong = (energy: number): boolean => energy - gradientNoise >= STEPS_ALONG * energy;
  const looks = information.energy.some(looksAlong);
  const variances = Array.from(information.energy, (energy) => {
    const texture = energy - gradientNoise;
    // What the noise's own gradient can't be told from promises nothing.
    if (!(texture > LEAST_TEXTURE * energy) || (looks && !looksAlong(energy))) return Number.POSITIVE_INFINITY;
    const scatter = texture + gradientNoise / frames;
    return texture < STEPS_ALONG * scatter ? Number.POSITIVE_INFINITY : (score * scatter) / (texture * texture);
  });
  const least = Math.min(...variances);
  if (!Number.isFinite(least)) return none;
  return { sum: variances.reduce((sum, value) => sum + Math.min(value, UNTOLD_SIGMA ** 2), 0), least };
}

/** A part's template with what is known of it before anything is measured. */
export interface ChosenTemplate {
  readonly template: PartTemplate;
  /** The same through the coarsest prefilter: catches jumps of several px, which the fine one misses. */
  readonly coarse: PartTemplate | null;
  /** Variance of one frame's noise through the template's prefilter, grey levels squared; null where it is not known. */
  readonly noise: number | null;
  /** Step that its frames' low frequencies were rounded to, grey levels; null: kept without loss; left out: not known. */
  readonly lumaStep?: number | null;
  /** The sigma that the texture promises along its best direction, px: Infinity where it is all noise, null where the noise is not known. */
  readonly promised: number | null;
  /** Where its pattern looks like itself again. */
  readonly rivals: () => readonly Rival[];
}

/**
 * The template through the prefilter that promises the smallest error: the fine one where there is texture, a coarser
 * one where texture hardly stands out of the noise.
 * @param others further frames in which the part stands still, for its noise; none: the fine one is taken
 * @param frames how many frames the template will average
 */
export function bestTemplate(
  frame: PreparedFrame,
  others: readonly PreparedFrame[],
  outline: Polygon,
  holes: readonly Polygon[],
  centroid: readonly [number, number],
  frames: number,
): ChosenTemplate | null {
  const fine = partTemplate(frame, outline, holes, centroid);
  if (fine === null) return null;
  const coarsest = partTemplate(frame, outline, holes, centroid, PREFILTERS[PREFILTERS.length - 1]);
  const rivals = rivalsOf(fine, frame);
  if (others.length === 0) return { template: fine, coarse: coarsest, noise: null, promised: null, rivals };
  // The smallest of them: a frame in which the part moved already says more than its noise.
  const noise = Math.min(...others.map((other) => noiseOf(fine, other)));
  let [best, bestNoise] = [fine, noise];
  let promised = promiseOf(fine, noise, frames);
  let least = WORTH * promised.sum;
  for (const sigma of PREFILTERS) {
    if (sigma === PREFILTER_SIGMA) continue;
    const coarse = sigma === coarsest?.sigma ? coarsest : partTemplate(frame, outline, holes, centroid, sigma);
    if (coarse === null) continue;
    const promise = promiseOf(coarse, noise, frames);
    if (!(promise.sum < least)) continue;
    // JPEG leaves more of the noise's coarse waves than of its fine ones: noise that comes through is no texture.
    const coarseNoise = Math.max(noise, Math.min(...others.map((other) => noiseOf(coarse, other))));
    if (promiseOf(coarse, coarseNoise, frames).sum > BROKEN * promise.sum) continue;
    [best, bestNoise] = [coarse, coarseNoise];
    promised = promise;
    least = promise.sum;
  }
  // Where none promises anything the coarsest loses least.
  if (!Number.isFinite(promised.least) && coarsest !== null) best = coarsest;
  return {
    template: best,
    coarse: coarsest,
    noise: bestNoise * noiseLeft(best.sigma),
    promised: Math.sqrt(promised.least),
    rivals,
  };
}
