import { type Affine, mapped } from "../affine.ts";
import { inpaint } from "./inpaint.ts";
import { coloursOf, cornersOf, type Raster, type Rect, rectAround } from "./raster.ts";
import { shareAt, type SoftMask } from "./soft-mask.ts";
import { sampleColours, splineCrop } from "./spline-crop.ts";

/** Another frame of the shot, in which something may be seen that is covered in this one. */
export interface Plate {
  readonly raster: Raster;
  /** Where a place of this picture lies in the plate: the camera's motion between them. */
  readonly to: Affine;
  /** What covers the set in the plate. */
  readonly covered: readonly SoftMask[];
}

/** What lies behind a hole. */
export interface Behind {
  /** Colours of the whole rectangle, interleaved. */
  readonly values: Float32Array;
  /** Pixels of the hole that no plate shows: they are a guess. */
  readonly guessed: Uint8Array;
}

/** Light of a plate may differ from the frame's by this much, as a ratio; what differs more is no light. */
const MOST_GAIN = 1.25;

/** The part of a picture that lies in a rectangle, interleaved, colours alone. */
function colours(raster: Raster, rect: Rect): Float32Array {
  const count = coloursOf(raster);
  const out = new Float32Array(rect.width * rect.height * count);
  for (let y = 0, to = 0; y < rect.height; y++) {
    let from = ((rect.top + y) * raster.width + rect.left) * raster.channels;
    for (let x = 0; x < rect.width; x++, from += raster.channels)
      for (let c = 0; c < count; c++) out[to++] = raster.data[from + c];
  }
  return out;
}

/**
 * What is behind a hole in a picture: seen in a plate where one shows it, its light brought to the picture's, else
 * filled from around the hole.
 * @param hole share of the hole in each pixel of the rectangle; what has none is the picture itself
 * @param plates the best first
 */
export function behind(raster: Raster, rect: Rect, hole: Float32Array, plates: readonly Plate[]): Behind {
  const count = coloursOf(raster);
  const size = rect.width * rect.height;
  const values = colours(raster, rect);
  const known = new Uint8Array(size);
  for (let i = 0; i < size; i++) known[i] = hole[i] > 0 ? 0 : 1;
  const rim = known.slice();
  const seen = new Float32Array(size * count);
  const sample = new Float64Array(3);
  for (const plate of plates) {
    if (!known.includes(0)) break;
    const area = rectAround(
      cornersOf(rect).map(([x, y]) => mapped(plate.to, x, y)),
      2,
      plate.raster.width,
      plate.raster.height,
    );
    if (area === null) continue;
    const crop = splineCrop(plate.raster, area);
    const shown = new Uint8Array(size);
    const [sums, of] = [new Float64Array(count), new Float64Array(count)];
    for (let y = 0; y < rect.height; y++) {
      for (let x = 0; x < rect.width; x++) {
        const at = y * rect.width + x;
        // On the rim every fourth pixel is enough to tell the light by.
        const onRim = rim[at] === 1;
        if (onRim ? (x + y) % 4 !== 0 : known[at] === 1) continue;
        const [px, py] = mapped(plate.to, rect.left + x + 0.5, rect.top + y + 0.5);
        if (px < 0 || py < 0 || px >= plate.raster.width || py >= plate.raster.height) continue;
        if (plate.covered.some((mask) => shareAt(mask, px, py) > 0)) continue;
        sampleColours(crop, px, py, sample);
        if (onRim) {
          for (let c = 0; c < count; c++) {
            const [is, was] = [values[at * count + c], sample[c]];
            if (is > MOST_GAIN * was || was > MOST_GAIN * is) continue;
            sums[c] += is;
            of[c] += was;
          }
        } else {
          shown[at] = 1;
          for (let c = 0; c < count; c++) seen[at * count + c] = sample[c];
        }
      }
    }
    for (let at = 0; at < size; at++) {
      if (shown[at] === 0) continue;
      known[at] = 1;
      for (let c = 0; c < count; c++) values[at * count + c] = seen[at * count + c] * (of[c] > 0 ? sums[c] / of[c] : 1);
    }
  }
  const guessed = known.map((each) => 1 - each);
  inpaint(values, known, rect.width, rect.height, count);
  return { values, guessed };
}

/**
 * A part as it is by itself: what lies over it is filled from the part's own surface.
 * @param own share of the part in each pixel of the rectangle
 * @param over share of what lies over it
 */
export function uncovered(raster: Raster, rect: Rect, own: Float32Array, over: Float32Array): Float32Array {
  const values = colours(raster, rect);
  const known = new Uint8Array(own.length);
  const isOpen = new Uint8Array(own.length);
  for (let i = 0; i < own.length; i++) {
    isOpen[i] = own[i] > 0 && over[i] > 0 ? 1 : 0;
    known[i] = own[i] >= 1 && over[i] === 0 ? 1 : 0;
  }
  const filled = values.slice();
  inpaint(filled, known, rect.width, rect.height, coloursOf(raster));
  const count = coloursOf(raster);
  for (let i = 0; i < own.length; i++)
    if (isOpen[i] === 1) for (let c = 0; c < count; c++) values[i * count + c] = filled[i * count + c];
  return values;
}
