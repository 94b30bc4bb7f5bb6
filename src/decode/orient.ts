import type { Pixels } from "./pixels.ts";

/** EXIF orientation, 1 to 8: 1 is upright, 6 needs a quarter turn clockwise, 8 one counter-clockwise. */
export type Orientation = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

/** True where width and height change places. */
export const isTurned = (orientation: Orientation): boolean => orientation >= 5;

/** Square that is copied at a time: a quarter turn walks the source by columns, and columns of this length stay in the cache. */
const TILE = 64;

/** Where oriented pixel (0, 0) lies in the stored picture, and the way from one to the next, in pixels of the array. */
const walk = (orientation: Orientation, w: number, h: number): { start: number; stepX: number; stepY: number } => {
  const right = w - 1;
  const bottom = (h - 1) * w;
  switch (orientation) {
    case 1:
      return { start: 0, stepX: 1, stepY: w };
    case 2:
      return { start: right, stepX: -1, stepY: w };
    case 3:
      return { start: bottom + right, stepX: -1, stepY: -w };
    case 4:
      return { start: bottom, stepX: 1, stepY: -w };
    case 5:
      return { start: 0, stepX: w, stepY: 1 };
    case 6:
      return { start: bottom, stepX: -w, stepY: 1 };
    case 7:
      return { start: bottom + right, stepX: -w, stepY: -1 };
    case 8:
      return { start: right, stepX: w, stepY: -1 };
  }
};

type Data = Uint8Array | Uint16Array | Uint32Array;

const copy = (from: Data, to: Data, values: number, turned: Pixels, way: ReturnType<typeof walk>): void => {
  const { width, height } = turned;
  for (let top = 0; top < height; top += TILE) {
    const bottom = Math.min(height, top + TILE);
    for (let left = 0; left < width; left += TILE) {
      const right = Math.min(width, left + TILE);
      for (let y = top; y < bottom; y++) {
        let source = (way.start + left * way.stepX + y * way.stepY) * values;
        let target = (y * width + left) * values;
        for (let x = left; x < right; x++) {
          for (let v = 0; v < values; v++) to[target + v] = from[source + v];
          source += way.stepX * values;
          target += values;
        }
      }
    }
  }
};

/** Turns a stored picture upright by its EXIF orientation. The input is left alone; orientation 1 gives it back. */
export const orient = (pixels: Pixels, orientation: Orientation): Pixels => {
  if (orientation === 1) return pixels;
  const { channels, bits, data } = pixels;
  const turned = isTurned(orientation);
  const oriented = {
    width: turned ? pixels.height : pixels.width,
    height: turned ? pixels.width : pixels.height,
    channels,
    bits,
    data: bits === 16 ? new Uint16Array(data.length) : new Uint8Array(data.length),
  };
  const way = walk(orientation, pixels.width, pixels.height);
  // A pixel of four bytes is moved as one word.
  if (bits === 8 && channels === 4 && data.byteOffset % 4 === 0) {
    const words = data.length / 4;
    copy(new Uint32Array(data.buffer, data.byteOffset, words), new Uint32Array(oriented.data.buffer), 1, oriented, way);
  } else copy(data as Data, oriented.data, channels, oriented, way);
  return oriented;
};
