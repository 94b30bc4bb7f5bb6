import { spread } from "./vector";

// The recursions of the cubic B-spline prefilter, four rows or sixteen columns at a time. A recursion waits for its own
// last result: so each block of four steps is worked out from zero first and what came before is added with a power of
// the pole, which leaves one wait in four.

const POLE: f32 = -0.2679491924311227;
const GAIN: f32 = 6;
const LAST: f32 = POLE / (POLE * POLE - 1);
/** For inner loops: 0 to 3 powers of the pole, 4 gain, 5 last, 6 and 7 of the gradient. */
const NUMBERS: usize = memory.data<f32>(
  [
    -0.2679491924311227, 0.0717967697244908, -0.019237886466840597, 0.005154776142871361, 6, 0.28867513459481287, 4,
    0.08333333333333333,
  ],
  16,
);
/** As the twin's. */
const HORIZON: i32 = 16;

// @ts-ignore: decorator
@inline
function columnOf(r0: usize, r1: usize, r2: usize, r3: usize, at: usize): v128 {
  let v = v128.load32_zero(r0 + at);
  v = v128.load32_lane(r1 + at, v, 1);
  v = v128.load32_lane(r2 + at, v, 2);
  return v128.load32_lane(r3 + at, v, 3);
}

// @ts-ignore: decorator
@inline
function putColumn(v: v128, r0: usize, r1: usize, r2: usize, r3: usize, at: usize): void {
  v128.store32_lane(r0 + at, v, 0);
  v128.store32_lane(r1 + at, v, 1);
  v128.store32_lane(r2 + at, v, 2);
  v128.store32_lane(r3 + at, v, 3);
}

/**
 * Filters four rows; the same address may stand for several.
 * @param shift bytes from a source row to its target row; may be 0
 * @param turned room for 4 x width values
 */
export function splineRows4(r0: usize, r1: usize, r2: usize, r3: usize, shift: usize, width: i32, turned: usize): void {
  if (width < 2) {
    const v = columnOf(r0, r1, r2, r3, 0);
    putColumn(v, r0 + shift, r1 + shift, r2 + shift, r3 + shift, 0);
    return;
  }
  const last = width - 1;
  const horizon = min(HORIZON, last);
  const z = spread(NUMBERS, 0);
  const z2 = spread(NUMBERS, 1);
  const z3 = spread(NUMBERS, 2);
  const z4 = spread(NUMBERS, 3);
  const six = spread(NUMBERS, 4);
  let carried = f32x4.splat(0);
  let power: f32 = 1;
  for (let i = 0; i <= horizon; i++) {
    carried = f32x4.add(carried, f32x4.mul(f32x4.splat(power), columnOf(r0, r1, r2, r3, <usize>i << 2)));
    power *= POLE;
  }
  carried = f32x4.mul(six, carried);
  let to = turned;
  v128.store(to, carried);
  // The first column is done; go on by blocks of four from the second one.
  let i = 1;
  for (; i + 4 <= width; i += 4) {
    const at = <usize>i << 2;
    const a = v128.load(r0 + at);
    const b = v128.load(r1 + at);
    const c = v128.load(r2 + at);
    const d = v128.load(r3 + at);
    const ab0 = v128.shuffle<f32>(a, b, 0, 4, 1, 5);
    const ab1 = v128.shuffle<f32>(a, b, 2, 6, 3, 7);
    const cd0 = v128.shuffle<f32>(c, d, 0, 4, 1, 5);
    const cd1 = v128.shuffle<f32>(c, d, 2, 6, 3, 7);
    const p0 = f32x4.mul(six, v128.shuffle<f64>(ab0, cd0, 0, 2));
    const p1 = f32x4.add(f32x4.mul(six, v128.shuffle<f64>(ab0, cd0, 1, 3)), f32x4.mul(z, p0));
    const p2 = f32x4.add(f32x4.mul(six, v128.shuffle<f64>(ab1, cd1, 0, 2)), f32x4.mul(z, p1));
    const p3 = f32x4.add(f32x4.mul(six, v128.shuffle<f64>(ab1, cd1, 1, 3)), f32x4.mul(z, p2));
    v128.store(to, f32x4.add(p0, f32x4.mul(z, carried)), 16);
    v128.store(to, f32x4.add(p1, f32x4.mul(z2, carried)), 32);
    v128.store(to, f32x4.add(p2, f32x4.mul(z3, carried)), 48);
    carried = f32x4.add(p3, f32x4.mul(z4, carried));
    v128.store(to, carried, 64);
    to += 64;
  }
  for (; i < width; i++) {
    carried = f32x4.add(f32x4.mul(six, columnOf(r0, r1, r2, r3, <usize>i << 2)), f32x4.mul(z, carried));
    v128.store(to, carried, 16);
    to += 16;
  }
  // And back. `to` stands at the last column.
  r0 += shift;
  r1 += shift;
  r2 += shift;
  r3 += shift;
  carried = f32x4.mul(spread(NUMBERS, 5), f32x4.add(v128.load(to), f32x4.mul(z, v128.load(to - 16))));
  putColumn(carried, r0, r1, r2, r3, <usize>last << 2);
  i = last;
  for (; i >= 4; i -= 4) {
    const at = <usize>(i - 4) << 2;
    to -= 64;
    const q3 = f32x4.neg(f32x4.mul(z, v128.load(to, 48)));
    const q2 = f32x4.mul(z, f32x4.sub(q3, v128.load(to, 32)));
    const q1 = f32x4.mul(z, f32x4.sub(q2, v128.load(to, 16)));
    const q0 = f32x4.mul(z, f32x4.sub(q1, v128.load(to)));
    const c3 = f32x4.add(q3, f32x4.mul(z, carried));
    const c2 = f32x4.add(q2, f32x4.mul(z2, carried));
    const c1 = f32x4.add(q1, f32x4.mul(z3, carried));
    carried = f32x4.add(q0, f32x4.mul(z4, carried));
    const low01 = v128.shuffle<f32>(carried, c1, 0, 4, 1, 5);
    const high01 = v128.shuffle<f32>(carried, c1, 2, 6, 3, 7);
    const low23 = v128.shuffle<f32>(c2, c3, 0, 4, 1, 5);
    const high23 = v128.shuffle<f32>(c2, c3, 2, 6, 3, 7);
    v128.store(r0 + at, v128.shuffle<f64>(low01, low23, 0, 2));
    v128.store(r1 + at, v128.shuffle<f64>(low01, low23, 1, 3));
    v128.store(r2 + at, v128.shuffle<f64>(high01, high23, 0, 2));
    v128.store(r3 + at, v128.shuffle<f64>(high01, high23, 1, 3));
  }
  for (i--; i >= 0; i--) {
    to -= 16;
    carried = f32x4.mul(z, f32x4.sub(carried, v128.load(to)));
    putColumn(carried, r0, r1, r2, r3, <usize>i << 2);
  }
}

