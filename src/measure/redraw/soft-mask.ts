import { type Polygon, polygonMask } from "../mask.ts";
import { nearestIn } from "./distance.ts";
import { type Rect, rectAround } from "./raster.ts";

/** How much of each pixel of a rectangle belongs: 1 inside, falling softly to 0 outside. */
export interface SoftMask extends Rect {
  readonly share: Float32Array;
}

/** An outline with its holes, px of the picture. */
export interface Shape {
  readonly points: Polygon;
  readonly holes: readonly Polygon[];
}

const smooth = (t: number): number => t * t * (3 - 2 * t);

/**
 * The share of each pixel in a shape: 1 within `grow` px of it, nothing from `grow + edge` px on.
 * @returns null where the shape is outside the picture
 */
export function softMask(shape: Shape, grow: number, edge: number, width: number, height: number): SoftMask | null {
  const rect = rectAround(shape.points, Math.ceil(grow + edge) + 1, width, height);
  if (rect === null) return null;
  const mask = polygonMask(shape.points, shape.holes, width, height);
  const inside = new Uint8Array(rect.width * rect.height);
  for (let y = 0; y < mask.height; y++) {
    const into = (mask.top + y - rect.top) * rect.width + mask.left - rect.left;
    if (mask.top + y < rect.top || mask.top + y >= rect.top + rect.height) continue;
    inside.set(mask.data.subarray(y * mask.width, (y + 1) * mask.width), into);
  }
  const { distance } = nearestIn(inside, rect.width, rect.height);
  const share = new Float32Array(distance.length);
  for (let i = 0; i < share.length; i++) {
    // Pixels are counted by their middles: a member's edge is half a pixel out.
    const t = inside[i] === 1 ? 0 : (distance[i] - 0.5 - grow) / edge;
    share[i] = t <= 0 ? 1 : t >= 1 ? 0 : 1 - smooth(t);
  }
  return { ...rect, share };
}

/** Takes another mask's share out of a mask, in place. */
export function takeOut(from: SoftMask, other: SoftMask): void {
  const x0 = Math.max(from.left, other.left);
  const x1 = Math.min(from.left + from.width, other.left + other.width);
  const y0 = Math.max(from.top, other.top);
  const y1 = Math.min(from.top + from.height, other.top + other.height);
  for (let y = y0; y < y1; y++)
    for (let x = x0; x < x1; x++) {
      const at = (y - from.top) * from.width + x - from.left;
      from.share[at] *= 1 - other.share[(y - other.top) * other.width + x - other.left];
    }
}

/** Share at a place, bilinear, px; nothing outside the rectangle. */
export function shareAt(mask: SoftMask, x: number, y: number): number {
  const [u, v] = [x - 0.5 - mask.left, y - 0.5 - mask.top];
  const [i, j] = [Math.floor(u), Math.floor(v)];
  const [f, g] = [u - i, v - j];
  const { width, height, share } = mask;
  if (i < -1 || j < -1 || i >= width || j >= height) return 0;
  const [left, right, top, bottom] = [i >= 0, i + 1 < width, j >= 0, j + 1 < height];
  const at = j * width + i;
  const above = top ? (1 - f) * (left ? share[at] : 0) + f * (right ? share[at + 1] : 0) : 0;
  const below = bottom ? (1 - f) * (left ? share[at + width] : 0) + f * (right ? share[at + width + 1] : 0) : 0;
  return (1 - g) * above + g * below;
}
