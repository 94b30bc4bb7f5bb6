import { PLACE, U, V, X, Y } from "./part-layout";
import { held, heldInt, spread } from "./vector";

/** For inner loops: one, a half, a sixth, two thirds, and what makes a small whole number's bits its own. */
const NUMBERS: usize = memory.data<f32>([1, 0.5, 0.16666666666666666, 0.6666666666666666, 12582912], 16);
const STEPS: usize = memory.data<i32>([0, 4, 8, 12], 16);

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
function across(at: usize, a: v128, b: v128, c: v128, d: v128): v128 {
  return f32x4.add(
    f32x4.add(f32x4.mul(a, v128.load(at)), f32x4.mul(b, v128.load(at, 4))),
    f32x4.add(f32x4.mul(c, v128.load(at, 8)), f32x4.mul(d, v128.load(at, 12))),
  );
}

/** Four taps down, all of one pixel's columns at once. */
// @ts-ignore: decorator
@inline
function down(at: usize, stride: usize, e: v128, f: v128, g: v128, h: v128): v128 {
  const upper = f32x4.add(f32x4.mul(e, v128.load(at)), f32x4.mul(f, v128.load(at + stride)));
  const below = at + (stride << 1);
  return f32x4.add(upper, f32x4.add(f32x4.mul(g, v128.load(below)), f32x4.mul(h, v128.load(below + stride))));
}

