import { GX, GY, RUNS, T, TILE, U, V } from "./part-layout";
import { held, lanesBelow, laneSum } from "./vector";

/** As the twin's sums: so many doubles a tile, and which is which. */
const STRIDE: usize = 26;
/** The same sums while they are made: 22 vectors a tile, and the grey level they are counted from. */
const SUMS: usize = 22;
const TILE_BYTES: usize = (SUMS + 1) * 16;

/** Bytes that `accumulatePart` needs for each tile. */
export function partTileBytes(): usize {
  return TILE_BYTES;
}

/**
 * Finds the runs, and the mean grey level of every tile: sums are counted from it, so that single precision suffices.
 * @returns how many runs
 */
export function loadPart(part: usize, pitch: usize, count: i32, tiles: i32, sums: usize): i32 {
  const tile = part + TILE * pitch;
  const t = part + T * pitch;
  const runs = part + RUNS * pitch;
  for (let k = 0; k < tiles; k++) memory.fill(sums + <usize>k * TILE_BYTES, 0, 16);
  let found = 0;
  let current = -1;
  for (let i = 0; i < count; i++) {
    const k = load<i32>(tile + (<usize>i << 2));
    if (k !== current) {
      if (found > 0) store<i32>(runs + ((<usize>found - 1) << 3), i);
      store<i32>(runs + (<usize>found << 3), k, 4);
      found++;
      current = k;
    }
    const to = sums + <usize>k * TILE_BYTES;
    store<f64>(to, load<f64>(to) + <f64>load<f32>(t + (<usize>i << 2)));
    store<f64>(to, load<f64>(to, 8) + 1, 8);
  }
  if (found > 0) store<i32>(runs + ((<usize>found - 1) << 3), count);
  for (let k = 0; k < tiles; k++) {
    const to = sums + <usize>k * TILE_BYTES;
    const n = load<f64>(to, 8);
    v128.store(to, f32x4.splat(n > 0 ? <f32>(load<f64>(to) / n) : 0));
  }
  return found;
}

// @ts-ignore: decorator
@inline
function tileSum(tile: usize, index: usize): f64 {
  return laneSum(v128.load(tile + 16 + index * 16));
}

/**
 * The twin's sums of every tile into `out`, `STRIDE` doubles each. A pixel whose sample is NaN doesn't count.
 * @param sums room for `partTileBytes` a tile, as `loadPart` left it
 * @param perRadius 1 / radius: brings the turn's derivative to px
 */
