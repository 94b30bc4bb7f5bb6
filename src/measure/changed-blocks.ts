import type { GridReference, GridResult } from "./grid.ts";
import type { PreparedFrame } from "./prepared.ts";
import { selected } from "./statistics/selected.ts";

// What is in a frame that was not in the reference, at a finer resolution than the background grid's: blocks of 8 px of
// the registered frame against the same blocks of the reference. The light's change there, shadows with soft edges among
// it, is told by the ratio of the blocks round about and taken out; what is left is compared with what noise leaves.

/** Side of a block, px of the analysed frame. */
export const BLOCK = 8;
/** Standard errors from which on a block has changed. */
export const CHANGED_Z = 6.5;
/** And grey levels: nobody sees less. */
const LEAST_CHANGE = 2;
/** Added to both levels before their ratio is told: in black a ratio is noise. */
const PEDESTAL = 8;
/** Brighter than this a block is near clipping, where no ratio holds. */
const NEARLY_WHITE = 250;
/** What registration leaves of a block's gradient: px, and share of the part that a whole pixel leaves over. */
const REGISTRATION = 0.02;
const OF_REMAINDER = 0.1;
/** What the light's own shape leaves over where it changes from block to block, as at a shadow's edge: share of its spread round about. */
const OF_SLOPE = 0.12;
/** Near the border of the picture, where rings are one-sided, nothing is told where they span more levels beyond noise. */
const MOST_SPAN_AT_BORDER = 1;
/** Rings of blocks round a block by their distance, and the mean square of their blocks' places along an axis. */
const NEAR = 2;
const FAR = 4;
const CURVATURE = 2.75 / (10.75 - 2.75);

/** Blocks that changed, one value a block, by rising index: row-major in the grid of blocks. */
export interface ChangedBlocks {
  readonly cols: number;
  readonly index: Uint32Array;
  /** Grey levels of the even scale, brighter is positive. */
  readonly change: Float32Array;
  readonly z: Float32Array;
  /** Rectangle of the changed pixels inside each block: left, top, right, bottom, px of the analysed frame. */
  readonly box: Float32Array;
}

interface BlockReference {
  readonly cols: number;
  readonly rows: number;
  readonly mean: Float32Array;
  readonly gradientX: Float32Array;
  readonly gradientY: Float32Array;
}

const references = new WeakMap<GridReference, BlockReference>();

function blockMeans(data: Float32Array, width: number, cols: number, rows: number): Float32Array {
  const out = new Float32Array(cols * rows);
  for (let y = 0; y < rows * BLOCK; y++) {
    const to = Math.floor(y / BLOCK) * cols;
    let at = y * width;
    for (let c = 0; c < cols; c++) {
      let sum = 0;
      for (let x = 0; x < BLOCK; x++, at++) sum += data[at];
      out[to + c] = out[to + c] + sum / BLOCK ** 2;
    }
  }
  return out;
}

function blocksOf(reference: GridReference): BlockReference {
  let known = references.get(reference);
  if (known === undefined) {
    const { width, height, even, gradientX, gradientY } = reference.frame;
    const [cols, rows] = [Math.floor(width / BLOCK), Math.floor(height / BLOCK)];
    known = {
      cols,
      rows,
      mean: blockMeans(even.data, width, cols, rows),
      gradientX: blockMeans(gradientX.data, width, cols, rows),
      gradientY: blockMeans(gradientY.data, width, cols, rows),
    };
    references.set(reference, known);
  }
  return known;
}

/** Math.hypot takes care of overflow, and ten times as long. */
const length = (a: number, b: number): number => Math.sqrt(a * a + b * b);

const upperMiddle = (values: Float32Array): number => values.sort()[values.length >> 1];

/** Sorts the first n, a handful, in place. */
function sortFew(values: Float64Array, n: number): void {
  for (let i = 1; i < n; i++) {
    const value = values[i];
    let at = i;
    for (; at > 0 && values[at - 1] > value; at--) values[at] = values[at - 1];
    values[at] = value;
  }
}

