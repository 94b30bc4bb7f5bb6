import { noiseLeft } from "./gaussian.ts";
import type { Polygon } from "./mask.ts";
import { partTemplate, type PartTemplate } from "./part-template.ts";
import { PREFILTER_SIGMA, PREFILTERS, type PreparedFrame } from "./prepared.ts";
import { MAD_SCALE, median } from "./statistics/robust.ts";

/** A coarser prefilter has to promise a variance this much smaller: the fine one keeps more of the part's edge. */
const WORTH = 0.85;
/** Share of the gradient's energy that counts as texture at the least: what is told of less is told by chance. */
const LEAST_TEXTURE = 0.05;

/**
 * Variance of one frame's noise before the prefilter, grey levels squared, from two frames in which the part stands
 * still: robust scatter of their difference.
 */
export function noiseOf(template: PartTemplate, frame: PreparedFrame): number {
  const differences = new Float64Array(template.count);
  for (let i = 0; i < template.count; i++)
    differences[i] = frame.even.data[template.y[i] * frame.width + template.x[i]] - template.t[i];
  const centre = median(differences);
  const scatter = MAD_SCALE * median(differences.map((value) => Math.abs(value - centre)));
  return (scatter * scatter) / 2 / noiseLeft(PREFILTER_SIGMA);
}

/**
 * Mean variance of a shift that a template promises, px squared, both frames noisy.
 * @param noise variance of one frame's noise before the prefilter, grey levels squared
 * @param frames how many frames the template will average
 */
export function promisedVariance(template: PartTemplate, noise: number, frames: number): number {
  const { count, gx, gy, sigma, correlationFactor } = template;
  let energy = 0;
  for (let i = 0; i < count; i++) energy += (gx[i] ** 2 + gy[i] ** 2) / 2;
  const left = noiseLeft(sigma);
  const own = noise * left;
  const gradientNoise = (count * own) / (2 * sigma * sigma);
  const texture = Math.max(LEAST_TEXTURE * energy, energy - gradientNoise);
  const scatter = texture + gradientNoise / frames;
  return (own * (1 + 1 / frames) * (correlationFactor / left) * scatter) / (texture * texture);
}

/**
 * The template through the prefilter that promises the smallest error: the fine one where there is texture, a coarser
 * one where texture hardly stands out of the noise.
 * @param next another frame in which the part stands still, for its noise; null: the fine one is taken
 */
export function bestTemplate(
  frame: PreparedFrame,
  next: PreparedFrame | null,
  outline: Polygon,
  holes: readonly Polygon[],
  centroid: readonly [number, number],
  frames: number,
): PartTemplate | null {
  const fine = partTemplate(frame, outline, holes, centroid);
  if (fine === null || next === null) return fine;
  const noise = noiseOf(fine, next);
  let best = fine;
  let least = WORTH * promisedVariance(fine, noise, frames);
  for (const sigma of PREFILTERS) {
    if (sigma === PREFILTER_SIGMA) continue;
    const coarse = partTemplate(frame, outline, holes, centroid, sigma);
    if (coarse === null) continue;
    const variance = promisedVariance(coarse, noise, frames);
    if (variance < least) {
      best = coarse;
      least = variance;
    }
  }
  return best;
}
