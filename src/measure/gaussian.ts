import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf, type KernelWorkspace, MOST_RADIUS } from "./workspace.ts";

/** Weights of a sampled, normalised Gaussian out to 4 sigma: index 0 is the centre. */
export function gaussianWeights(sigma: number): Float64Array {
  const radius = Math.max(1, Math.ceil(4 * sigma));
  const weights = new Float64Array(radius + 1);
  let sum = 0;
  for (let i = 0; i <= radius; i++) {
    weights[i] = Math.exp(-(i * i) / (2 * sigma * sigma));
    sum += i === 0 ? weights[i] : 2 * weights[i];
  }
  for (let i = 0; i <= radius; i++) weights[i] = weights[i] / sum;
  return weights;
}

/** Brings the weights to the kernels; false where they are more than those take. */
export function loadWeights(workspace: KernelWorkspace, weights: Float64Array): boolean {
  if (weights.length > MOST_RADIUS + 1) return false;
  workspace.floats(workspace.kernels.gaussianWeightsAt(), weights.length).set(weights);
  return true;
}

/**
 * Separable Gaussian blur; beyond the border the edge pixel repeats.
 * @param sigma px
 * @param into same size; may be the source itself
 * @param scratch same size; must be a plane of its own
 */
export function gaussianBlur(source: Plane, sigma: number, into: Plane, scratch: Plane): void {
  const { width, height } = source;
  const weights = gaussianWeights(sigma);
  const radius = weights.length - 1;
  const workspace = kernelsOf(source, into, scratch);
  if (workspace !== null && loadWeights(workspace, weights)) {
    const row = workspace.scratch((width + 2 * radius + 16) * 4);
    workspace.kernels.gaussianBlur(addressOf(source), addressOf(into), addressOf(scratch), row, width, height, radius);
    return;
  }
  const row = new Float32Array(width + 2 * radius);
  for (let y = 0; y < height; y++) {
    const base = y * width;
    row.set(source.data.subarray(base, base + width), radius);
    row.fill(source.data[base], 0, radius);
    row.fill(source.data[base + width - 1], radius + width);
    for (let x = 0; x < width; x++) {
      const at = x + radius;
      let sum = weights[0] * row[at];
      for (let k = 1; k <= radius; k++) sum += weights[k] * (row[at - k] + row[at + k]);
      scratch.data[base + x] = sum;
    }
  }
  const above: number[] = [];
  const below: number[] = [];
  const from = scratch.data;
  const to = into.data;
  for (let y = 0; y < height; y++) {
    for (let k = 0; k <= radius; k++) {
      above[k] = Math.max(0, y - k) * width;
      below[k] = Math.min(height - 1, y + k) * width;
    }
    const base = y * width;
    for (let x = 0; x < width; x++) {
      let sum = weights[0] * from[base + x];
      for (let k = 1; k <= radius; k++) sum += weights[k] * (from[above[k] + x] + from[below[k] + x]);
      to[base + x] = sum;
    }
  }
}

/** Share of white noise's variance that is left after the blur: the sum of the squared two-dimensional weights. */
export function noiseLeft(sigma: number): number {
  const weights = gaussianWeights(sigma);
  let sum = weights[0] ** 2;
  for (let i = 1; i < weights.length; i++) sum += 2 * weights[i] ** 2;
  return sum * sum;
}

/**
 * Variance of the spline's gradient along one axis where a picture is noise alone, over the variance of that prefiltered
 * noise, per px squared. White noise through the sampled Gaussian G, differentiated by the cubic spline at the pixels,
 * D = 3 sin w / (2 + cos w): the integral of D^2 G^2 over that of G^2. (1 / (2 sigma^2) for a continuous Gaussian, 15 % more
 * at 0.8 px.)
 */
export function gradientNoise(sigma: number): number {
  const weights = gaussianWeights(sigma);
  const steps = 2048;
  let above = 0;
  let below = 0;
  for (let i = 0; i < steps; i++) {
    const w = ((i + 0.5) * Math.PI) / steps;
    let g = weights[0];
    for (let k = 1; k < weights.length; k++) g += 2 * weights[k] * Math.cos(k * w);
    const d = (3 * Math.sin(w)) / (2 + Math.cos(w));
    above += (d * g) ** 2;
    below += g * g;
  }
  return above / below;
}
