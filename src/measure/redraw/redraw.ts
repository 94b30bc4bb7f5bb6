import { type Affine, followedBy, inverseOf, mapped } from "../affine.ts";
import { behind, type Plate, uncovered } from "./behind.ts";
import { coloursOf, cornersOf, type Raster, type Rect, rectAround, whiteOf } from "./raster.ts";
import { type Shape, shareAt, softMask, type SoftMask, takeOut } from "./soft-mask.ts";
import { sampleColours, type SplineCrop, splineCrop } from "./spline-crop.ts";

/** How far around its outline a part is taken along whole, and the soft edge beyond, px of the picture. */
const GROW = 1;
const EDGE = 3;

/** What a surface does besides the rigid motion of what it lies on: the further way of a place of this picture, px. */
export interface Bend {
  at(x: number, y: number): readonly [number, number];
  /** The longest way, px. */
  readonly most: number;
}

/** A part that is drawn elsewhere. */
export interface Layer {
  /** Where it is in this picture. */
  readonly shape: Shape;
  /** Where a place of it is drawn. */
  readonly to: Affine;
  readonly bend: Bend | null;
  /** What passes in front of it and stays where it is. */
  readonly covers: readonly Shape[];
}

/** What changed in a picture: the new picture is old x (1 - alpha) + colour, in the rectangle. */
export interface Patch {
  readonly rect: Rect;
  /** Colours times alpha, interleaved. */
  readonly colour: Float32Array;
  readonly alpha: Float32Array;
  /** Share of the changed pixels that show what no frame shows. */
  readonly guessed: number;
}

interface Cut {
  readonly layer: Layer;
  readonly mask: SoftMask;
  readonly drawn: Rect;
  readonly back: Affine;
}

/** The mask that a part is cut out by: soft, less what lies over it. */
function cutMask(shape: Shape, covers: readonly Shape[], width: number, height: number): SoftMask | null {
  const mask = softMask(shape, GROW, EDGE, width, height);
  if (mask === null) return null;
  for (const cover of covers) {
    const over = softMask(cover, GROW, EDGE, width, height);
    if (over !== null) takeOut(mask, over);
  }
  return mask.share.some((share) => share > 0) ? mask : null;
}

/** What hides the set in another frame: no more than the outline itself, since what lies close beside it is wanted. */
export const plateMask = (shape: Shape, width: number, height: number): SoftMask | null =>
  softMask(shape, GROW, 1, width, height);

const union = (rects: readonly Rect[]): Rect => {
  const left = Math.min(...rects.map((rect) => rect.left));
  const top = Math.min(...rects.map((rect) => rect.top));
  return {
    left,
    top,
    width: Math.max(...rects.map((rect) => rect.left + rect.width)) - left,
    height: Math.max(...rects.map((rect) => rect.top + rect.height)) - top,
  };
};

/** The source of one layer: the picture, with what lies over the part painted out. */
function sourceOf(raster: Raster, cut: Cut, front: readonly Cut[]): SplineCrop {
  const { mask } = cut;
  const over = new Float32Array(mask.share.length);
  let covered = false;
  for (const { mask: other } of front) {
    const x0 = Math.max(mask.left, other.left);
    const x1 = Math.min(mask.left + mask.width, other.left + other.width);
    const y0 = Math.max(mask.top, other.top);
    const y1 = Math.min(mask.top + mask.height, other.top + other.height);
    for (let y = y0; y < y1; y++)
      for (let x = x0; x < x1; x++) {
        const share = other.share[(y - other.top) * other.width + x - other.left];
        const at = (y - mask.top) * mask.width + x - mask.left;
        if (share <= 0) continue;
        over[at] = Math.max(over[at], share);
        covered ||= mask.share[at] > 0;
      }
  }
  return covered ? splineCrop(raster, mask, uncovered(raster, mask, mask.share, over)) : splineCrop(raster, mask);
}

/** Where a place of the new picture comes from: the rigid way back, and the bend by steps, which settle quickly. */
const STEPS = 4;
function cameFrom({ layer, back }: Cut, x: number, y: number): [number, number] {
  let at = mapped(back, x, y);
  if (layer.bend === null) return at;
  for (let step = 0; step < STEPS; step++) {
    const [bx, by] = layer.bend.at(at[0], at[1]);
    at = mapped(back, x - bx, y - by);
  }
  return at;
}

/**
 * Draws parts of a picture elsewhere, each with a soft edge, and what they leave behind them.
 * @param layers from the back to the front
 * @param plates other frames, the best first; their size is the picture's
 * @returns null where nothing changes
 */
