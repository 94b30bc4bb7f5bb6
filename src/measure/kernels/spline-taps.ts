import { spread } from "./vector";

// Four pixels of a picture at once, anywhere between its own: cubic B-spline, sixteen taps each.

/** For inner loops: one, a half, a sixth, two thirds, and what makes a small whole number's bits its own. */
export const NUMBERS: usize = memory.data<f32>([1, 0.5, 0.16666666666666666, 0.6666666666666666, 12582912], 16);
export const STEPS: usize = memory.data<i32>([0, 4, 8, 12], 16);

/** Weight of the tap farther off, when the nearer one is at a distance of 1 - `f`. */
// @ts-ignore: decorator
@inline
export function outer(f: v128, sixth: v128): v128 {
  return f32x4.mul(f32x4.mul(f, f), f32x4.mul(f, sixth));
}

/** Weight of the tap at a distance of `f`. */
// @ts-ignore: decorator
@inline
export function inner(f: v128, one: v128, half: v128, twoThirds: v128): v128 {
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
export function scattered(
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

/**
 * Four pixels. `place`: bytes from `origin` to each one's first tap; p and q: how far they lie beyond their second tap,
 * px; the rest are NUMBERS and STEPS, which the caller's loop holds.
 */
// @ts-ignore: decorator
@inline
export function fourAt(
  origin: usize,
  stride: usize,
  place: v128,
  p: v128,
  q: v128,
  one: v128,
  half: v128,
  sixth: v128,
  twoThirds: v128,
  steps: v128,
): v128 {
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
  if (i32x4.bitmask(i32x4.eq(place, beside)) !== 15)
    return scattered(origin, stride, place, a, b, c, d, e, f, g, h);
  // Side by side, as most are: their taps lie in one stretch of four rows.
  const first = origin + <usize>i32x4.extract_lane(place, 0);
  const below = first + (stride << 1);
  return f32x4.add(
    f32x4.add(f32x4.mul(e, across(first, a, b, c, d)), f32x4.mul(f, across(first + stride, a, b, c, d))),
    f32x4.add(f32x4.mul(g, across(below, a, b, c, d)), f32x4.mul(h, across(below + stride, a, b, c, d))),
  );
}
