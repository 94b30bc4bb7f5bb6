import { held, heldInt, lanesBelow, laneSum, spread } from "./vector";

// A part's pixels lie packed, one array after the other, each `pitch` bytes long: x, y, u, v, t, gx, gy (float32), tile
// (int32), then runs of pixels of one tile, as pairs of end and tile (int32, up to two for each pixel).
const X: usize = 0;
const Y: usize = 1;
const U: usize = 2;
const V: usize = 3;
const T: usize = 4;
const GX: usize = 5;
const GY: usize = 6;
const TILE: usize = 7;
const RUNS: usize = 8;

/** As the twin's sums: so many doubles a tile, and which is which. */
const STRIDE: usize = 26;
/** The same sums while they are made: 22 vectors a tile, and the grey level they are counted from. */
const SUMS: usize = 22;
const TILE_BYTES: usize = (SUMS + 1) * 16;

/** Of the part that was loaded last: the box of u and v, and of x and y from them. */
const BOX: usize = memory.data(6 * 4, 16);

/** Bytes that `accumulatePart` needs for each tile. */
export function partTileBytes(): usize {
  return TILE_BYTES;
}

/**
 * Finds the runs, and the mean grey level of every tile: sums are counted from it, so that single precision suffices.
 * Once done each pixel's tile gives way to its place in a frame of `width`.
 * @returns how many runs
 */
