import { PLACE, U, V, X, Y } from "./part-layout";
import { fourAt, inner, NUMBERS, outer, scattered, STEPS } from "./spline-taps";
import { held, heldInt, spread } from "./vector";

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
    v128.store(out, fourAt(origin, stride, place, p, q, one, half, sixth, twoThirds, steps));
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