/** Rows `from` to `below`, four at a time; the last group repeats its last row. */
export function splineRows(
  source: usize,
  into: usize,
  width: i32,
  from: i32,
  below: i32,
  turned: usize,
): void {
  const bytes = <usize>width << 2;
  for (let y = from; y < below; y += 4) {
    const r0 = source + <usize>y * bytes;
    const r1 = source + <usize>min(y + 1, below - 1) * bytes;
    const r2 = source + <usize>min(y + 2, below - 1) * bytes;
    const r3 = source + <usize>min(y + 3, below - 1) * bytes;
    splineRows4(r0, r1, r2, r3, into - source, width, turned);
  }
}

/** Sixteen columns from the top down and back: they stay in the cache meanwhile. */
function splineColumns16(top: usize, bytes: usize, height: i32): void {
  const horizon = min(HORIZON, height - 1);
  const z = spread(NUMBERS, 0);
  const six = spread(NUMBERS, 4);
  let a = f32x4.splat(0);
  let b = a;
  let c = a;
  let d = a;
  let at = top;
  let power: f32 = 1;
  for (let y = 0; y <= horizon; y++, at += bytes) {
    const p = f32x4.splat(power);
    a = f32x4.add(a, f32x4.mul(p, v128.load(at)));
    b = f32x4.add(b, f32x4.mul(p, v128.load(at, 16)));
    c = f32x4.add(c, f32x4.mul(p, v128.load(at, 32)));
    d = f32x4.add(d, f32x4.mul(p, v128.load(at, 48)));
    power *= POLE;
  }
  a = f32x4.mul(six, a);
  b = f32x4.mul(six, b);
  c = f32x4.mul(six, c);
  d = f32x4.mul(six, d);
  at = top;
  v128.store(at, a);
  v128.store(at, b, 16);
  v128.store(at, c, 32);
  v128.store(at, d, 48);
  let a1 = a;
  let b1 = b;
  let c1 = c;
  let d1 = d;
  for (let y = 1; y < height; y++) {
    at += bytes;
    a1 = a;
    b1 = b;
    c1 = c;
    d1 = d;
    a = f32x4.add(f32x4.mul(six, v128.load(at)), f32x4.mul(z, a));
    b = f32x4.add(f32x4.mul(six, v128.load(at, 16)), f32x4.mul(z, b));
    c = f32x4.add(f32x4.mul(six, v128.load(at, 32)), f32x4.mul(z, c));
    d = f32x4.add(f32x4.mul(six, v128.load(at, 48)), f32x4.mul(z, d));
    v128.store(at, a);
    v128.store(at, b, 16);
    v128.store(at, c, 32);
    v128.store(at, d, 48);
  }
  const factor = spread(NUMBERS, 5);
  a = f32x4.mul(factor, f32x4.add(a, f32x4.mul(z, a1)));
  b = f32x4.mul(factor, f32x4.add(b, f32x4.mul(z, b1)));
  c = f32x4.mul(factor, f32x4.add(c, f32x4.mul(z, c1)));
  d = f32x4.mul(factor, f32x4.add(d, f32x4.mul(z, d1)));
  v128.store(at, a);
  v128.store(at, b, 16);
  v128.store(at, c, 32);
  v128.store(at, d, 48);
  for (let y = height - 2; y >= 0; y--) {
    at -= bytes;
    a = f32x4.mul(z, f32x4.sub(a, v128.load(at)));
    b = f32x4.mul(z, f32x4.sub(b, v128.load(at, 16)));
    c = f32x4.mul(z, f32x4.sub(c, v128.load(at, 32)));
    d = f32x4.mul(z, f32x4.sub(d, v128.load(at, 48)));
    v128.store(at, a);
    v128.store(at, b, 16);
    v128.store(at, c, 32);
    v128.store(at, d, 48);
  }
}

