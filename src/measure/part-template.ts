import { countMask, erodeMask, type Mask, type Polygon, polygonMask } from "./mask.ts";
import { type Correlation, correlationOf } from "./part-correlation.ts";
import { levelOf, PREFILTER_SIGMA, type PreparedFrame } from "./prepared.ts";
import { splineAt } from "./spline.ts";

/** About the side of a tile, px: small enough that a shadow's edge or an arm spoils few of them, large enough for texture. */
export const TILE_SIZE = 20;
/** A tile with fewer pixels is joined to its nearest neighbour. */
const TILE_LEAST = 60;
/**
 * What prefilter and spline reach over an outline's edge, in sigmas of the prefilter and px. Less on small parts, whose
 * edge is most of them: 1 px through the fine prefilter, but what a coarse one brings in of the still ground pulled a
 * hand of 30 px that turned back by a tenth of its shift and half of its turn.
 */
const EROSION_SIGMAS = 2;
const EROSION_SPLINE = 1.4;
const EROSION_SMALL_SIGMAS = 1.3;
const SMALL_PART = 3000;
/** Fewer pixels than this can't be measured at all. */
export const LEAST_PIXELS = 64;

/** The pixels of one part at its anchor, packed; positions in index coordinates (pixel i at i). */
export interface PartTemplate {
  readonly count: number;
  /** Pixel positions, and the same from the centroid. */
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly u: Float32Array;
  readonly v: Float32Array;
  /** Grey level of the even scale and its gradient per px. */
  readonly t: Float32Array;
  readonly gx: Float32Array;
  readonly gy: Float32Array;
  readonly tile: Uint16Array;
  readonly tiles: number;
  /** Centroid of the outline, index coordinates. */
  readonly centroidX: number;
  readonly centroidY: number;
  /** Root mean square distance of the pixels from the centroid, px: brings the turn to the size of a shift. */
  readonly radius: number;
  /** Standard deviation of the grey levels, levels of the even scale. */
  readonly contrast: number;
  /** Pixels that the erosion took off, share of the outline's. */
  readonly lost: number;
  /** What the prefilter's correlation adds to the variance of a motion. */
  readonly correlation: Correlation;
  /** Prefilter that it was made through, px. */
  readonly sigma: number;
  /** Frames averaged. */
  readonly frames: number;
  /** Quarter-size copy for the search of large jumps: offsets from the centroid and grey levels. */
  readonly coarseU: Int16Array;
  readonly coarseV: Int16Array;
  readonly coarseT: Float32Array;
}

/** Joins tiles that have too few pixels to their nearest neighbour, and numbers what is left from 0. */
function tidyTiles(tile: Uint16Array, x: Float32Array, y: Float32Array, tiles: number): number {
  const count = new Float64Array(tiles);
  const sumX = new Float64Array(tiles);
  const sumY = new Float64Array(tiles);
  for (let i = 0; i < tile.length; i++) {
    const k = tile[i];
    count[k] = count[k] + 1;
    sumX[k] = sumX[k] + x[i];
    sumY[k] = sumY[k] + y[i];
  }
  const big: number[] = [];
  for (let k = 0; k < tiles; k++) if (count[k] >= TILE_LEAST) big.push(k);
  if (big.length === 0) {
    tile.fill(0);
    return 1;
  }
  const target = new Uint16Array(tiles);
  for (let k = 0; k < tiles; k++) {
    if (count[k] === 0) continue;
    let nearest = 0;
    let distance = Number.POSITIVE_INFINITY;
    for (let b = 0; b < big.length; b++) {
      const j = big[b];
      if (j === k) {
        nearest = b;
        break;
      }
      const d = (sumX[k] / count[k] - sumX[j] / count[j]) ** 2 + (sumY[k] / count[k] - sumY[j] / count[j]) ** 2;
      if (d < distance) {
        distance = d;
        nearest = b;
      }
    }
    target[k] = nearest;
  }
  for (let i = 0; i < tile.length; i++) tile[i] = target[tile[i]];
  return big.length;
}

