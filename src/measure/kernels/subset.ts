import { setResult } from "./result";
import { MOST_SIZE } from "./sizes";
import { sampleTurned, turnedInside } from "./subset-turned";
import { PIECE, ROW, SAMPLED, SAMPLED_MEAN, SLOPE_X, SLOPE_Y } from "./subset-work";
import { allLanes, held, lanesBelow, laneSum } from "./vector";

const STRIP: usize = memory.data((MOST_SIZE + 3) * MOST_SIZE * 4, 16);

/**
 * Sums of a piece: means of T, X and Y, then the six central second moments TT, TX, TY, XX, XY, YY, as results 0 to 8.
 * @param stride bytes from row to row
 */
export function subsetSums(t: usize, gx: usize, gy: usize, stride: usize, size: i32): void {
  const bytes = <usize>size << 2;
  const rest = lanesBelow(((size - 1) & 3) + 1);
  const whole = allLanes();
  const n = <f64>(size * size);
  // Summed from the first values on, so that single precision suffices.
  const t0 = v128.load32_splat(t);
  let sumT = f32x4.splat(0);
  let sumX = sumT;
  let sumY = sumT;
  for (let y = 0; y < size; y++) {
    const row = <usize>y * stride;
    for (let x: usize = 0; x < bytes; x += 16) {
      const mask = x + 16 > bytes ? rest : whole;
      sumT = f32x4.add(sumT, v128.and(mask, f32x4.sub(v128.load(t + row + x), t0)));
      sumX = f32x4.add(sumX, v128.and(mask, v128.load(gx + row + x)));
      sumY = f32x4.add(sumY, v128.and(mask, v128.load(gy + row + x)));
    }
  }
  const meanT = laneSum(sumT) / n + <f64>load<f32>(t);
  const meanX = laneSum(sumX) / n;
  const meanY = laneSum(sumY) / n;
  const mt = held(<f32>meanT);
  const mx = held(<f32>meanX);
  const my = held(<f32>meanY);
  let tt = f32x4.splat(0);
  let tx = tt;
  let ty = tt;
  let xx = tt;
  let xy = tt;
  let yy = tt;
  for (let y = 0; y < size; y++) {
    const row = <usize>y * stride;
    for (let x: usize = 0; x < bytes; x += 16) {
      const mask = x + 16 > bytes ? rest : whole;
      const a = v128.and(mask, f32x4.sub(v128.load(t + row + x), mt));
      const b = v128.and(mask, f32x4.sub(v128.load(gx + row + x), mx));
      const c = v128.and(mask, f32x4.sub(v128.load(gy + row + x), my));
      tt = f32x4.add(tt, f32x4.mul(a, a));
      tx = f32x4.add(tx, f32x4.mul(a, b));
      ty = f32x4.add(ty, f32x4.mul(a, c));
      xx = f32x4.add(xx, f32x4.mul(b, b));
      xy = f32x4.add(xy, f32x4.mul(b, c));
      yy = f32x4.add(yy, f32x4.mul(c, c));
    }
  }
  setResult(0, meanT);
  setResult(1, meanX);
  setResult(2, meanY);
  setResult(3, laneSum(tt));
  setResult(4, laneSum(tx));
  setResult(5, laneSum(ty));
  setResult(6, laneSum(xx));
  setResult(7, laneSum(xy));
  setResult(8, laneSum(yy));
}

