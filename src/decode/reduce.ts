import { createPlane } from "../measure/plane.ts";
import type { Plane } from "../measure/plane.ts";
import { kernelsOf } from "../measure/workspace.ts";
import type { Channel } from "./channel.ts";
import type { Channels, Pixels } from "./pixels.ts";
import { averageByKernel, convertByKernel } from "./reduce-kernel.ts";
import { LUMA_BLUE, LUMA_GREEN, LUMA_RED, linearTable } from "./transfer.ts";

// Linear light is held in whole steps of 2^-30: sums of whole numbers below 2^53 are exact in a double, so the
// average of a constant is that constant, and grey from one channel equals grey from three.
const ONE = 2 ** 30;

const WEIGHTS: Readonly<Record<Channel, readonly [number, number, number]>> = {
  luma: [LUMA_RED, LUMA_GREEN, LUMA_BLUE],
  r: [1, 0, 0],
  g: [0, 1, 0],
  b: [0, 0, 1],
};

/**
 * Weighted linear light of every code: red's codes, then green's, then blue's, in one table. The inner loop is clearly
 * faster with one table than with three.
 */
interface Weighing {
  readonly table: Float64Array;
  readonly codes: number;
}

const weighings = new Map<string, Weighing>();

const weighing = (bits: 8 | 16, channel: Channel): Weighing => {
  const key = `${bits} ${channel}`;
  const known = weighings.get(key);
  if (known) return known;
  const linear = linearTable(bits);
  const codes = linear.length;
  const table = new Float64Array(3 * codes);
  WEIGHTS[channel].forEach((weight, i) => {
    for (let code = 0; code < codes; code++) table[i * codes + code] = Math.round(linear[code] * weight * ONE);
  });
  const made = { table, codes };
  weighings.set(key, made);
  return made;
};

/** Size of a frame as it is analysed: never enlarged, height to the nearest whole pixel. */
export const reducedSize = (
  width: number,
  height: number,
  analysisWidth: number,
): { width: number; height: number } => {
  if (!Number.isInteger(analysisWidth) || analysisWidth < 1)
    throw new RangeError(`analysis width ${analysisWidth}: needs a whole number of pixels, at least 1`);
  if (width <= analysisWidth) return { width, height };
  return { width: analysisWidth, height: Math.max(1, Math.round((height * analysisWidth) / width)) };
};

const commonDivisor = (a: number, b: number): number => (b === 0 ? a : commonDivisor(b, a % b));

/** Which source pixels make up each reduced pixel along one axis, with coverage in whole units. */
interface Coverage {
  /** Units that a source pixel is long, and a reduced one. */
  readonly source: number;
  readonly reduced: number;
  /** For each reduced pixel the last source pixel that it touches, */
  readonly last: Int32Array;
  /** that pixel's units inside it, */
  readonly inside: Float64Array;
  /** and what is left of it for the next reduced pixel. */
  readonly left: Float64Array;
}

const coverage = (from: number, to: number): Coverage => {
  const divisor = commonDivisor(from, to);
  const source = to / divisor;
  const reduced = from / divisor;
  const last = new Int32Array(to);
  const inside = new Float64Array(to);
  const left = new Float64Array(to);
  for (let j = 0; j < to; j++) {
    const end = (j + 1) * reduced;
    last[j] = Math.ceil(end / source) - 1;
    inside[j] = end - last[j] * source;
    left[j] = source - inside[j];
  }
  return { source, reduced, last, inside, left };
};

/** How one pixel lies in the array: values from pixel to pixel, and from its first value to its green and its blue. */
interface Layout {
  readonly stride: number;
  readonly green: number;
  readonly blue: number;
}

/** Grey is taken for red, green and blue alike, so that it comes to the same bits from one channel as from three. */
const layoutOf = (channels: Channels): Layout =>
  channels > 2 ? { stride: channels, green: 1, blue: 2 } : { stride: channels, green: 0, blue: 0 };

/** Adds one source row to `sum`, `weight` times. */
const addRow = (
  data: Uint8Array | Uint16Array,
  start: number,
  { stride, green, blue }: Layout,
  { table, codes }: Weighing,
  sum: Float64Array,
  weight: number,
): void => {
  const codes2 = 2 * codes;
  for (let i = 0, p = start; i < sum.length; i++, p += stride)
    sum[i] += weight * (table[data[p]] + table[codes + data[p + green]] + table[codes2 + data[p + blue]]);
};

