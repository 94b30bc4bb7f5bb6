import type { Point } from "./similarity.ts";

/** Share of each cell of a grid that a polygon covers, exact. Cell (col, row) of `data` is cell (left + col, top + row) of the grid. */
export interface Coverage {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  /** Row-major, 0 to 1. */
  readonly data: Float32Array;
}

const areaOf = (ring: readonly Point[]): number => {
  let twice = 0;
  for (let i = 0; i < ring.length; i++) {
    const [x0, y0] = ring[i];
    const [x1, y1] = ring[(i + 1) % ring.length];
    twice += x0 * y1 - x1 * y0;
  }
  return twice / 2;
};

/** Cuts a polygon at the half plane where `side` is not negative (Sutherland & Hodgman 1974). `side` is affine. */
function cut(ring: readonly Point[], side: (p: Point) => number): Point[] {
  const out: Point[] = [];
  for (let i = 0; i < ring.length; i++) {
    const p = ring[i];
    const q = ring[(i + 1) % ring.length];
    const sp = side(p);
    const sq = side(q);
    if (sp >= 0) out.push(p);
    if (sp >= 0 !== sq >= 0) {
      const t = sp / (sp - sq);
      out.push([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]);
    }
  }
  return out;
}

/**
 * Adds one edge to a table of area differences: the running sum along a row is the signed area to the right of all
 * edges, cell by cell (the accumulation buffer of Levien's font-rs; exact for straight edges).
 */
function addEdge(table: Float64Array, stride: number, p: Point, q: Point): void {
  if (p[1] === q[1]) return;
  const sign = p[1] < q[1] ? 1 : -1;
  const [upper, lower] = sign > 0 ? [p, q] : [q, p];
  const slope = (lower[0] - upper[0]) / (lower[1] - upper[1]);
  const lastRow = Math.ceil(lower[1]);
  for (let row = Math.floor(upper[1]); row < lastRow; row++) {
    const yTop = Math.max(row, upper[1]);
    const yBottom = Math.min(row + 1, lower[1]);
    const xTop = upper[0] + slope * (yTop - upper[1]);
    const xBottom = upper[0] + slope * (yBottom - upper[1]);
    const drop = sign * (yBottom - yTop);
    const x0 = Math.min(xTop, xBottom);
    const x1 = Math.max(xTop, xBottom);
    const first = Math.floor(x0);
    const base = row * stride;
    if (x1 <= first + 1) {
      const beyond = 0.5 * (x0 + x1) - first;
      table[base + first] += drop * (1 - beyond);
      table[base + first + 1] += drop * beyond;
      continue;
    }
    // The area right of the edge and left of x, as a function of x, is a parabola between x0 and x1.
    const span = x1 - x0;
    const areaUpTo = (x: number): number =>
      x <= x0 ? 0 : x >= x1 ? x - 0.5 * (x0 + x1) : ((x - x0) * (x - x0)) / (2 * span);
    let before = 0;
    let coveredBefore = 0;
    for (let cell = first; coveredBefore < 1; cell++) {
      const after = areaUpTo(cell + 1);
      const covered = cell + 1 >= x1 + 1 ? 1 : after - before;
      table[base + cell] += drop * (covered - coveredBefore);
      before = after;
      coveredBefore = covered;
    }
  }
}

/**
 * Exact coverage of the unit cells of a grid by a polygon with holes, in grid units, cut to the box from (left, top) to
 * (right, bottom). Rings must not cross themselves or each other. Null where nothing of it is inside.
 */
export function coverageOf(
  outline: readonly Point[],
  holes: readonly (readonly Point[])[],
  box: { readonly left: number; readonly top: number; readonly right: number; readonly bottom: number },
): Coverage | null {
  const rings: Point[][] = [];
  for (const [index, ring] of [outline, ...holes].entries()) {
    let clipped = cut(ring, (p) => p[0] - box.left);
    clipped = cut(clipped, (p) => box.right - p[0]);
    clipped = cut(clipped, (p) => p[1] - box.top);
    clipped = cut(clipped, (p) => box.bottom - p[1]);
    if (clipped.length < 3) continue;
    const wanted = index === 0 ? 1 : -1;
    rings.push(Math.sign(areaOf(ring)) === wanted ? clipped : clipped.reverse());
  }
  const points = rings.flat();
  if (points.length === 0) return null;
  const left = Math.floor(Math.min(...points.map((p) => p[0])));
  const top = Math.floor(Math.min(...points.map((p) => p[1])));
  const width = Math.ceil(Math.max(...points.map((p) => p[0]))) - left;
  const height = Math.ceil(Math.max(...points.map((p) => p[1]))) - top;
  if (width <= 0 || height <= 0) return null;
  const stride = width + 2;
  const table = new Float64Array(stride * height);
  for (const ring of rings) {
    const local = ring.map(([x, y]) => [x - left, y - top] as const);
    for (let i = 0; i < local.length; i++) addEdge(table, stride, local[i], local[(i + 1) % local.length]);
  }
  const data = new Float32Array(width * height);
  for (let row = 0; row < height; row++) {
    let sum = 0;
    for (let col = 0; col < width; col++) {
      sum += table[row * stride + col];
      // Edges that go down on the right of the inside give a negative sum.
      const share = Math.abs(sum);
      data[row * width + col] = share < 1e-9 ? 0 : share > 1 - 1e-9 ? 1 : share;
    }
  }
  return { left, top, width, height, data };
}