/** Bounding box of a mask's pixels that lie inside, px. */
function extentOf(
  mask: Mask,
  inside: (x: number, y: number) => boolean,
): { left: number; top: number; width: number; height: number } {
  let left = Number.POSITIVE_INFINITY;
  let top = Number.POSITIVE_INFINITY;
  let right = Number.NEGATIVE_INFINITY;
  let bottom = Number.NEGATIVE_INFINITY;
  for (let y = 0; y < mask.height; y++)
    for (let x = 0; x < mask.width; x++) {
      if (mask.data[y * mask.width + x] !== 1 || !inside(mask.left + x, mask.top + y)) continue;
      left = Math.min(left, mask.left + x);
      right = Math.max(right, mask.left + x);
      top = Math.min(top, mask.top + y);
      bottom = Math.max(bottom, mask.top + y);
    }
  return { left, top, width: right - left + 1, height: bottom - top + 1 };
}

function standardDeviation(values: Float32Array): number {
  let sum = 0;
  let squares = 0;
  for (const value of values) {
    sum += value;
    squares += value * value;
  }
  return Math.sqrt(Math.max(0, squares / values.length - (sum / values.length) ** 2));
}

/**
 * The part's pixels at its anchor frame.
 * @param outline, holes px of the analysed frame (centre of pixel i at i + 0.5)
 * @param sigma prefilter, px
 * @returns null where fewer than `LEAST_PIXELS` pixels are left inside
 */
export function partTemplate(
  frame: PreparedFrame,
  outline: Polygon,
  holes: readonly Polygon[],
  centroid: readonly [number, number],
  sigma: number = PREFILTER_SIGMA,
): PartTemplate | null {
  const level = levelOf(frame, sigma);
  const whole = polygonMask(outline, holes, frame.width, frame.height);
  const area = countMask(whole);
  const edge = area < SMALL_PART ? EROSION_SMALL_SIGMAS * sigma : EROSION_SIGMAS * sigma + EROSION_SPLINE;
  let mask = erodeMask(whole, Math.round(edge));
  if (countMask(mask) < LEAST_PIXELS) mask = whole;
  // The spline's support has to stay in the picture.
  const inside = (x: number, y: number): boolean => x >= 3 && y >= 3 && x < frame.width - 4 && y < frame.height - 4;
  let count = 0;
  for (let y = 0; y < mask.height; y++)
    for (let x = 0; x < mask.width; x++)
      if (mask.data[y * mask.width + x] === 1 && inside(mask.left + x, mask.top + y)) count++;
  if (count < LEAST_PIXELS) return null;
  const centroidX = centroid[0] - 0.5;
  const centroidY = centroid[1] - 0.5;
  const px = new Float32Array(count);
  const py = new Float32Array(count);
  const u = new Float32Array(count);
  const v = new Float32Array(count);
  const t = new Float32Array(count);
  const gx = new Float32Array(count);
  const gy = new Float32Array(count);
  const tile = new Uint16Array(count);
  // Tiles of equal size over the part's own extent, so that a mirrored picture has mirrored tiles and none is a rest.
  const extent = extentOf(mask, inside);
  const across = Math.max(1, Math.round(extent.width / TILE_SIZE));
  const down = Math.max(1, Math.round(extent.height / TILE_SIZE));
  let squares = 0;
  const [even, quarter] = [level.even.data, frame.quarter.data];
  const { width, data } = level.coefficients;
  const coarseU: number[] = [];
  const coarseV: number[] = [];
  const coarseT: number[] = [];
  for (let y = 0, i = 0; y < mask.height; y++) {
    for (let x = 0; x < mask.width; x++) {
      const fx = mask.left + x;
      const fy = mask.top + y;
      if (mask.data[y * mask.width + x] !== 1 || !inside(fx, fy)) continue;
      px[i] = fx;
      py[i] = fy;
      u[i] = fx - centroidX;
      v[i] = fy - centroidY;
      t[i] = even[fy * width + fx];
      // Of the spline; what counts lies three pixels inside the picture.
      const a = (fy - 1) * width + fx;
      const b = a + width;
      const c = b + width;
      gx[i] = (data[a + 1] - data[a - 1] + 4 * (data[b + 1] - data[b - 1]) + data[c + 1] - data[c - 1]) / 12;
      gy[i] = (data[c - 1] - data[a - 1] + 4 * (data[c] - data[a]) + data[c + 1] - data[a + 1]) / 12;
      tile[i] =
        Math.floor(((fy - extent.top + 0.5) * down) / extent.height) * across +
        Math.floor(((fx - extent.left + 0.5) * across) / extent.width);
      squares += u[i] ** 2 + v[i] ** 2;
      if ((fx & 3) === 1 && (fy & 3) === 1) {
        const qx = fx >> 2;
        const qy = fy >> 2;
        if (qx < frame.quarter.width && qy < frame.quarter.height) {
          coarseU.push(qx);
          coarseV.push(qy);
          coarseT.push(quarter[qy * frame.quarter.width + qx]);
        }
      }
      i++;
    }
  }
  const tiles = tidyTiles(tile, px, py, across * down);
  const radius = Math.sqrt(squares / count);
  return {
    count,
    x: px,
    y: py,
    u,
    v,
    t,
    gx,
    gy,
    tile,
    tiles,
    centroidX,
    centroidY,
    radius,
    contrast: standardDeviation(t),
    lost: area > 0 ? 1 - count / area : 0,
    correlation: correlationOf({ count, x: px, y: py, u, v, gx, gy, radius }, sigma, frame.workspace),
    sigma,
    frames: 1,
    coarseU: Int16Array.from(coarseU),
    coarseV: Int16Array.from(coarseV),
    coarseT: Float32Array.from(coarseT),
  };
}