function splineColumn1(top: usize, bytes: usize, height: i32): void {
  const horizon = min(HORIZON, height - 1);
  let sum: f32 = 0;
  let power: f32 = 1;
  let at = top;
  for (let y = 0; y <= horizon; y++, at += bytes) {
    sum += power * load<f32>(at);
    power *= POLE;
  }
  let value: f32 = GAIN * sum;
  let before = value;
  at = top;
  store<f32>(at, value);
  for (let y = 1; y < height; y++) {
    at += bytes;
    before = value;
    value = GAIN * load<f32>(at) + POLE * value;
    store<f32>(at, value);
  }
  value = LAST * (value + POLE * before);
  store<f32>(at, value);
  for (let y = height - 2; y >= 0; y--) {
    at -= bytes;
    value = POLE * (value - load<f32>(at));
    store<f32>(at, value);
  }
}

export function splineColumns(plane: usize, width: i32, height: i32): void {
  if (height < 2) return;
  const bytes = <usize>width << 2;
  let x = 0;
  for (; x + 16 <= width; x += 16) splineColumns16(plane + (<usize>x << 2), bytes, height);
  for (; x < width; x++) splineColumn1(plane + (<usize>x << 2), bytes, height);
}

/** @param turned room for 4 x width values */
export function splineCoefficients(source: usize, into: usize, width: i32, height: i32, turned: usize): void {
  splineRows(source, into, width, 0, height, turned);
  splineColumns(into, width, height);
}

export function splineGradient(coefficients: usize, intoX: usize, intoY: usize, width: i32, height: i32): void {
  const bytes = <usize>width << 2;
  if (width < 3 || height < 3) {
    memory.fill(intoX, 0, <usize>height * bytes);
    memory.fill(intoY, 0, <usize>height * bytes);
    return;
  }
  const lastRow = <usize>(height - 1) * bytes;
  memory.fill(intoX, 0, bytes);
  memory.fill(intoY, 0, bytes);
  memory.fill(intoX + lastRow, 0, bytes);
  memory.fill(intoY + lastRow, 0, bytes);
  const twelfth = spread(NUMBERS, 7);
  const four = spread(NUMBERS, 6);
  const end = bytes - 4;
  for (let y = 1; y < height - 1; y++) {
    const b = coefficients + <usize>y * bytes;
    const a = b - bytes;
    const c = b + bytes;
    const gx = intoX + <usize>y * bytes;
    const gy = intoY + <usize>y * bytes;
    store<f32>(gx, 0);
    store<f32>(gy, 0);
    store<f32>(gx + end, 0);
    store<f32>(gy + end, 0);
    let x: usize = 4;
    for (; x + 16 <= end; x += 16) {
      const left = x - 4;
      const aLeft = v128.load(a + left);
      const aRight = v128.load(a + left, 8);
      const cLeft = v128.load(c + left);
      const cRight = v128.load(c + left, 8);
      const across = f32x4.mul(four, f32x4.sub(v128.load(b + left, 8), v128.load(b + left)));
      const first = f32x4.sub(aRight, cLeft);
      const second = f32x4.sub(cRight, aLeft);
      v128.store(gx + x, f32x4.mul(twelfth, f32x4.add(f32x4.add(first, second), across)));
      const down = f32x4.mul(four, f32x4.sub(v128.load(c + left, 4), v128.load(a + left, 4)));
      v128.store(gy + x, f32x4.mul(twelfth, f32x4.add(f32x4.sub(second, first), down)));
    }
    for (; x < end; x += 4) {
      const aLeft = load<f32>(a + x - 4);
      const aRight = load<f32>(a + x + 4);
      const cLeft = load<f32>(c + x - 4);
      const cRight = load<f32>(c + x + 4);
      const across: f32 = 4 * (load<f32>(b + x + 4) - load<f32>(b + x - 4));
      store<f32>(gx + x, (aRight - aLeft + (cRight - cLeft) + across) * <f32>(1.0 / 12));
      const down: f32 = 4 * (load<f32>(c + x) - load<f32>(a + x));
      store<f32>(gy + x, (cLeft - aLeft + (cRight - aRight) + down) * <f32>(1.0 / 12));
    }
  }
}