export function accumulatePart(
  part: usize,
  pitch: usize,
  runs: i32,
  tiles: i32,
  sampled: usize,
  weight: usize,
  perRadius: f64,
  sums: usize,
  out: usize,
): void {
  for (let k = 0; k < tiles; k++) memory.fill(sums + <usize>k * TILE_BYTES + 16, 0, SUMS * 16);
  const scale = held(<f32>perRadius);
  const ones = held(1);
  let run = part + RUNS * pitch;
  let i: usize = 0;
  for (let r = 0; r < runs; r++, run += 8) {
    const end = <usize>load<i32>(run) << 2;
    const tile = sums + <usize>load<i32>(run, 4) * TILE_BYTES;
    const base = v128.load(tile);
    let sN = v128.load(tile, 16);
    let sW = v128.load(tile, 32);
    let sT = v128.load(tile, 48);
    let sTT = v128.load(tile, 64);
    let sI = v128.load(tile, 80);
    let sTI = v128.load(tile, 96);
    let sII = v128.load(tile, 112);
    let sX = v128.load(tile, 128);
    let sY = v128.load(tile, 144);
    let sR = v128.load(tile, 160);
    let sXT = v128.load(tile, 176);
    let sYT = v128.load(tile, 192);
    let sRT = v128.load(tile, 208);
    let sXX = v128.load(tile, 224);
    let sXY = v128.load(tile, 240);
    let sXR = v128.load(tile, 256);
    let sYY = v128.load(tile, 272);
    let sYR = v128.load(tile, 288);
    let sRR = v128.load(tile, 304);
    let sXI = v128.load(tile, 320);
    let sYI = v128.load(tile, 336);
    let sRI = v128.load(tile, 352);
    for (; i < end; i += 16) {
      const raw = v128.load(sampled + i);
      let valid = f32x4.eq(raw, raw);
      if (i + 16 > end) valid = v128.and(valid, lanesBelow(<i32>((end - i) >> 2)));
      const at = part + i;
      const w = v128.and(valid, v128.load(weight + i));
      const I = v128.and(valid, f32x4.sub(raw, base));
      const t = f32x4.sub(v128.load(at + T * pitch), base);
      const x = v128.load(at + GX * pitch);
      const y = v128.load(at + GY * pitch);
      const turned = f32x4.mul(
        scale,
        f32x4.sub(f32x4.mul(v128.load(at + U * pitch), y), f32x4.mul(v128.load(at + V * pitch), x)),
      );
      const wT = f32x4.mul(w, t);
      const wX = f32x4.mul(w, x);
      const wY = f32x4.mul(w, y);
      const wR = f32x4.mul(w, turned);
      const wI = f32x4.mul(w, I);
      sN = f32x4.add(sN, v128.and(valid, ones));
      sW = f32x4.add(sW, w);
      sT = f32x4.add(sT, wT);
      sTT = f32x4.add(sTT, f32x4.mul(wT, t));
      sI = f32x4.add(sI, wI);
      sTI = f32x4.add(sTI, f32x4.mul(wT, I));
      sII = f32x4.add(sII, f32x4.mul(wI, I));
      sX = f32x4.add(sX, wX);
      sY = f32x4.add(sY, wY);
      sR = f32x4.add(sR, wR);
      sXT = f32x4.add(sXT, f32x4.mul(wX, t));
      sYT = f32x4.add(sYT, f32x4.mul(wY, t));
      sRT = f32x4.add(sRT, f32x4.mul(wR, t));
      sXX = f32x4.add(sXX, f32x4.mul(wX, x));
      sXY = f32x4.add(sXY, f32x4.mul(wX, y));
      sXR = f32x4.add(sXR, f32x4.mul(wX, turned));
      sYY = f32x4.add(sYY, f32x4.mul(wY, y));
      sYR = f32x4.add(sYR, f32x4.mul(wY, turned));
      sRR = f32x4.add(sRR, f32x4.mul(wR, turned));
      sXI = f32x4.add(sXI, f32x4.mul(wX, I));
      sYI = f32x4.add(sYI, f32x4.mul(wY, I));
      sRI = f32x4.add(sRI, f32x4.mul(wR, I));
    }
    i = end;
    v128.store(tile, sN, 16);
    v128.store(tile, sW, 32);
    v128.store(tile, sT, 48);
    v128.store(tile, sTT, 64);
    v128.store(tile, sI, 80);
    v128.store(tile, sTI, 96);
    v128.store(tile, sII, 112);
    v128.store(tile, sX, 128);
    v128.store(tile, sY, 144);
    v128.store(tile, sR, 160);
    v128.store(tile, sXT, 176);
    v128.store(tile, sYT, 192);
    v128.store(tile, sRT, 208);
    v128.store(tile, sXX, 224);
    v128.store(tile, sXY, 240);
    v128.store(tile, sXR, 256);
    v128.store(tile, sYY, 272);
    v128.store(tile, sYR, 288);
    v128.store(tile, sRR, 304);
    v128.store(tile, sXI, 320);
    v128.store(tile, sYI, 336);
    v128.store(tile, sRI, 352);
  }
  for (let k = 0; k < tiles; k++) {
    const tile = sums + <usize>k * TILE_BYTES;
    const to = out + <usize>k * STRIDE * 8;
    // From the tile's own level back to black.
    const c = <f64>load<f32>(tile);
    const N = tileSum(tile, 0);
    const W = tileSum(tile, 1);
    const wT = tileSum(tile, 2);
    const wI = tileSum(tile, 4);
    const wX = tileSum(tile, 7);
    const wY = tileSum(tile, 8);
    const wR = tileSum(tile, 9);
    store<f64>(to, W, 0);
    store<f64>(to, wT + c * W, 8);
    store<f64>(to, tileSum(tile, 3) + c * (2 * wT + c * W), 16);
    store<f64>(to, wI + c * W, 24);
    store<f64>(to, tileSum(tile, 5) + c * (wT + wI + c * W), 32);
    store<f64>(to, tileSum(tile, 6) + c * (2 * wI + c * W), 40);
    store<f64>(to, wX, 48);
    store<f64>(to, wY, 56);
    store<f64>(to, wR, 64);
    store<f64>(to, tileSum(tile, 10) + c * wX, 72);
    store<f64>(to, tileSum(tile, 11) + c * wY, 80);
    store<f64>(to, tileSum(tile, 12) + c * wR, 88);
    store<f64>(to, tileSum(tile, 13), 96);
    store<f64>(to, tileSum(tile, 14), 104);
    store<f64>(to, tileSum(tile, 15), 112);
    store<f64>(to, tileSum(tile, 16), 120);
    store<f64>(to, tileSum(tile, 17), 128);
    store<f64>(to, tileSum(tile, 18), 136);
    store<f64>(to, tileSum(tile, 19) + c * wX, 144);
    store<f64>(to, tileSum(tile, 20) + c * wY, 152);
    store<f64>(to, tileSum(tile, 21) + c * wR, 160);
    store<f64>(to, 0, 168);
    store<f64>(to, N, 176);
    store<f64>(to, 0, 184);
    store<f64>(to, 0, 192);
    store<f64>(to, 0, 200);
  }
}

