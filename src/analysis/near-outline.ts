import { insidePolygon, type Polygon } from "../measure/mask.ts";

// Whether a place lies in an outline, or near to it. All px of one frame.

/** An outline with the rectangle around it, a margin wider on all sides. */
export interface Bounded {
  readonly outline: Polygon;
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

export function bounded(outline: Polygon, margin: number): Bounded {
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
  return { outline, x0: x0 - margin, y0: y0 - margin, x1: x1 + margin, y1: y1 + margin };
}

export const isWithin = ({ x0, y0, x1, y1 }: Bounded, x: number, y: number): boolean =>
  x >= x0 && x <= x1 && y >= y0 && y <= y1;

/** Nearer than the margin to a side of the outline. */
export function nearEdge(outline: Polygon, x: number, y: number, margin: number): boolean {
  const n = outline.length;
  if (n === 0) return false;
  let [ax, ay] = outline[n - 1];
  for (let i = 0; i < n; i++) {
    const side = outline[i];
    const bx = side[0];
    const by = side[1];
    // Most sides are far away.
    const isFar =
      (x < ax - margin && x < bx - margin) ||
      (x > ax + margin && x > bx + margin) ||
      (y < ay - margin && y < by - margin) ||
      (y > ay + margin && y > by + margin);
    if (!isFar) {
      const dx = bx - ax;
      const dy = by - ay;
      const length = dx * dx + dy * dy;
      const t = length > 0 ? Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / length)) : 0;
      const u = ax + t * dx - x;
      const v = ay + t * dy - y;
      if (u * u + v * v < margin * margin) return true;
    }
    ax = bx;
    ay = by;
  }
  return false;
}

/** In the outline, or nearer than the margin to it. */
export const nearPolygon = (outline: Polygon, x: number, y: number, margin: number): boolean =>
  insidePolygon(outline, x, y) || nearEdge(outline, x, y, margin);

/** The same for any of many outlines and many places. */
export function nearAny(outlines: readonly Polygon[], margin: number): (x: number, y: number) => boolean {
  const all = outlines.map((outline) => bounded(outline, margin));
  return (x, y) => all.some((one) => isWithin(one, x, y) && nearPolygon(one.outline, x, y, margin));
}