/** The reference's part of all iterations, once. */
function loadPiece(
  t: usize,
  gx: usize,
  gy: usize,
  stride: usize,
  size: i32,
  meanT: f32,
  meanX: f32,
  meanY: f32,
  slopeX: f32,
  slopeY: f32,
): void {
  const bytes = <usize>size << 2;
  const rest = lanesBelow(((size - 1) & 3) + 1);
  const whole = allLanes();
  const mt = held(meanT);
  const mx = held(meanX);
  const my = held(meanY);
  const sx = held(slopeX);
  const sy = held(slopeY);
  for (let y = 0; y < size; y++) {
    const row = <usize>y * stride;
    const to = <usize>y * ROW;
    for (let x: usize = 0; x < bytes; x += 16) {
      const mask = x + 16 > bytes ? rest : whole;
      const a = f32x4.sub(v128.load(t + row + x), mt);
      const b = f32x4.sub(f32x4.sub(v128.load(gx + row + x), mx), f32x4.mul(sx, a));
      const c = f32x4.sub(f32x4.sub(v128.load(gy + row + x), my), f32x4.mul(sy, a));
      v128.store(PIECE + to + x, v128.and(mask, a));
      v128.store(SLOPE_X + to + x, v128.and(mask, b));
      v128.store(SLOPE_Y + to + x, v128.and(mask, c));
    }
  }
}

// @ts-ignore: decorator
@inline
function weight0(f: f64): v128 {
  const g = 1 - f;
  return held(<f32>((g * g * g) / 6));
}

// @ts-ignore: decorator
@inline
function weight1(f: f64): v128 {
  return held(<f32>(2.0 / 3 - f * f * (1 - f / 2)));
}

/**
 * The current frame on the moved piece, less `base`, into SAMPLED. The caller has seen to it that it lies inside.
 * @returns its sum
 */
function sample(coefficients: usize, stride: usize, size: i32, ix: i32, iy: i32, fx: f64, fy: f64, base: f32): f64 {
  const bytes = <usize>size << 2;
  const a = weight0(fx);
  const b = weight1(fx);
  const c = weight1(1 - fx);
  const d = weight0(1 - fx);
  let from = coefficients + <usize>(iy - 1) * stride + (<usize>(ix - 1) << 2);
  let to = STRIP;
  for (let r = 0; r < size + 3; r++) {
    for (let x: usize = 0; x < bytes; x += 16) {
      const at = from + x;
      v128.store(
        to + x,
        f32x4.add(
          f32x4.add(f32x4.mul(a, v128.load(at)), f32x4.mul(b, v128.load(at, 4))),
          f32x4.add(f32x4.mul(c, v128.load(at, 8)), f32x4.mul(d, v128.load(at, 12))),
        ),
      );
    }
    from += stride;
    to += ROW;
  }
  const e = weight0(fy);
  const f = weight1(fy);
  const g = weight1(1 - fy);
  const h = weight0(1 - fy);
  const rest = lanesBelow(((size - 1) & 3) + 1);
  const less = held(base);
  let sum = f32x4.splat(0);
  for (let y = 0; y < size; y++) {
    const row = <usize>y * ROW;
    for (let x: usize = 0; x < bytes; x += 16) {
      const at = STRIP + row + x;
      let value = f32x4.add(
        f32x4.add(f32x4.mul(e, v128.load(at)), f32x4.mul(f, v128.load(at, ROW))),
        f32x4.add(f32x4.mul(g, v128.load(at, 2 * ROW)), f32x4.mul(h, v128.load(at, 3 * ROW))),
      );
      value = f32x4.sub(value, less);
      if (x + 16 > bytes) value = v128.and(rest, value);
      v128.store(SAMPLED + row + x, value);
      sum = f32x4.add(sum, value);
    }
  }
  return laneSum(sum);
}

/**
 * Results: 0 dx, 1 dy, 2 gain, 3 norm of I, 4 cross product, 5 iterations, 6 converged (0 or 1), 7 mean of I less that
 * of T. What `subsetScores` and `subsetScatter` need is left behind.
 * @param stride bytes from row to row of the reference
 * @param turned whether the piece turns and stretches on its way, by xx, xy, yx, yy: else these are 1, 0, 0, 1
 */
