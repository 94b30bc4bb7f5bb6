/** A picture of several interleaved channels, as encoded: `data[(y * width + x) * channels + c]`. Alpha is not looked at. */
export interface Raster {
  readonly width: number;
  readonly height: number;
  readonly channels: 1 | 2 | 3 | 4;
  readonly data: Uint8Array | Uint8ClampedArray | Uint16Array;
}

/** How many of a raster's channels are colour. */
export const coloursOf = ({ channels }: Raster): 1 | 3 => (channels < 3 ? 1 : 3);

/** The largest value that a sample can have. */
export const whiteOf = ({ data }: Raster): number => (data instanceof Uint16Array ? 65_535 : 255);

/** A rectangle of pixels: from `left`, `top`, inclusive. */
export interface Rect {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** The smallest rectangle around points, grown by `margin` and cut to the picture; null where nothing is left. */
export function rectAround(
  points: readonly (readonly [number, number])[],
  margin: number,
  width: number,
  height: number,
): Rect | null {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    x0 = Math.min(x0, x);
    y0 = Math.min(y0, y);
    x1 = Math.max(x1, x);
    y1 = Math.max(y1, y);
  }
  const left = Math.max(0, Math.floor(x0 - margin));
  const top = Math.max(0, Math.floor(y0 - margin));
  const [w, h] = [Math.min(width, Math.ceil(x1 + margin)) - left, Math.min(height, Math.ceil(y1 + margin)) - top];
  return w > 0 && h > 0 ? { left, top, width: w, height: h } : null;
}

export const cornersOf = ({ left, top, width, height }: Rect): [number, number][] => [
  [left, top],
  [left + width, top],
  [left, top + height],
  [left + width, top + height],
];
