import { inverse } from "../../src/measure/statistics/matrix.ts";
import type { Patch } from "./bound.ts";
import { noiseVariance } from "./expose.ts";
import type { JpegSteps } from "./jpeg-steps.ts";
import type { Noise } from "./scene.ts";
import { encodeSrgb, slopeOfSrgb } from "./srgb.ts";

// How well a camera can be told at all: the Cramer-Rao bound of a similarity between two noisy pictures of one set, told
// at the frame's centre, with a gain and an offset of the light unknown in each cell of 32 px. Worked out on the
// cosines of JPEG's blocks (ITU-T T.81, annex A; the transform is orthonormal, so white noise stays white): there
// rounding to the table's steps is a loss that can be summed up exactly, coefficient by coefficient.

export const BLOCK = 8;
const PIXELS = BLOCK * BLOCK;
/** Side of a cell, px: whole blocks. */
const CELL = 32;
/** dx, dy, turn, growth, then gain and offset. */
const MOTIONS = 4;
const UNKNOWNS = 6;

const COSINES = Array.from({ length: BLOCK }, (_, k) =>
  Float64Array.from(
    { length: BLOCK },
    (_, n) => Math.sqrt((k === 0 ? 1 : 2) / BLOCK) * Math.cos(((2 * n + 1) * k * Math.PI) / (2 * BLOCK)),
  ),
);

/** The cosine transform of a block, row-major, in place. */
export function blockTransform(block: Float64Array): void {
  const rows = new Float64Array(PIXELS);
  for (let y = 0; y < BLOCK; y++)
    for (let u = 0; u < BLOCK; u++)
      for (let x = 0; x < BLOCK; x++) rows[y * BLOCK + u] += COSINES[u][x] * block[y * BLOCK + x];
  block.fill(0);
  for (let v = 0; v < BLOCK; v++)
    for (let u = 0; u < BLOCK; u++)
      for (let y = 0; y < BLOCK; y++) block[v * BLOCK + u] += COSINES[v][y] * rows[y * BLOCK + u];
}

/** Normal distribution (Abramowitz & Stegun 26.2.17, absolute error below 7.5e-8). */
function below(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const tail =
    density(z) * t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return z > 0 ? 1 - tail : tail;
}
const density = (z: number): number => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);

/**
 * What a normal number that was rounded to whole steps tells about its mean: its Fisher information. 1 / sigma^2 where
 * the steps are small beside sigma; next to nothing where nearly all falls on one step.
 */
export function roundedInformation(mean: number, step: number, sigma: number): number {
  const middle = Math.round(mean / step);
  const reach = Math.ceil((6 * sigma) / step) + 1;
  let sum = 0;
  for (let n = middle - reach; n <= middle + reach; n++) {
    const low = ((n - 0.5) * step - mean) / sigma;
    const high = ((n + 0.5) * step - mean) / sigma;
    const share = below(high) - below(low);
    // Below this the approximation's own error is larger.
    if (share > 1e-6) sum += (density(low) - density(high)) ** 2 / share;
  }
  return sum / sigma ** 2;
}

export interface CameraBoundOptions {
  readonly noise: Noise;
  /** Steps of the JPEG files' coefficients; null: not JPEG. */
  readonly steps: JpegSteps | null;
}

/**
 * The bound of the camera's shift along one axis, px, root mean square over both.
 * @param patch a frame without noise; `inside`: what is set, and not a part of its own. A block of 8 px that is not all set
 * does not count, nor do cut blocks at the frame's edge
 */
export function cameraBound(patch: Patch, { noise, steps }: CameraBoundOptions): number {
  const { width, height } = patch.value;
  const total = new Float64Array(MOTIONS * MOTIONS);
  for (let top = 0; top < height; top += CELL)
    for (let left = 0; left < width; left += CELL) {
      const cell = new Float64Array(UNKNOWNS * UNKNOWNS);
      for (let y = top; y < Math.min(top + CELL, height - BLOCK + 1); y += BLOCK)
        for (let x = left; x < Math.min(left + CELL, width - BLOCK + 1); x += BLOCK)
          addBlock(patch, x, y, noise, steps, cell);
      addCell(cell, total);
    }
  const covariance = inverse(total, MOTIONS);
  if (covariance === null) return Number.POSITIVE_INFINITY;
  return Math.sqrt((covariance[0] + covariance[MOTIONS + 1]) / 2);
}

function addBlock(
  patch: Patch,
  left: number,
  top: number,
  noise: Noise,
  steps: JpegSteps | null,
  into: Float64Array,
): void {
  const { width, height } = patch.value;
  const grey = new Float64Array(PIXELS);
  const slopes = Array.from({ length: UNKNOWNS }, () => new Float64Array(PIXELS));
  // Rounding to whole grey levels comes before the file and, with JPEG, behind it once more.
  let variance = (steps === null ? 1 : 2) / 12;
  for (let k = 0; k < PIXELS; k++) {
    const [x, y] = [left + (k % BLOCK), top + Math.floor(k / BLOCK)];
    if (!patch.inside(x, y)) return;
    const i = y * width + x;
    const light = patch.value.data[i];
    const perLight = 255 * slopeOfSrgb(light);
    const [fx, fy] = [patch.gradientX.data[i] * perLight, patch.gradientY.data[i] * perLight];
    const [u, v] = [x + 0.5 - width / 2, y + 0.5 - height / 2];
    grey[k] = 255 * encodeSrgb(light);
    variance += (noiseVariance(noise, light) * perLight ** 2) / PIXELS;
    [fx, fy, fy * u - fx * v, fx * u + fy * v, grey[k], 1].forEach((slope, p) => (slopes[p][k] = slope));
  }
  for (let k = 0; k < PIXELS; k++) grey[k] -= 128;
  blockTransform(grey);
  for (const slope of slopes) blockTransform(slope);
  const sigma = Math.sqrt(variance);
  for (let c = 0; c < PIXELS; c++) {
    const one = steps === null ? 1 / variance : roundedInformation(grey[c], steps[c], sigma);
    // Both frames hold that noise.
    for (let p = 0; p < UNKNOWNS; p++)
      for (let q = 0; q < UNKNOWNS; q++) into[p * UNKNOWNS + q] += (one / 2) * slopes[p][c] * slopes[q][c];
  }
}

/** What a cell tells once its own gain and offset are taken out: the Schur complement, one unknown at a time. */
function addCell(cell: Float64Array, total: Float64Array): void {
  for (let drop = UNKNOWNS - 1; drop >= MOTIONS; drop--) {
    const pivot = cell[drop * UNKNOWNS + drop];
    if (!(pivot > 1e-9)) continue;
    for (let p = 0; p < drop; p++)
      for (let q = 0; q < drop; q++)
        cell[p * UNKNOWNS + q] -= (cell[p * UNKNOWNS + drop] * cell[drop * UNKNOWNS + q]) / pivot;
  }
  for (let p = 0; p < MOTIONS; p++) for (let q = 0; q < MOTIONS; q++) total[p * MOTIONS + q] += cell[p * UNKNOWNS + q];
}
