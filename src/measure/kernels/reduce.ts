import { held } from "./vector";

// Rows of reduceToLuma. Light is held in whole steps of 2^-30, so these sums are the twin's to the bit: down a column
// they are whole numbers below 2^53, and across a row they are made in the twin's order.

/**
 * Weighted linear light of a row of pixels, whole numbers (int32).
 * @param wide 1 for values of 16 bits, 0 for 8
 * @param stride, green, blue values from pixel to pixel, and from its first one to its green and its blue
 * @param table int32, `codes` for each channel
 */
export function lightRow(
  data: usize,
  wide: i32,
  stride: usize,
  green: usize,
  blue: usize,
  table: usize,
  codes: usize,
  count: i32,
  values: usize,
): void {
  const second = table + (codes << 2);
  const third = second + (codes << 2);
  const end = values + (<usize>count << 2);
  if (wide === 1) {
    for (; values < end; values += 4, data += stride << 1) {
      const a = load<i32>(table + (<usize>load<u16>(data) << 2));
      const b = load<i32>(second + (<usize>load<u16>(data + (green << 1)) << 2));
      const c = load<i32>(third + (<usize>load<u16>(data + (blue << 1)) << 2));
      store<i32>(values, a + b + c);
    }
    return;
  }
  for (; values < end; values += 4, data += stride) {
    const a = load<i32>(table + (<usize>load<u8>(data) << 2));
    const b = load<i32>(second + (<usize>load<u8>(data + green) << 2));
    const c = load<i32>(third + (<usize>load<u8>(data + blue) << 2));
    store<i32>(values, a + b + c);
  }
}

const PAIR: usize = memory.data(16, 16);

// @ts-ignore: decorator
@inline
function heldPair(value: f64): v128 {
  store<f64>(PAIR, value);
  return v128.load64_splat(PAIR);
}

/** Adds a row to `sum` (doubles), `weight` times. By whole vectors: up to three sums more are written. */
export function addLight(values: usize, count: i32, weight: f64, sum: usize): void {
  const w = heldPair(weight);
  const end = values + (<usize>count << 2);
  for (; values < end; values += 16, sum += 32) {
    const four = v128.load(values);
    const low = f64x2.convert_low_i32x4_s(four);
    const high = f64x2.convert_low_i32x4_s(v128.shuffle<i64>(four, four, 1, 1));
    v128.store(sum, f64x2.add(v128.load(sum), f64x2.mul(w, low)));
    v128.store(sum, f64x2.add(v128.load(sum, 16), f64x2.mul(w, high)), 16);
  }
}

/** Adds a row to `sum`, and begins `next` with `left` times the row. */
export function shareLight(values: usize, count: i32, weight: f64, sum: usize, left: f64, next: usize): void {
  const w = heldPair(weight);
  const l = heldPair(left);
  const end = values + (<usize>count << 2);
  for (; values < end; values += 16, sum += 32, next += 32) {
    const four = v128.load(values);
    const low = f64x2.convert_low_i32x4_s(four);
    const high = f64x2.convert_low_i32x4_s(v128.shuffle<i64>(four, four, 1, 1));
    v128.store(sum, f64x2.add(v128.load(sum), f64x2.mul(w, low)));
    v128.store(sum, f64x2.add(v128.load(sum, 16), f64x2.mul(w, high)), 16);
    v128.store(next, f64x2.mul(l, low));
    v128.store(next, f64x2.mul(l, high), 16);
  }
}

/** A row of sums to a row of the plane. `last` (int32), `inside` and `left` (doubles) are the twin's coverage. */
export function reduceLight(
  sum: usize,
  last: usize,
  inside: usize,
  left: usize,
  count: i32,
  source: f64,
  total: f64,
  out: usize,
): void {
  let carried: f64 = 0;
  let at = sum;
  for (let j = 0; j < count; j++) {
    let whole: f64 = 0;
    const end = sum + (<usize>load<i32>(last + (<usize>j << 2)) << 3);
    for (; at < end; at += 8) whole += load<f64>(at);
    const edge = load<f64>(at);
    at += 8;
    const place = <usize>j << 3;
    store<f32>(out + (<usize>j << 2), <f32>((carried + whole * source + edge * load<f64>(inside + place)) / total));
    carried = edge * load<f64>(left + place);
  }
}

/** Steps of 2^-30 as they are: for a frame that is not reduced. By whole vectors. */
export function plainLight(values: usize, count: i32, out: usize): void {
  const step = held(9.313225746154785e-10);
  const end = values + (<usize>count << 2);
  for (; values < end; values += 16, out += 16)
    v128.store(out, f32x4.mul(step, f32x4.convert_i32x4_s(v128.load(values))));
}
