/** A set of pixels in a rectangle of the picture: `data` is 1 where a pixel belongs. */
export interface Mask {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}

export type Polygon = readonly (readonly [number, number])[];

/**
 * Pixels whose centre lies inside (even-odd) the outline and outside its holes. The rectangle is the outline's
 * bounding box cut to the picture, and at least one pixel large.
 * @param outline px, centre of pixel i at i + 0.5
 */
export function polygonMask(outline: Polygon, holes: readonly Polygon[], width: number, height: number): Mask {
  let x0 = Number.POSITIVE_INFINITY;
  let y0 = Number.POSITIVE_INFINITY;
  let x1 = Number.NEGATIVE_INFINITY;
  let y1 = Number.NEGATIVE_INFINITY;
  for (const [x, y] of outline) {
    x0 = Math.min(x0, x);
    y0 = Math.min(y0, y);
    x1 = Math.max(x1, x);
    y1 = Math.max(y1, y);
  }
  const left = Math.max(0, Math.min(width - 1, Math.floor(x0)));
  const top = Math.max(0, Math.min(height - 1, Math.floor(y0)));
  const w = Math.max(1, Math.min(width, Math.ceil(x1)) - left);
  const h = Math.max(1, Math.min(height, Math.ceil(y1)) - top);
  const data = new Uint8Array(w * h);
  const mask: Mask = { left, top, width: w, height: h, data };
  fillRing(mask, outline, 1);
  // Each by itself: a hole may reach beyond the outline, or into another hole.
  for (const hole of holes) fillRing(mask, hole, 0);
  return mask;
}

function fillRing({ left, top, width, height, data }: Mask, ring: Polygon, value: 0 | 1): void {
  const crossings: number[] = [];
  for (let row = 0; row < height; row++) {
    const y = top + row + 0.5;
    crossings.length = 0;
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [ax, ay] = ring[i];
      const [bx, by] = ring[j];
      if (ay > y !== by > y) crossings.push(ax + ((y - ay) / (by - ay)) * (bx - ax));
    }
    crossings.sort((a, b) => a - b);
    for (let k = 0; k + 1 < crossings.length; k += 2) {
      const from = Math.max(0, Math.ceil(crossings[k] - 0.5 - left));
      const to = Math.min(width - 1, Math.ceil(crossings[k + 1] - 0.5 - left) - 1);
      for (let x = from; x <= to; x++) data[row * width + x] = value;
    }
  }
}

export function countMask(mask: Mask): number {
  let count = 0;
  for (const value of mask.data) count += value;
  return count;
}

/** Takes `distance` px off the mask all round (chessboard distance); pixels at the rectangle's border count as edge. */
export function erodeMask(mask: Mask, distance: number): Mask {
  if (distance <= 0) return mask;
  const { width, height } = mask;
  const pass = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    let run = 0;
    const row = y * width;
    // A pixel stays where the run of members around it reaches `distance` both ways.
    for (let x = 0; x < width; x++) {
      run = mask.data[row + x] === 1 ? run + 1 : 0;
      if (run > 2 * distance) pass[row + x - distance] = 1;
    }
  }
  const data = new Uint8Array(width * height);
  for (let x = 0; x < width; x++) {
    let run = 0;
    for (let y = 0; y < height; y++) {
      run = pass[y * width + x] === 1 ? run + 1 : 0;
      if (run > 2 * distance) data[(y - distance) * width + x] = 1;
    }
  }
  return { ...mask, data };
}

/** Area and centroid of a polygon, px; the mean of its points where it has no area. */
export function polygonCentroid(outline: Polygon): { area: number; x: number; y: number } {
  let area = 0;
  let x = 0;
  let y = 0;
  for (let i = 0, j = outline.length - 1; i < outline.length; j = i++) {
    const [ax, ay] = outline[j];
    const [bx, by] = outline[i];
    const cross = ax * by - bx * ay;
    area += cross / 2;
    x += ((ax + bx) * cross) / 6;
    y += ((ay + by) * cross) / 6;
  }
  if (Math.abs(area) < 1e-9) {
    const n = outline.length;
    return {
      area: 0,
      x: outline.reduce((sum, p) => sum + p[0], 0) / n,
      y: outline.reduce((sum, p) => sum + p[1], 0) / n,
    };
  }
  return { area: Math.abs(area), x: x / area, y: y / area };
}

export function insidePolygon(outline: Polygon, x: number, y: number): boolean {
  let inside = false;
  for (let i = 0, j = outline.length - 1; i < outline.length; j = i++) {
    const [ax, ay] = outline[i];
    const [bx, by] = outline[j];
    if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) inside = !inside;
  }
  return inside;
}