export function redraw(raster: Raster, layers: readonly Layer[], plates: readonly Plate[]): Patch | null {
  const { width, height } = raster;
  const cuts: Cut[] = [];
  for (const layer of layers) {
    const mask = cutMask(layer.shape, layer.covers, width, height);
    if (mask === null) continue;
    const drawn = rectAround(
      cornersOf(mask).map(([x, y]) => mapped(layer.to, x, y)),
      1 + (layer.bend?.most ?? 0),
      width,
      height,
    );
    // A part that is drawn outside the picture still leaves its hole.
    cuts.push({ layer, mask, drawn: drawn ?? { ...mask, width: 0, height: 0 }, back: inverseOf(layer.to) });
  }
  if (cuts.length === 0) return null;
  const whole = union(cuts.flatMap(({ mask, drawn }) => (drawn.width > 0 ? [mask, drawn] : [mask])));
  // Room around, so that there is something to fill from.
  const rect = rectAround(cornersOf(whole), 8, width, height) ?? whole;
  const colours = coloursOf(raster);
  const alpha = new Float32Array(rect.width * rect.height);
  for (const { mask } of cuts) {
    for (let y = 0; y < mask.height; y++)
      for (let x = 0; x < mask.width; x++) {
        const at = (mask.top + y - rect.top) * rect.width + mask.left + x - rect.left;
        alpha[at] = Math.max(alpha[at], mask.share[y * mask.width + x]);
      }
  }
  const { values: colour, guessed } = behind(raster, rect, alpha, plates);
  for (let i = 0; i < alpha.length; i++) for (let c = 0; c < colours; c++) colour[i * colours + c] *= alpha[i];
  const bare = Float32Array.from(guessed);
  const white = whiteOf(raster);
  const sample = new Float64Array(3);
  cuts.forEach((cut, order) => {
    const { drawn, mask } = cut;
    if (drawn.width === 0) return;
    const source = sourceOf(raster, cut, cuts.slice(order + 1));
    for (let y = drawn.top; y < drawn.top + drawn.height; y++) {
      for (let x = drawn.left; x < drawn.left + drawn.width; x++) {
        const [sx, sy] = cameFrom(cut, x + 0.5, y + 0.5);
        const share = shareAt(mask, sx, sy);
        if (share <= 0) continue;
        sampleColours(source, sx, sy, sample);
        const at = (y - rect.top) * rect.width + x - rect.left;
        for (let c = 0; c < colours; c++) {
          const value = Math.min(white, Math.max(0, sample[c]));
          colour[at * colours + c] += share * (value - colour[at * colours + c]);
        }
        alpha[at] += share * (1 - alpha[at]);
        bare[at] *= 1 - share;
      }
    }
  });
  let [changed, unknown] = [0, 0];
  for (let i = 0; i < alpha.length; i++) {
    changed += alpha[i];
    unknown += bare[i];
  }
  return { rect, colour, alpha, guessed: changed > 0 ? unknown / changed : 0 };
}

/** Puts a patch into a picture of the same channels, in place. */
export function applyPatch(raster: Raster, { rect, colour, alpha }: Patch): void {
  const colours = coloursOf(raster);
  const isWhole = !(raster.data instanceof Uint8ClampedArray);
  for (let y = 0; y < rect.height; y++) {
    for (let x = 0; x < rect.width; x++) {
      const at = y * rect.width + x;
      if (alpha[at] <= 0) continue;
      const to = ((rect.top + y) * raster.width + rect.left + x) * raster.channels;
      for (let c = 0; c < colours; c++) {
        const value = raster.data[to + c] * (1 - alpha[at]) + colour[at * colours + c];
        raster.data[to + c] = isWhole ? value + 0.5 : value;
      }
    }
  }
}

/**
 * The whole picture, or a rectangle of it, drawn elsewhere, as when the camera is put back. What comes in at its edges
 * is filled from plates or from the picture's own edge.
 * @param to where a place of the picture is drawn
 * @param plates relative to the new picture
 */
export function redrawWhole(raster: Raster, to: Affine, plates: readonly Plate[], rect: Rect): Patch {
  const colours = coloursOf(raster);
  const back = inverseOf(to);
  const from = cornersOf(rect).map(([x, y]) => mapped(back, x, y));
  const source = splineCrop(raster, rectAround(from, 3, raster.width, raster.height) ?? rect);
  const white = whiteOf(raster);
  const size = rect.width * rect.height;
  const colour = new Float32Array(size * colours);
  const outside = new Float32Array(size);
  const sample = new Float64Array(3);
  let gone = 0;
  for (let y = 0; y < rect.height; y++) {
    for (let x = 0; x < rect.width; x++) {
      const [sx, sy] = mapped(back, rect.left + x + 0.5, rect.top + y + 0.5);
      const at = y * rect.width + x;
      if (sx < 0 || sy < 0 || sx > raster.width || sy > raster.height) {
        outside[at] = 1;
        gone += 1;
      }
      sampleColours(source, sx, sy, sample);
      for (let c = 0; c < colours; c++) colour[at * colours + c] = Math.min(white, Math.max(0, sample[c]));
    }
  }
  let guessed = gone;
  if (gone > 0 && plates.length > 0) {
    // Told of as a picture of its own, whose left top corner is the rectangle's.
    const own: Raster = {
      width: rect.width,
      height: rect.height,
      channels: colours,
      data: Uint16Array.from(colour, Math.round),
    };
    const shifted = plates.map((plate) => ({
      ...plate,
      to: followedBy([1, 0, rect.left, 0, 1, rect.top], plate.to),
    }));
    const filled = behind(own, { ...rect, left: 0, top: 0 }, outside, shifted);
    guessed = 0;
    for (let at = 0; at < size; at++) {
      if (outside[at] === 0) continue;
      guessed += filled.guessed[at];
      for (let c = 0; c < colours; c++) colour[at * colours + c] = filled.values[at * colours + c];
    }
  }
  return { rect, colour, alpha: new Float32Array(size).fill(1), guessed: guessed / size };
}