export function loadPart(part: usize, pitch: usize, count: i32, tiles: i32, width: i32, sums: usize): i32 {
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

/** For inner loops: one, a half, a sixth, two thirds. */
const NUMBERS: usize = memory.data<f32>([1, 0.5, 0.16666666666666666, 0.6666666666666666], 16);

/** Weight of the tap farther off, when the nearer one is at a distance of 1 - `f`. */
// @ts-ignore: decorator
@inline
function outer(f: v128, sixth: v128): v128 {
  return f32x4.mul(f32x4.mul(f, f), f32x4.mul(f, sixth));
}

/** Weight of the tap at a distance of `f`. */
// @ts-ignore: decorator
@inline
function inner(f: v128, one: v128, half: v128, twoThirds: v128): v128 {
  return f32x4.sub(twoThirds, f32x4.mul(f32x4.mul(f, f), f32x4.sub(one, f32x4.mul(f, half))));
}

/** Four taps across, of four pixels that lie side by side. */
// @ts-ignore: decorator
@inline
function across(at: usize, w0: v128, w1: v128, w2: v128, w3: v128): v128 {
  return f32x4.add(
    f32x4.add(f32x4.mul(w0, v128.load(at)), f32x4.mul(w1, v128.load(at, 4))),
    f32x4.add(f32x4.mul(w2, v128.load(at, 8)), f32x4.mul(w3, v128.load(at, 12))),
  );
}

/** Four taps down, all of one pixel's columns at once. */
// @ts-ignore: decorator
@inline
function down(at: usize, stride: usize, w0: v128, w1: v128, w2: v128, w3: v128): v128 {
  const a = f32x4.add(f32x4.mul(w0, v128.load(at)), f32x4.mul(w1, v128.load(at + stride)));
  const below = at + (stride << 1);
  return f32x4.add(a, f32x4.add(f32x4.mul(w2, v128.load(below)), f32x4.mul(w3, v128.load(below + stride))));
}

/**
 * The frame under the motion, NaN where it leaves the picture. Places are counted from each pixel's own, not from the
 * picture's corner: a float32 of 2000 is good to 1e-4 px only.
 * @param dx, dy px
 * @param less cosine of the turn, less 1
 */
export function samplePart(
  part: usize,
  pitch: usize,
  count: i32,
  out: usize,
  coefficients: usize,
  width: i32,
  height: i32,
  dx: f64,
  dy: f64,
  less: f64,
  sine: f64,
): void {
  const stride = <usize>width << 2;
  const wholeX = Math.floor(dx);
  const wholeY = Math.floor(dy);
  const fx = f32x4.splat(<f32>(dx - wholeX));
  const fy = f32x4.splat(<f32>(dy - wholeY));
  const wx = i32x4.splat(<i32>Math.max(-1e6, Math.min(1e6, wholeX)));
  const wy = i32x4.splat(<i32>Math.max(-1e6, Math.min(1e6, wholeY)));
  const c = f32x4.splat(<f32>less);
  const s = f32x4.splat(<f32>sine);
  const one = i32x4.splat(1);
  const mostX = i32x4.splat(width - 3);
  const mostY = i32x4.splat(height - 3);
  const unit = spread(NUMBERS, 0);
  const half = spread(NUMBERS, 1);
  const sixth = spread(NUMBERS, 2);
  const twoThirds = spread(NUMBERS, 3);
  const nan = f32x4.splat(f32.NaN);
  const steps = i32x4(0, 4, 8, 12);
  const end = part + (<usize>count << 2);
  for (let at = part; at < end; at += 16, out += 16) {
    const u = v128.load(at + U * pitch);
    const v = v128.load(at + V * pitch);
    const x = f32x4.add(fx, f32x4.sub(f32x4.mul(c, u), f32x4.mul(s, v)));
    const y = f32x4.add(fy, f32x4.add(f32x4.mul(s, u), f32x4.mul(c, v)));
    const floorX = f32x4.floor(x);
    const floorY = f32x4.floor(y);
    const px = i32x4.add(i32x4.trunc_sat_f32x4_s(f32x4.add(v128.load(at + X * pitch), floorX)), wx);
    const py = i32x4.add(i32x4.trunc_sat_f32x4_s(f32x4.add(v128.load(at + Y * pitch), floorY)), wy);
    const ix = i32x4.max_s(one, i32x4.min_s(mostX, px));
    const iy = i32x4.max_s(one, i32x4.min_s(mostY, py));
    const inside = v128.and(i32x4.eq(ix, px), i32x4.eq(iy, py));
    const p = f32x4.sub(x, floorX);
    const q = f32x4.sub(y, floorY);
    const p1 = f32x4.sub(unit, p);
    const q1 = f32x4.sub(unit, q);
    const a = outer(p1, sixth);
    const b = inner(p, unit, half, twoThirds);
    const c2 = inner(p1, unit, half, twoThirds);
    const d = outer(p, sixth);
    const e = outer(q1, sixth);
    const f = inner(q, unit, half, twoThirds);
    const g = inner(q1, unit, half, twoThirds);
    const h = outer(q, sixth);
    const place = i32x4.shl(
      i32x4.add(i32x4.mul(i32x4.sub(iy, one), i32x4.splat(width)), i32x4.sub(ix, one)),
      2,
    );
    const first = coefficients + <usize>i32x4.extract_lane(place, 0);
    if (i32x4.all_true(i32x4.eq(place, i32x4.add(v128.shuffle<i32>(place, place, 0, 0, 0, 0), steps)))) {
      // Side by side, as most are: their taps lie in one stretch of four rows.
      const below = first + (stride << 1);
      const upper = f32x4.add(
        f32x4.mul(e, across(first, a, b, c2, d)),
        f32x4.mul(f, across(first + stride, a, b, c2, d)),
      );
      const lower = f32x4.add(
        f32x4.mul(g, across(below, a, b, c2, d)),
        f32x4.mul(h, across(below + stride, a, b, c2, d)),
      );
      v128.store(out, v128.bitselect(f32x4.add(upper, lower), nan, inside));
      continue;
    }
    const r0 = down(
      first,
      stride,
      v128.shuffle<f32>(e, e, 0, 0, 0, 0),
      v128.shuffle<f32>(f, f, 0, 0, 0, 0),
      v128.shuffle<f32>(g, g, 0, 0, 0, 0),
      v128.shuffle<f32>(h, h, 0, 0, 0, 0),
    );
    const r1 = down(
      coefficients + <usize>i32x4.extract_lane(place, 1),
      stride,
      v128.shuffle<f32>(e, e, 1, 1, 1, 1),
      v128.shuffle<f32>(f, f, 1, 1, 1, 1),
      v128.shuffle<f32>(g, g, 1, 1, 1, 1),
      v128.shuffle<f32>(h, h, 1, 1, 1, 1),
    );
    const r2 = down(
      coefficients + <usize>i32x4.extract_lane(place, 2),
      stride,
      v128.shuffle<f32>(e, e, 2, 2, 2, 2),
      v128.shuffle<f32>(f, f, 2, 2, 2, 2),
      v128.shuffle<f32>(g, g, 2, 2, 2, 2),
      v128.shuffle<f32>(h, h, 2, 2, 2, 2),
    );
    const r3 = down(
      coefficients + <usize>i32x4.extract_lane(place, 3),
      stride,
      v128.shuffle<f32>(e, e, 3, 3, 3, 3),
      v128.shuffle<f32>(f, f, 3, 3, 3, 3),
      v128.shuffle<f32>(g, g, 3, 3, 3, 3),
      v128.shuffle<f32>(h, h, 3, 3, 3, 3),
    );
    const left0 = v128.shuffle<f32>(r0, r1, 0, 4, 1, 5);
    const left1 = v128.shuffle<f32>(r0, r1, 2, 6, 3, 7);
    const right0 = v128.shuffle<f32>(r2, r3, 0, 4, 1, 5);
    const right1 = v128.shuffle<f32>(r2, r3, 2, 6, 3, 7);
    const value = f32x4.add(
      f32x4.add(
        f32x4.mul(a, v128.shuffle<f64>(left0, right0, 0, 2)),
        f32x4.mul(b, v128.shuffle<f64>(left0, right0, 1, 3)),
      ),
      f32x4.add(
        f32x4.mul(c2, v128.shuffle<f64>(left1, right1, 0, 2)),
        f32x4.mul(d, v128.shuffle<f64>(left1, right1, 1, 3)),
      ),
    );
    v128.store(out, v128.bitselect(value, nan, inside));
  }
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
