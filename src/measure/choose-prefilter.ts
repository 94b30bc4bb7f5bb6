import { noiseLeft } from "./gaussian.ts";
import type { Polygon } from "./mask.ts";
import { partTemplate, type PartTemplate } from "./part-template.ts";
import { GRADIENT_NOISE, PREFILTER_SIGMA, PREFILTERS, type PreparedFrame } from "./prepared.ts";
import { MAD_SCALE, median } from "./statistics/robust.ts";

/** A coarser prefilter has to promise a variance this much smaller: the fine one keeps more of the part's edge. */
const WORTH = 0.85;
/** Share of the gradient's energy that must be texture: what is told of less is told by chance. */
const LEAST_TEXTURE = 0.05;

/**
 * Variance of one frame's noise before the prefilter, grey levels squared, from two frames in which the part stands
 * still: robust scatter of their difference.
 */
export function noiseOf(template: PartTemplate, frame: PreparedFrame): number {
  const { count, gx, gy, t, x, y } = template;
  const differences = new Float64Array(count);
  let mean = 0;
  let meanX = 0;
  let meanY = 0;
  for (let i = 0; i < count; i++) {
    differences[i] = frame.even.data[y[i] * frame.width + x[i]] - t[i];
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
  const gradientNoise = count * own * (GRADIENT_NOISE.get(sigma) ?? 1);
  const texture = energy - gradientNoise;
  // What the noise's own gradient can't be told from promises nothing.
  if (!(texture > LEAST_TEXTURE * energy)) return Number.POSITIVE_INFINITY;
  const scatter = texture + gradientNoise / frames;
  return (own * (1 + 1 / frames) * (correlationFactor / left) * scatter) / (texture * texture);
}

/** A part's template with what is known of it before anything is measured. */
export interface ChosenTemplate {
  readonly template: PartTemplate;
  /** The same through the coarsest prefilter: catches jumps of several px, which the fine one misses. */
  readonly coarse: PartTemplate | null;
  /** Variance of one frame's noise through the template's prefilter, grey levels squared; null where it is not known. */
  readonly noise: number | null;
  /** The sigma that the texture promises, px: Infinity where it is all noise, null where the noise is not known. */
  readonly promised: number | null;
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
  if (others.length === 0) return { template: fine, coarse: coarsest, noise: null, promised: null };
  // The smallest of them: a frame in which the part moved already says more than its noise.
  const noise = Math.min(...others.map((other) => noiseOf(fine, other)));
  let best = fine;
  let promised = promisedVariance(fine, noise, frames);
  let least = WORTH * promised;
  for (const sigma of PREFILTERS) {
    if (sigma === PREFILTER_SIGMA) continue;
    const coarse = sigma === coarsest?.sigma ? coarsest : partTemplate(frame, outline, holes, centroid, sigma);
    if (coarse === null) continue;
    const variance = promisedVariance(coarse, noise, frames);
    if (variance < least) {
      best = coarse;
      promised = variance;
      least = variance;
    }
  }
  // Where none promises anything the coarsest loses least.
  if (!Number.isFinite(promised) && coarsest !== null) best = coarsest;
  return { template: best, coarse: coarsest, noise: noise * noiseLeft(best.sigma), promised: Math.sqrt(promised) };
}