export function solveSubset(
  t: usize,
  gx: usize,
  gy: usize,
  stride: usize,
  coefficients: usize,
  width: i32,
  height: i32,
  left: i32,
  top: i32,
  size: i32,
  meanT: f64,
  normT: f64,
  meanX: f64,
  meanY: f64,
  slopeX: f64,
  slopeY: f64,
  hxx: f64,
  hxy: f64,
  hyy: f64,
  seedX: f64,
  seedY: f64,
  range: f64,
  mostIterations: i32,
  converged: f64,
  turned: bool,
  xx: f64,
  xy: f64,
  yx: f64,
  yy: f64,
): void {
  const half = <f64>(size - 1) / 2;
  const currentStride = <usize>width << 2;
  const corner = <usize>top * stride + (<usize>left << 2);
  const base = <f32>meanT;
  loadPiece(
    t + corner,
    gx + corner,
    gy + corner,
    stride,
    size,
    base,
    <f32>meanX,
    <f32>meanY,
    <f32>slopeX,
    <f32>slopeY,
  );
  const bytes = <usize>size << 2;
  const rest = lanesBelow(((size - 1) & 3) + 1);
  const n = <f64>(size * size);
  const determinant = hxx * hyy - hxy * hxy;
  let dx = seedX;
  let dy = seedY;
  let mean: f64 = 0;
  let gain: f64 = 1;
  let normI: f64 = 0;
  let cross: f64 = 0;
  let good = false;
  let iteration = 0;
  while (iteration < mostIterations) {
    iteration++;
    const x = <f64>left + dx;
    const y = <f64>top + dy;
    if (turned) {
      if (!turnedInside(x + half, y + half, half, width, height, xx, xy, yx, yy)) break;
      mean =
        sampleTurned(
          coefficients,
          width,
          size,
          x + half,
          y + half,
          <f32>xx,
          <f32>xy,
          <f32>yx,
          <f32>yy,
          base,
        ) / n;
    } else {
      const floorX = Math.floor(x);
      const floorY = Math.floor(y);
      if (
        !(
          floorX >= 1 &&
          floorY >= 1 &&
          floorX + <f64>(size + 2) <= <f64>width &&
          floorY + <f64>(size + 2) <= <f64>height
        )
      )
        break;
      mean =
        sample(coefficients, currentStride, size, <i32>floorX, <i32>floorY, x - floorX, y - floorY, base) / n;
    }
    const m = held(<f32>mean);
    let it = f32x4.splat(0);
    let ii = it;
    let ix = it;
    let iy = it;
    for (let row: usize = 0, end = <usize>size * ROW; row < end; row += ROW) {
      for (let at: usize = row, rowEnd = row + bytes; at < rowEnd; at += 16) {
        let v = f32x4.sub(v128.load(SAMPLED + at), m);
        if (at + 16 > rowEnd) v = v128.and(rest, v);
        it = f32x4.add(it, f32x4.mul(v, v128.load(PIECE + at)));
        ii = f32x4.add(ii, f32x4.mul(v, v));
        ix = f32x4.add(ix, f32x4.mul(v, v128.load(SLOPE_X + at)));
        iy = f32x4.add(iy, f32x4.mul(v, v128.load(SLOPE_Y + at)));
      }
    }
    cross = laneSum(it);
    normI = laneSum(ii);
    gain = cross / normT;
    if (!(gain > 0.05)) break;
    const bx = laneSum(ix) / gain;
    const by = laneSum(iy) / gain;
    const stepX = (hyy * bx - hxy * by) / determinant;
    const stepY = (hxx * by - hxy * bx) / determinant;
    const length = Math.sqrt(stepX * stepX + stepY * stepY);
    const shorten = length > 2 ? 2 / length : 1;
    // The step is one of the piece as it lies in the reference.
    dx -= (xx * stepX + xy * stepY) * shorten;
    dy -= (yx * stepX + yy * stepY) * shorten;
    if (Math.abs(dx - seedX) > range || Math.abs(dy - seedY) > range) break;
    if (length < converged) {
      good = true;
      break;
    }
  }
  store<f64>(SAMPLED_MEAN, mean);
  setResult(0, dx);
  setResult(1, dy);
  setResult(2, gain);
  setResult(3, normI);
  setResult(4, cross);
  setResult(5, <f64>iteration);
  setResult(6, good ? 1 : 0);
  setResult(7, mean);
}