/** Cells round about that must be found to tell the motion there. */
const LEAST_NEAR = 4;

/** Motion near each cell of the grid: the middle of the cells found round about, so that what covers one cell moves nothing. */
function motionNear(reference: GridReference, { valid, dx, dy }: GridResult): { x: Float32Array; y: Float32Array } {
  const { cols, rows } = reference.layout;
  const found = (values: Float32Array): Float32Array => values.filter((_, i) => valid[i] === 1);
  const [allX, allY] = [found(dx), found(dy)];
  const x = new Float32Array(cols * rows).fill(allX.length === 0 ? 0 : upperMiddle(allX));
  const y = new Float32Array(cols * rows).fill(allY.length === 0 ? 0 : upperMiddle(allY));
  const [nearX, nearY] = [new Float64Array(9), new Float64Array(9)];
  for (let r = 0; r < rows; r++)
    for (let c = 0; c < cols; c++) {
      let n = 0;
      for (let v = Math.max(0, r - 1); v <= Math.min(rows - 1, r + 1); v++)
        for (let u = Math.max(0, c - 1); u <= Math.min(cols - 1, c + 1); u++) {
          const i = v * cols + u;
          if (valid[i] !== 1) continue;
          nearX[n] = dx[i];
          nearY[n++] = dy[i];
        }
      if (n < LEAST_NEAR) continue;
      sortFew(nearX, n);
      sortFew(nearY, n);
      x[r * cols + c] = nearX[n >> 1];
      y[r * cols + c] = nearY[n >> 1];
    }
  return { x, y };
}

/** Sums over the rectangle from the corner, one row and column of zeros first. */
function integral(values: Float32Array, cols: number, rows: number): Float64Array {
  const out = new Float64Array((cols + 1) * (rows + 1));
  for (let r = 0; r < rows; r++) {
    let sum = 0;
    for (let c = 0; c < cols; c++) {
      sum += values[r * cols + c];
      out[(r + 1) * (cols + 1) + c + 1] = out[r * (cols + 1) + c + 1] + sum;
    }
  }
  return out;
}

/** Sum over the blocks no farther away than `reach`, as many of them as lie in the picture. */
function boxSum(sums: Float64Array, cols: number, rows: number, c: number, r: number, reach: number): number {
  const l = Math.max(0, c - reach);
  const t = Math.max(0, r - reach) * (cols + 1);
  const right = Math.min(cols, c + reach + 1);
  const b = Math.min(rows, r + reach + 1) * (cols + 1);
  return sums[b + right] - sums[t + right] - sums[b + l] + sums[t + l];
}

function boxCount(cols: number, rows: number, c: number, r: number, reach: number): number {
  const across = Math.min(cols, c + reach + 1) - Math.max(0, c - reach);
  return across * (Math.min(rows, r + reach + 1) - Math.max(0, r - reach));
}

/** Mean over the ring of blocks at a distance, as much of it as lies in the picture. */
function ringMean(sums: Float64Array, cols: number, rows: number, c: number, r: number, distance: number): number {
  if (c >= distance && r >= distance && c < cols - distance && r < rows - distance) {
    const stride = cols + 1;
    const outer = (r - distance) * stride + c - distance;
    const inner = outer + stride + 1;
    const wide = 2 * distance + 1;
    const narrow = wide - 2;
    const outerBelow = outer + wide * stride;
    const innerBelow = inner + narrow * stride;
    const all = sums[outerBelow + wide] - sums[outer + wide] - sums[outerBelow] + sums[outer];
    const inside = sums[innerBelow + narrow] - sums[inner + narrow] - sums[innerBelow] + sums[inner];
    return (all - inside) / (8 * distance);
  }
  const sum = boxSum(sums, cols, rows, c, r, distance) - boxSum(sums, cols, rows, c, r, distance - 1);
  return sum / (boxCount(cols, rows, c, r, distance) - boxCount(cols, rows, c, r, distance - 1));
}

/** Most blocks of a ring. */
const MOST_OF_RING = 8 * FAR;