/**
 * Averages further frames of the hold into the template, each brought back onto the anchor by its own measured
 * motion: averaged as they stand they would bias a sag by one and a half frames of it.
 * @param further frames with their motion from the anchor: shift at the centroid, px, and turn
 */
export function averagedTemplate(
  template: PartTemplate,
  further: readonly {
    readonly frame: PreparedFrame;
    readonly dx: number;
    readonly dy: number;
    readonly turn: number;
    readonly gain: number;
    readonly offset: number;
  }[],
): PartTemplate {
  if (further.length === 0) return template;
  const { count, u, v, centroidX, centroidY } = template;
  const t = Float32Array.from(template.t);
  const gx = Float32Array.from(template.gx);
  const gy = Float32Array.from(template.gy);
  const used = new Uint8Array(count).fill(1);
  const sample = new Float64Array(3);
  for (const { frame, dx, dy, turn, gain, offset } of further) {
    const c = Math.cos(turn);
    const s = Math.sin(turn);
    const { coefficients } = levelOf(frame, template.sigma);
    for (let i = 0; i < count; i++) {
      const x = centroidX + dx + c * u[i] - s * v[i];
      const y = centroidY + dy + s * u[i] + c * v[i];
      splineAt(coefficients, x, y, sample);
      const value = sample[0];
      if (!(value === value)) continue;
      t[i] = t[i] + (value - offset) / gain;
      // Along the template's own axes.
      gx[i] = gx[i] + (c * sample[1] + s * sample[2]) / gain;
      gy[i] = gy[i] + (c * sample[2] - s * sample[1]) / gain;
      used[i] = used[i] + 1;
    }
  }
  for (let i = 0; i < count; i++) {
    t[i] = t[i] / used[i];
    gx[i] = gx[i] / used[i];
    gy[i] = gy[i] / used[i];
  }
  return {
    ...template,
    t,
    gx,
    gy,
    frames: further.length + 1,
    correlation: correlationOf({ ...template, gx, gy }, template.sigma, further[0].frame.workspace),
  };
}