/**
 * What the frame leaves over of the template: (sample - offset) / gain - t, NaN in tiles that don't count.
 * @param levels two doubles a tile: offset, and gain (NaN where the tile doesn't count)
 */
export function residualsOfPart(
  part: usize,
  pitch: usize,
  runs: i32,
  sampled: usize,
  levels: usize,
  error: usize,
): void {
  const t = part + T * pitch;
  let run = part + RUNS * pitch;
  let i: usize = 0;
  for (let r = 0; r < runs; r++, run += 8) {
    const end = <usize>load<i32>(run) << 2;
    const level = levels + (<usize>load<i32>(run, 4) << 4);
    const offset = held(<f32>load<f64>(level));
    const perGain = held(<f32>(1 / load<f64>(level, 8)));
    // The last vector may reach into the next run, which is written after it.
    for (; i < end; i += 16) {
      const value = f32x4.mul(f32x4.sub(v128.load(sampled + i), offset), perGain);
      v128.store(error + i, f32x4.sub(value, v128.load(t + i)));
    }
    i = end;
  }
}

/** The element that would stand at `k` if the first `n` values were sorted; what is smaller comes to lie before it. */
function select(values: usize, n: i32, k: i32): f32 {
  let low = 0;
  let high = n - 1;
  while (low < high) {
    const pivot = load<f32>(values + (<usize>((low + high) >> 1) << 2));
    let i = low;
    let j = high;
    while (i <= j) {
      while (load<f32>(values + (<usize>i << 2)) < pivot) i++;
      while (load<f32>(values + (<usize>j << 2)) > pivot) j--;
      if (i > j) break;
      const a = values + (<usize>i << 2);
      const b = values + (<usize>j << 2);
      const held = load<f32>(a);
      store<f32>(a, load<f32>(b));
      store<f32>(b, held);
      i++;
      j--;
    }
    if (k <= j) high = j;
    else if (k >= i) low = i;
    else break;
  }
  return load<f32>(values + (<usize>k << 2));
}

/** Median of the sizes of every `step`-th residual, those that are NaN left out; 0 where none is left. */
export function medianResidual(error: usize, count: i32, step: i32, scratch: usize): f64 {
  let n = 0;
  for (let i = 0; i < count; i += step) {
    const e = load<f32>(error + (<usize>i << 2));
    if (e !== e) continue;
    store<f32>(scratch + (<usize>n << 2), abs(e));
    n++;
  }
  if (n === 0) return 0;
  const upper = select(scratch, n, n >> 1);
  if ((n & 1) === 1) return upper;
  let lower: f32 = 0;
  for (let i = 0; i < n >> 1; i++) lower = max(lower, load<f32>(scratch + (<usize>i << 2)));
  return (<f64>lower + <f64>upper) / 2;
}

/**
 * Huber's weights, 1 where a residual is NaN, and for each tile the weighted sum of squares and of weights, two doubles.
 * @param limit size above which a residual counts for less; NaN: the weights stay
 * @param sums room for two vectors a tile
 */
export function weighPart(
  part: usize,
  pitch: usize,
  runs: i32,
  tiles: i32,
  error: usize,
  weight: usize,
  limit: f64,
  sums: usize,
  out: usize,
): void {
  memory.fill(sums, 0, <usize>tiles * 32);
  const ones = held(1);
  const most = held(<f32>limit);
  const fixed = limit !== limit;
  let run = part + RUNS * pitch;
  let i: usize = 0;
  for (let r = 0; r < runs; r++, run += 8) {
    const end = <usize>load<i32>(run) << 2;
    const tile = sums + (<usize>load<i32>(run, 4) << 5);
    let ee = v128.load(tile);
    let ww = v128.load(tile, 16);
    for (; i < end; i += 16) {
      const e = v128.load(error + i);
      const valid = f32x4.eq(e, e);
      const w = fixed
        ? v128.bitselect(v128.load(weight + i), ones, valid)
        : v128.bitselect(f32x4.pmin(ones, f32x4.div(most, f32x4.abs(e))), ones, valid);
      // As above: what reaches into the next run is written again.
      v128.store(weight + i, w);
      const counts = i + 16 > end ? v128.and(valid, lanesBelow(<i32>((end - i) >> 2))) : valid;
      const counted = v128.and(counts, w);
      const known = v128.and(counts, e);
      ee = f32x4.add(ee, f32x4.mul(f32x4.mul(counted, known), known));
      ww = f32x4.add(ww, counted);
    }
    i = end;
    v128.store(tile, ee);
    v128.store(tile, ww, 16);
  }
  for (let k = 0; k < tiles; k++) {
    store<f64>(out + (<usize>k << 4), laneSum(v128.load(sums + (<usize>k << 5))));
    store<f64>(out + (<usize>k << 4), laneSum(v128.load(sums + (<usize>k << 5), 16)), 8);
  }
}
