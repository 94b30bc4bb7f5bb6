import { setResult } from "./result";
import { MOST_SIZE } from "./sizes";
import { held, lanesBelow, laneSum } from "./vector";

const ROW: usize = MOST_SIZE * 4;
/** The piece without its mean; zero beyond its last column. */
const PIECE: usize = memory.data(MOST_SIZE * MOST_SIZE * 4, 16);

/**
 * Results: 0 dx, 1 dy, 2 correlation, 3 rival.
 * @param scores room for (2 radius + 1) squared values
 * @returns 0 where flat or outside
 */
export function searchShift(
  reference: usize,
  referenceWidth: i32,
  current: usize,
  width: i32,
  height: i32,
  left: i32,
  top: i32,
  size: i32,
  radius: i32,
  aroundX: i32,
  aroundY: i32,
  apart: i32,
  scores: usize,
): i32 {
  const n = <f64>(size * size);
  const bytes = <usize>size << 2;
  const rest = lanesBelow(((size - 1) & 3) + 1);
  const from = reference + ((<usize>top * referenceWidth + left) << 2);
  const stride = <usize>referenceWidth << 2;
  const first = v128.load32_splat(from);
  let sums = f32x4.splat(0);
  for (let y = 0; y < size; y++) {
    for (let x: usize = 0; x < bytes; x += 16) {
      let v = f32x4.sub(v128.load(from + <usize>y * stride + x), first);
      if (x + 16 > bytes) v = v128.and(rest, v);
      v128.store(PIECE + <usize>y * ROW + x, v);
      sums = f32x4.add(sums, v);
    }
  }
  const offset = laneSum(sums) / n;
  const less = held(<f32>offset);
  let squares = f32x4.splat(0);
  for (let y = 0; y < size; y++) {
    for (let x: usize = 0; x < bytes; x += 16) {
      let v = f32x4.sub(v128.load(PIECE + <usize>y * ROW + x), less);
      if (x + 16 > bytes) v = v128.and(rest, v);
      v128.store(PIECE + <usize>y * ROW + x, v);
      squares = f32x4.add(squares, f32x4.mul(v, v));
    }
  }
  const norm = laneSum(squares);
  if (!(norm > 1e-6)) return 0;
  // Values near the piece's mean, so that their squares lose nothing in single precision.
  const mean = held(<f32>(<f64>f32x4.extract_lane(first, 0) + offset));
  const side = 2 * radius + 1;
  const currentStride = <usize>width << 2;
  let best: f32 = -2;
  let bestAt = -1;
  let at = 0;
  for (let v = -radius; v <= radius; v++) {
    const y0 = top + aroundY + v;
    for (let u = -radius; u <= radius; u++, at++) {
      const to = scores + (<usize>at << 2);
      store<f32>(to, -2);
      const x0 = left + aroundX + u;
      if (y0 < 0 || y0 + size > height || x0 < 0 || x0 + size > width) continue;
      let sum = f32x4.splat(0);
      let square = sum;
      let cross = sum;
      let row = current + ((<usize>y0 * width + x0) << 2);
      for (let y: usize = 0, end = <usize>size * ROW; y < end; y += ROW) {
        for (let x: usize = 0; x < bytes; x += 16) {
          let value = f32x4.sub(v128.load(row + x), mean);
          if (x + 16 > bytes) value = v128.and(rest, value);
          sum = f32x4.add(sum, value);
          square = f32x4.add(square, f32x4.mul(value, value));
          cross = f32x4.add(cross, f32x4.mul(value, v128.load(PIECE + y + x)));
        }
        row += currentStride;
      }
      const total = laneSum(sum);
      const variance = laneSum(square) - (total * total) / n;
      if (!(variance > 1e-6)) continue;
      const score = <f32>(laneSum(cross) / Math.sqrt(norm * variance));
      store<f32>(to, score);
      if (score > best) {
        best = score;
        bestAt = at;
      }
    }
  }
  if (bestAt < 0) return 0;
  const bestX = (bestAt % side) - radius;
  const bestY = bestAt / side - radius;
  let rival: f32 = -1;
  at = 0;
  for (let v = -radius; v <= radius; v++) {
    for (let u = -radius; u <= radius; u++, at++) {
      const score = load<f32>(scores + (<usize>at << 2));
      if (max(abs(u - bestX), abs(v - bestY)) >= apart && score > rival) rival = score;
    }
  }
  setResult(0, <f64>(bestX + aroundX));
  setResult(1, <f64>(bestY + aroundY));
  setResult(2, <f64>best);
  setResult(3, <f64>rival);
  return 1;
}