/** Four pixels anywhere. `place`: bytes from `coefficients` to each one's first tap; a to d weigh across, e to h down. */
function scattered(
  coefficients: usize,
  stride: usize,
  place: v128,
  a: v128,
  b: v128,
  c: v128,
  d: v128,
  e: v128,
  f: v128,
  g: v128,
  h: v128,
): v128 {
  const r0 = down(
    coefficients + <usize>i32x4.extract_lane(place, 0),
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
  return f32x4.add(
    f32x4.add(
      f32x4.mul(a, v128.shuffle<f64>(left0, right0, 0, 2)),
      f32x4.mul(b, v128.shuffle<f64>(left0, right0, 1, 3)),
    ),
    f32x4.add(
      f32x4.mul(c, v128.shuffle<f64>(left1, right1, 0, 2)),
      f32x4.mul(d, v128.shuffle<f64>(left1, right1, 1, 3)),
    ),
  );
}

/** Where the part lies that was loaded last: least and largest u and v, and what leads from them to x and y. */
const BOX: usize = memory.data(6 * 8, 16);

/** Each pixel's tile gives way to the place of its first tap in a frame of `width`, bytes, and the box is taken. */
export function placePart(part: usize, pitch: usize, count: i32, width: i32): void {
  let u0 = f64.MAX_VALUE;
  let u1 = -f64.MAX_VALUE;
  let v0 = u0;
  let v1 = u1;
  const end = part + (<usize>count << 2);
  for (let at = part; at < end; at += 4) {
    const x = <i32>load<f32>(at + X * pitch);
    const y = <i32>load<f32>(at + Y * pitch);
    store<i32>(at + PLACE * pitch, ((y - 1) * width + x - 1) << 2);
    const u = <f64>load<f32>(at + U * pitch);
    const v = <f64>load<f32>(at + V * pitch);
    u0 = min(u0, u);
    u1 = max(u1, u);
    v0 = min(v0, v);
    v1 = max(v1, v);
  }
  // Whole vectors are sampled: what fills the last one is its last pixel again.
  const last = end - 4;
  for (let at = end; at < part + pitch; at += 4) {
    for (let array: usize = X; array <= PLACE; array++) store<i32>(at + array * pitch, load<i32>(last + array * pitch));
  }
  store<f64>(BOX, u0);
  store<f64>(BOX, u1, 8);
  store<f64>(BOX, v0, 16);
  store<f64>(BOX, v1, 24);
  store<f64>(BOX, <f64>load<f32>(part + X * pitch) - <f64>load<f32>(part + U * pitch), 32);
  store<f64>(BOX, <f64>load<f32>(part + Y * pitch) - <f64>load<f32>(part + V * pitch), 40);
}

/** Whether a corner of the box, and its taps, lie in the picture; and so near its row that `sampleInside` can count. */
function cornerInside(
  u: f64,
  v: f64,
  width: i32,
  height: i32,
  dx: f64,
  dy: f64,
  less: f64,
  sine: f64,
): bool {
  const right = less * u - sine * v;
  const below = sine * u + less * v;
  const x = load<f64>(BOX, 32) + u + dx + right;
  const y = load<f64>(BOX, 40) + v + dy + below;
  return (
    x > 1.01 &&
    y > 1.01 &&
    x < <f64>width - 2.01 &&
    y < <f64>height - 2.01 &&
    (Math.abs(below) + 2) * <f64>width + Math.abs(right) < 4e6
  );
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
  const u0 = load<f64>(BOX);
  const u1 = load<f64>(BOX, 8);
  const v0 = load<f64>(BOX, 16);
  const v1 = load<f64>(BOX, 24);
  const inside =
    cornerInside(u0, v0, width, height, dx, dy, less, sine) &&
    cornerInside(u1, v0, width, height, dx, dy, less, sine) &&
    cornerInside(u0, v1, width, height, dx, dy, less, sine) &&
    cornerInside(u1, v1, width, height, dx, dy, less, sine);
  if (inside) sampleInside(part, pitch, count, out, coefficients, width, dx, dy, less, sine);
  else sampleAnywhere(part, pitch, count, out, coefficients, width, height, dx, dy, less, sine);
}

function sampleInside(
  part: usize,
  pitch: usize,
  count: i32,
  out: usize,
  coefficients: usize,
  width: i32,
  dx: f64,
  dy: f64,
  less: f64,
  sine: f64,
): void {
  const stride = <usize>width << 2;
  const wholeX = Math.floor(dx);
  const wholeY = Math.floor(dy);
  const origin = coefficients + <usize>((<i32>wholeY * width + <i32>wholeX) << 2);
  const fx = held(<f32>(dx - wholeX));
  const fy = held(<f32>(dy - wholeY));
  const turned = held(<f32>less);
  const s = held(<f32>sine);
  const rowLength = held(<f32>width);
  const one = spread(NUMBERS, 0);
  const half = spread(NUMBERS, 1);
  const sixth = spread(NUMBERS, 2);
  const twoThirds = spread(NUMBERS, 3);
  const magic = spread(NUMBERS, 4);
  const steps = v128.load(STEPS);
  const end = part + (<usize>count << 2);
  for (let at = part; at < end; at += 16, out += 16) {
    const u = v128.load(at + U * pitch);
    const v = v128.load(at + V * pitch);
    const x = f32x4.add(fx, f32x4.sub(f32x4.mul(turned, u), f32x4.mul(s, v)));
    const y = f32x4.add(fy, f32x4.add(f32x4.mul(s, u), f32x4.mul(turned, v)));
    const floorX = f32x4.floor(x);
    const floorY = f32x4.floor(y);
    // Pixels from the own place, below 4e6: exact, and once the magic number is added the low bits are the number.
    const offset = f32x4.add(f32x4.add(f32x4.mul(floorY, rowLength), floorX), magic);
    const place = i32x4.add(v128.load(at + PLACE * pitch), i32x4.shl(i32x4.sub(offset, magic), 2));
    const p = f32x4.sub(x, floorX);
    const q = f32x4.sub(y, floorY);
    const p1 = f32x4.sub(one, p);
    const q1 = f32x4.sub(one, q);
    const a = outer(p1, sixth);
    const b = inner(p, one, half, twoThirds);
    const c = inner(p1, one, half, twoThirds);
    const d = outer(p, sixth);
    const e = outer(q1, sixth);
    const f = inner(q, one, half, twoThirds);
    const g = inner(q1, one, half, twoThirds);
    const h = outer(q, sixth);
    const beside = i32x4.add(v128.shuffle<i32>(place, place, 0, 0, 0, 0), steps);
    if (i32x4.bitmask(i32x4.eq(place, beside)) === 15) {
      // Side by side, as most are: their taps lie in one stretch of four rows.
      const first = origin + <usize>i32x4.extract_lane(place, 0);
      const below = first + (stride << 1);
      v128.store(
        out,
        f32x4.add(
          f32x4.add(
            f32x4.mul(e, across(first, a, b, c, d)),
            f32x4.mul(f, across(first + stride, a, b, c, d)),
          ),
          f32x4.add(
            f32x4.mul(g, across(below, a, b, c, d)),
            f32x4.mul(h, across(below + stride, a, b, c, d)),
          ),
        ),
      );
    } else v128.store(out, scattered(origin, stride, place, a, b, c, d, e, f, g, h));
  }
}

function sampleAnywhere(
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
  const fx = held(<f32>(dx - wholeX));
  const fy = held(<f32>(dy - wholeY));
  const wx = heldInt(<i32>Math.max(-1e6, Math.min(1e6, wholeX)));
  const wy = heldInt(<i32>Math.max(-1e6, Math.min(1e6, wholeY)));
  const turned = held(<f32>less);
  const s = held(<f32>sine);
  const least = heldInt(1);
  const mostX = heldInt(width - 3);
  const mostY = heldInt(height - 3);
  const rowLength = heldInt(width);
  const one = spread(NUMBERS, 0);
  const half = spread(NUMBERS, 1);
  const sixth = spread(NUMBERS, 2);
  const twoThirds = spread(NUMBERS, 3);
  const nan = held(f32.NaN);
  const end = part + (<usize>count << 2);
  for (let at = part; at < end; at += 16, out += 16) {
    const u = v128.load(at + U * pitch);
    const v = v128.load(at + V * pitch);
    const x = f32x4.add(fx, f32x4.sub(f32x4.mul(turned, u), f32x4.mul(s, v)));
    const y = f32x4.add(fy, f32x4.add(f32x4.mul(s, u), f32x4.mul(turned, v)));
    const floorX = f32x4.floor(x);
    const floorY = f32x4.floor(y);
    const px = i32x4.add(i32x4.trunc_sat_f32x4_s(f32x4.add(v128.load(at + X * pitch), floorX)), wx);
    const py = i32x4.add(i32x4.trunc_sat_f32x4_s(f32x4.add(v128.load(at + Y * pitch), floorY)), wy);
    const ix = i32x4.max_s(least, i32x4.min_s(mostX, px));
    const iy = i32x4.max_s(least, i32x4.min_s(mostY, py));
    const inside = v128.and(i32x4.eq(ix, px), i32x4.eq(iy, py));
    const row = i32x4.mul(i32x4.sub(iy, least), rowLength);
    const place = i32x4.shl(i32x4.add(row, i32x4.sub(ix, least)), 2);
    const p = f32x4.sub(x, floorX);
    const q = f32x4.sub(y, floorY);
    const p1 = f32x4.sub(one, p);
    const q1 = f32x4.sub(one, q);
    const value = scattered(
      coefficients,
      stride,
      place,
      outer(p1, sixth),
      inner(p, one, half, twoThirds),
      inner(p1, one, half, twoThirds),
      outer(p, sixth),
      outer(q1, sixth),
      inner(q, one, half, twoThirds),
      inner(q1, one, half, twoThirds),
      outer(q, sixth),
    );
    v128.store(out, v128.bitselect(value, nan, inside));
  }
}