/** Blocks of the ring, in order: its middle can't be pulled away by something else that is there too. Returns how many. */
function ringSorted(
  values: Float32Array,
  cols: number,
  rows: number,
  c: number,
  r: number,
  distance: number,
  into: Float64Array,
): number {
  let n = 0;
  const [left, right] = [Math.max(0, c - distance), Math.min(cols - 1, c + distance)];
  for (let v = Math.max(0, r - distance), end = Math.min(rows - 1, r + distance); v <= end; v++) {
    const whole = Math.abs(v - r) === distance;
    for (let u = left; u <= right; u++) if (whole || Math.abs(u - c) === distance) into[n++] = values[v * cols + u];
  }
  sortFew(into, n);
  return n;
}

/** Mean of a block; where it lies on whole pixels of the quarter frame, of the four that it has there. */
function blockLevel({ even, quarter }: PreparedFrame, left: number, top: number): number {
  if (left % 4 === 0 && top % 4 === 0) {
    const at = (top / 4) * quarter.width + left / 4;
    const below = at + quarter.width;
    return (quarter.data[at] + quarter.data[at + 1] + quarter.data[below] + quarter.data[below + 1]) / 4;
  }
  const { data, width } = even;
  let sum = 0;
  for (let y = 0, at = top * width + left; y < BLOCK; y++, at += width)
    for (let x = 0; x < BLOCK; x++) sum += data[at + x];
  return sum / BLOCK ** 2;
}

/** The blocks of a frame that show something else than the reference does. */
export function changedBlocks(reference: GridReference, current: PreparedFrame, grid: GridResult): ChangedBlocks {
  const { cols, rows, mean, gradientX, gradientY } = blocksOf(reference);
  const { layout } = reference;
  const { width, height } = current;
  const count = cols * rows;
  const motion = motionNear(reference, grid);
  const nearest = (origin: number, most: number) => (_: unknown, at: number) =>
    Math.max(0, Math.min(most - 1, Math.round(((at + 0.5) * BLOCK - origin) / layout.step)));
  const cellCols = Int32Array.from({ length: cols }, nearest(layout.originX, layout.cols));
  const cellRows = Int32Array.from({ length: rows }, nearest(layout.originY, layout.rows));
  const cellOf = (c: number, r: number): number => cellRows[r] * layout.cols + cellCols[c];
  const expected = new Float32Array(count);
  const ratio = new Float32Array(count);
  const doubt = new Float32Array(count);
  const known = new Uint8Array(count);
  for (let r = 0, i = 0; r < rows; r++) {
    for (let c = 0; c < cols; c++, i++) {
      const cell = cellOf(c, r);
      const wholeX = Math.round(motion.x[cell]);
      const wholeY = Math.round(motion.y[cell]);
      const restX = motion.x[cell] - wholeX;
      const restY = motion.y[cell] - wholeY;
      const left = c * BLOCK + wholeX;
      const top = r * BLOCK + wholeY;
      ratio[i] = 1;
      if (left < 0 || top < 0 || left + BLOCK > width || top + BLOCK > height) continue;
      const level = blockLevel(current, left, top);
      // What moved by the rest to the right shows at a place what was that much further left.
      expected[i] = mean[i] - restX * gradientX[i] - restY * gradientY[i];
      doubt[i] = length(gradientX[i], gradientY[i]) * (REGISTRATION + OF_REMAINDER * length(restX, restY));
      if (level > NEARLY_WHITE || mean[i] > NEARLY_WHITE) continue;
      ratio[i] = (level + PEDESTAL) / (expected[i] + PEDESTAL);
      known[i] = 1;
    }
  }
  const sums = integral(ratio, cols, rows);
  const left = new Float32Array(count);
  const sizes = new Float32Array(count);
  let n = 0;
  for (let r = 0, i = 0; r < rows; r++)
    for (let c = 0; c < cols; c++, i++) {
      if (known[i] === 0) continue;
      const near = ringMean(sums, cols, rows, c, r, NEAR);
      const local = near + CURVATURE * (near - ringMean(sums, cols, rows, c, r, FAR));
      left[i] = (ratio[i] - local) * (expected[i] + PEDESTAL);
      sizes[n++] = Math.abs(left[i]);
    }
  const noise = n === 0 ? 0 : Math.max(0.02, 1.4826022185 * selected(sizes.subarray(0, n), n >> 1));
  const [ring, far] = [new Float64Array(MOST_OF_RING), new Float64Array(MOST_OF_RING)];
  const found: { index: number; change: number; z: number; box: readonly number[] }[] = [];
  for (let i = 0; i < count; i++) {
    const sigma = length(noise, doubt[i]);
    if (!(Math.abs(left[i]) > Math.max(LEAST_CHANGE, CHANGED_Z * sigma) / 2)) continue;
    const [c, r] = [i % cols, Math.floor(i / cols)];
    const nears = ringSorted(ratio, cols, rows, c, r, NEAR, ring);
    const near = ring[nears >> 1];
    const fars = ringSorted(ratio, cols, rows, c, r, FAR, far);
    const local = near + CURVATURE * (near - far[fars >> 1]);
    const level = expected[i] + PEDESTAL;
    const change = (ratio[i] - local) * level;
    // Half of the ring's blocks lie between its quarters.
    const slope = (ring[Math.floor(0.75 * nears)] - ring[Math.floor(0.25 * nears)]) * level;
    const inside = c >= FAR && r >= FAR && c < cols - FAR && r < rows - FAR;
    const span = Math.max(ring[nears - 1], far[fars - 1]) - Math.min(ring[0], far[0]);
    if (!inside && span * level > MOST_SPAN_AT_BORDER + 8 * sigma) continue;
    const sure = Math.hypot(sigma, OF_SLOPE * slope);
    if (!(Math.abs(change) > (inside ? 1 : 2) * Math.max(LEAST_CHANGE, CHANGED_Z * sure))) continue;
    const cell = cellOf(c, r);
    const box = boxOf(reference, current, c, r, Math.round(motion.x[cell]), Math.round(motion.y[cell]), local, change);
    found.push({ index: i, change, z: change / sure, box });
  }
  return {
    cols,
    index: Uint32Array.from(found, ({ index }) => index),
    change: Float32Array.from(found, ({ change }) => change),
    z: Float32Array.from(found, ({ z }) => z),
    box: Float32Array.from(found.flatMap(({ box }) => box)),
  };
}