/** Adds the last source row of a reduced one to `sum`, `weight` times, and begins the next one's sum with what is left of it. */
const shareRow = (
  data: Uint8Array | Uint16Array,
  start: number,
  { stride, green, blue }: Layout,
  { table, codes }: Weighing,
  sum: Float64Array,
  weight: number,
  next: Float64Array,
  left: number,
): void => {
  const codes2 = 2 * codes;
  for (let i = 0, p = start; i < sum.length; i++, p += stride) {
    const value = table[data[p]] + table[codes + data[p + green]] + table[codes2 + data[p + blue]];
    sum[i] += weight * value;
    next[i] = left * value;
  }
};

/** Reduces a row of sums to one row of the plane. */
const reduceRow = (
  sum: Float64Array,
  { source, last, inside, left }: Coverage,
  total: number,
  out: Float32Array,
  row: number,
): void => {
  let carried = 0;
  for (let j = 0, i = 0; j < last.length; j++) {
    let whole = 0;
    for (const end = last[j]; i < end; i++) whole += sum[i];
    const edge = sum[i++];
    out[row + j] = (carried + whole * source + edge * inside[j]) / total;
    carried = edge * left[j];
  }
};

/** Down first, at full width, then across once for each reduced row: two simple inner loops, faster than one of both. */
const average = (
  data: Uint8Array | Uint16Array,
  width: number,
  height: number,
  layout: Layout,
  weights: Weighing,
  plane: Plane,
): void => {
  const across = coverage(width, plane.width);
  const down = coverage(height, plane.height);
  const total = across.reduced * down.reduced * ONE;
  const workspace = kernelsOf(plane);
  if (workspace !== null) {
    averageByKernel(workspace, data, width, height, layout, weights, across, down, total, plane);
    return;
  }
  const step = width * layout.stride;
  let sum = new Float64Array(width);
  let next = new Float64Array(width);
  for (let y = 0, j = 0; y < height; y++) {
    if (y < down.last[j]) {
      addRow(data, y * step, layout, weights, sum, down.source);
      continue;
    }
    shareRow(data, y * step, layout, weights, sum, down.inside[j], next, down.left[j]);
    reduceRow(sum, across, total, plane.data, j * plane.width);
    [sum, next] = [next, sum];
    j++;
  }
};

const convert = (data: Uint8Array | Uint16Array, layout: Layout, weights: Weighing, plane: Plane): void => {
  const workspace = kernelsOf(plane);
  if (workspace !== null) {
    convertByKernel(workspace, data, layout, weights, plane);
    return;
  }
  const { stride, green, blue } = layout;
  const { table, codes } = weights;
  const out = plane.data;
  const codes2 = 2 * codes;
  for (let i = 0, p = 0; i < out.length; i++, p += stride)
    out[i] = (table[data[p]] + table[codes + data[p + green]] + table[codes2 + data[p + blue]]) / ONE;
};

/**
 * Luma of a frame in linear light, 0 to 1 (white), reduced by exact area average to at most `analysisWidth` pixels
 * wide. Each reduced pixel is the mean of the source area that it covers, fractions of pixels counted as such.
 * Luma is BT.709 of the linear channels; alpha is ignored; `channel` takes one colour channel in luma's place.
 * float32, the same to the bit on every machine. Error below 2^-24 of the value, or 2^-29 where that is more.
 * Writes to `into` where it is given, which must have the reduced size.
 */
export const reduceToLuma = (pixels: Pixels, analysisWidth: number, into?: Plane, channel: Channel = "luma"): Plane => {
  const { width, height, channels, bits } = pixels;
  const size = reducedSize(width, height, analysisWidth);
  if (pixels.data.length !== width * height * channels)
    throw new RangeError(`${width} x ${height} pixels of ${channels} values, but ${pixels.data.length} values`);
  if (into && (into.width !== size.width || into.height !== size.height))
    throw new RangeError(`a ${into.width} x ${into.height} plane for a picture of ${size.width} x ${size.height}`);
  const plane = into ?? createPlane(size.width, size.height);
  // One array type for all 8-bit sources keeps the inner loop fast, whatever decoded them.
  const data =
    pixels.data instanceof Uint16Array
      ? pixels.data
      : new Uint8Array(pixels.data.buffer, pixels.data.byteOffset, pixels.data.length);
  const layout = layoutOf(channels);
  const weights = weighing(bits, channel);
  if (size.width === width) convert(data, layout, weights, plane);
  else average(data, width, height, layout, weights, plane);
  return plane;
};
