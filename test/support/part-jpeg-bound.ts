import type { Patch } from "./bound.ts";
import { BLOCK, blockTransform, roundedInformation } from "./camera-bound.ts";
import { noiseVariance } from "./expose.ts";
import type { JpegSteps } from "./jpeg-steps.ts";
import type { Noise } from "./scene.ts";
import type { Point } from "./similarity.ts";
import { encodeSrgb, slopeOfSrgb } from "./srgb.ts";

// How well a part's shift can be told at all from JPEG files: the Cramer-Rao bound between two noisy frames, a turn, and a
// gain and an offset of each tile, unknown too, worked out on the cosines of the files' own blocks (see camera-bound.ts).
// A block that reaches over the part's edge counts with what of the part is in it, its rounding with all of it.

const PIXELS = BLOCK * BLOCK;
/** dx, dy, turn. */
const MOTIONS = 3;

export interface PartJpegBoundOptions {
  readonly noise: Noise;
  /** Steps of the files' coefficients; null: not JPEG. */
  readonly steps: JpegSteps | null;
  /** Side of the tiles, px, and where the first one begins. */
  readonly tile: number;
  readonly left: number;
  readonly top: number;
  readonly turnAbout: Point;
}

/** Variances and covariance of a shift that no unbiased estimate can beat, px squared; Infinity where it can't be told. */
export interface ShiftBound {
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

/** @param patch a whole frame without noise, so that its blocks lie as the file's do; `inside`: what counts of the part */
export function partJpegBound(patch: Patch, options: PartJpegBoundOptions): ShiftBound {
  const { width, height } = patch.value;
  const { tile, left, top } = options;
  const across = Math.ceil((width - left) / tile);
  // Unknowns of the tiles that hold anything of the part, in the order in which they are met.
  const places = new Map<number, number>();
  const blocks: { readonly at: readonly number[]; readonly own: Float64Array }[] = [];
  for (let y = 0; y + BLOCK <= height; y += BLOCK)
    for (let x = 0; x + BLOCK <= width; x += BLOCK) {
      const tileOf = (px: number, py: number): number => {
        const number = Math.floor((py - top) / tile) * across + Math.floor((px - left) / tile);
        const known = places.get(number);
        if (known !== undefined) return known;
        places.set(number, places.size);
        return places.size - 1;
      };
      const block = blockInformation(patch, x, y, options, tileOf);
      if (block !== null) blocks.push(block);
    }
  const size = MOTIONS + 2 * places.size;
  const total = new Float64Array(size * size);
  for (const { at, own } of blocks)
    for (let p = 0; p < at.length; p++)
      for (let q = 0; q < at.length; q++) total[at[p] * size + at[q]] += own[p * at.length + q];
  // What all but the shift takes away: the Schur complement, one unknown at a time from the last.
  for (let drop = size - 1; drop >= 2; drop--) {
    const pivot = total[drop * size + drop];
    if (!(pivot > 1e-12)) continue;
    for (let p = 0; p < drop; p++) {
      const share = total[p * size + drop] / pivot;
      if (share === 0) continue;
      for (let q = 0; q < drop; q++) total[p * size + q] -= share * total[drop * size + q];
    }
  }
  const [xx, xy, yy] = [total[0], total[1], total[size + 1]];
  const determinant = xx * yy - xy * xy;
  if (!(determinant > 0)) return { xx: Number.POSITIVE_INFINITY, xy: 0, yy: Number.POSITIVE_INFINITY };
  return { xx: yy / determinant, xy: -xy / determinant, yy: xx / determinant };
}

/** Information of one block about the unknowns that are in it; null where nothing of the part is. */
function blockInformation(
  patch: Patch,
  left: number,
  top: number,
  { noise, steps, turnAbout }: PartJpegBoundOptions,
  tileOf: (x: number, y: number) => number,
): { readonly at: readonly number[]; readonly own: Float64Array } | null {
  const { width } = patch.value;
  const grey = new Float64Array(PIXELS);
  const at = [0, 1, 2];
  const slopes = at.map(() => new Float64Array(PIXELS));
  const slopeOf = (unknown: number): Float64Array => {
    const place = at.indexOf(unknown);
    if (place >= 0) return slopes[place];
    at.push(unknown);
    slopes.push(new Float64Array(PIXELS));
    return slopes[slopes.length - 1];
  };
  // Rounding to whole grey levels comes before the file and, with JPEG, behind it once more.
  let variance = (steps === null ? 1 : 2) / 12;
  let shown = false;
  for (let k = 0; k < PIXELS; k++) {
    const [x, y] = [left + (k % BLOCK), top + Math.floor(k / BLOCK)];
    const i = y * width + x;
    const light = patch.value.data[i];
    const perLight = 255 * slopeOfSrgb(light);
    grey[k] = 255 * encodeSrgb(light);
    variance += (noiseVariance(noise, light) * perLight ** 2) / PIXELS;
    if (!patch.inside(x, y)) continue;
    shown = true;
    const [fx, fy] = [patch.gradientX.data[i] * perLight, patch.gradientY.data[i] * perLight];
    slopes[0][k] = fx;
    slopes[1][k] = fy;
    slopes[2][k] = fy * (x + 0.5 - turnAbout[0]) - fx * (y + 0.5 - turnAbout[1]);
    const gain = MOTIONS + 2 * tileOf(x, y);
    slopeOf(gain)[k] = grey[k];
    slopeOf(gain + 1)[k] = 1;
  }
  if (!shown) return null;
  for (let k = 0; k < PIXELS; k++) grey[k] -= 128;
  blockTransform(grey);
  for (const slope of slopes) blockTransform(slope);
  const count = at.length;
  const own = new Float64Array(count * count);
  const sigma = Math.sqrt(variance);
  for (let c = 0; c < PIXELS; c++) {
    const one = steps === null ? 1 / variance : roundedInformation(grey[c], steps[c], sigma);
    // Both frames hold that noise.
    for (let p = 0; p < count; p++)
      for (let q = 0; q < count; q++) own[p * count + q] += (one / 2) * slopes[p][c] * slopes[q][c];
  }
  return { at, own };
}