const CHANGES = new Float32Array(BLOCK ** 2);

/** Rectangle of the pixels that changed by half or more of the most that any of the block did. */
function boxOf(
  reference: GridReference,
  current: PreparedFrame,
  c: number,
  r: number,
  dx: number,
  dy: number,
  gain: number,
  change: number,
): readonly number[] {
  const { width } = current;
  const [a, b] = [reference.frame.even.data, current.even.data];
  const way = Math.sign(change);
  const changes = CHANGES;
  let most = Number.NEGATIVE_INFINITY;
  for (let y = 0; y < BLOCK; y++)
    for (let x = 0; x < BLOCK; x++) {
      const at = (r * BLOCK + y) * width + c * BLOCK + x;
      const changed = way * (b[at + dy * width + dx] + PEDESTAL - gain * (a[at] + PEDESTAL));
      changes[y * BLOCK + x] = changed;
      most = Math.max(most, changes[y * BLOCK + x]);
    }
  let [left, top, right, bottom] = [BLOCK, BLOCK, -1, -1];
  for (let y = 0; y < BLOCK; y++)
    for (let x = 0; x < BLOCK; x++) {
      if (!(changes[y * BLOCK + x] >= most / 2)) continue;
      left = Math.min(left, x);
      right = Math.max(right, x);
      top = Math.min(top, y);
      bottom = Math.max(bottom, y);
    }
  return [c * BLOCK + left, r * BLOCK + top, c * BLOCK + right + 1, r * BLOCK + bottom + 1];
}
