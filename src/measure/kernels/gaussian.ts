import { MOST_RADIUS } from "./sizes";

/** Filled by the caller: index 0 is the centre. */
const WEIGHTS: usize = memory.data((MOST_RADIUS + 1) * 4, 16);

export function gaussianWeightsAt(): usize {
  return WEIGHTS;
}

// @ts-ignore: decorator
@inline
function weight(k: i32): v128 {
  return v128.load32_splat(WEIGHTS + (<usize>k << 2));
}

/** Repeats the edge pixels `radius` times on both sides of a row of `width` that lies at `row`. */
export function padRow(row: usize, width: i32, radius: i32): void {
  const first = load<f32>(row);
  const end = row + (<usize>width << 2);
  const last = load<f32>(end - 4);
  for (let k = 1; k <= radius; k++) {
    store<f32>(row - (<usize>k << 2), first);
    store<f32>(end + (<usize>(k - 1) << 2), last);
  }
  // What unused lanes read.
  memory.fill(end + (<usize>radius << 2), 0, 32);
}

/** One padded row into `to`. Writes two vectors at a time: up to 7 values past the row's end. */
export function blurRow(row: usize, width: i32, radius: i32, to: usize): void {
  const end = to + (<usize>width << 2);
  if (radius === 4) {
    const w0 = weight(0);
    const w1 = weight(1);
    const w2 = weight(2);
    const w3 = weight(3);
    const w4 = weight(4);
    // Offsets of a constant cost nothing, as long as they are not negative.
    for (let at = row - 16; to < end; to += 32, at += 32) {
      const v4 = v128.load(at, 16);
      const v8 = v128.load(at, 32);
      let a = f32x4.mul(w4, f32x4.add(v128.load(at), v8));
      let b = f32x4.mul(w4, f32x4.add(v4, v128.load(at, 48)));
      const v5 = v128.load(at, 20);
      const v7 = v128.load(at, 28);
      a = f32x4.add(a, f32x4.mul(w3, f32x4.add(v128.load(at, 4), v7)));
      b = f32x4.add(b, f32x4.mul(w3, f32x4.add(v5, v128.load(at, 44))));
      const v6 = v128.load(at, 24);
      a = f32x4.add(a, f32x4.mul(w2, f32x4.add(v128.load(at, 8), v6)));
      b = f32x4.add(b, f32x4.mul(w2, f32x4.add(v6, v128.load(at, 40))));
      a = f32x4.add(a, f32x4.mul(w1, f32x4.add(v128.load(at, 12), v5)));
      b = f32x4.add(b, f32x4.mul(w1, f32x4.add(v7, v128.load(at, 36))));
      v128.store(to, f32x4.add(a, f32x4.mul(w0, v4)));
      v128.store(to, f32x4.add(b, f32x4.mul(w0, v8)), 16);
    }
    return;
  }
  for (; to < end; to += 16, row += 16) {
    let sum = f32x4.mul(weight(0), v128.load(row));
    for (let k = 1; k <= radius; k++) {
      const offset = <usize>k << 2;
      sum = f32x4.add(sum, f32x4.mul(weight(k), f32x4.add(v128.load(row - offset), v128.load(row + offset))));
    }
    v128.store(to, sum);
  }
}

/** Addresses of the 2 radius + 2 rows that two output rows are made of, from the top down. */
const ROWS: usize = memory.data((2 * MOST_RADIUS + 2) * 4, 16);

export function setBlurRow(index: i32, address: usize): void {
  store<usize>(ROWS + (<usize>index << 2), address);
}

// @ts-ignore: decorator
@inline
function rowAt(index: i32): usize {
  return load<usize>(ROWS + (<usize>index << 2));
}

/** Two output rows at once, which share most of what they are made of. The last vector may lie over the one before. */
export function blurColumns(width: i32, radius: i32, upper: usize, lower: usize): void {
  const bytes = <usize>width << 2;
  if (width < 4) {
    for (let x: usize = 0; x < bytes; x += 4) {
      store<f32>(upper + x, blurOne(radius, radius, x));
      store<f32>(lower + x, blurOne(radius + 1, radius, x));
    }
    return;
  }
  const last = bytes - 16;
  if (radius === 4) {
    const w0 = weight(0);
    const w1 = weight(1);
    const w2 = weight(2);
    const w3 = weight(3);
    const w4 = weight(4);
    const r0 = rowAt(0);
    const r1 = rowAt(1);
    const r2 = rowAt(2);
    const r3 = rowAt(3);
    const r4 = rowAt(4);
    const r5 = rowAt(5);
    const r6 = rowAt(6);
    const r7 = rowAt(7);
    const r8 = rowAt(8);
    const r9 = rowAt(9);
    for (let x: usize = 0; ; ) {
      const v1 = v128.load(r1 + x);
      const v8 = v128.load(r8 + x);
      let a = f32x4.mul(w4, f32x4.add(v128.load(r0 + x), v8));
      let b = f32x4.mul(w4, f32x4.add(v1, v128.load(r9 + x)));
      const v2 = v128.load(r2 + x);
      const v7 = v128.load(r7 + x);
      a = f32x4.add(a, f32x4.mul(w3, f32x4.add(v1, v7)));
      b = f32x4.add(b, f32x4.mul(w3, f32x4.add(v2, v8)));
      const v3 = v128.load(r3 + x);
      const v6 = v128.load(r6 + x);
      a = f32x4.add(a, f32x4.mul(w2, f32x4.add(v2, v6)));
      b = f32x4.add(b, f32x4.mul(w2, f32x4.add(v3, v7)));
      const v4 = v128.load(r4 + x);
      const v5 = v128.load(r5 + x);
      a = f32x4.add(a, f32x4.mul(w1, f32x4.add(v3, v5)));
      b = f32x4.add(b, f32x4.mul(w1, f32x4.add(v4, v6)));
      v128.store(upper + x, f32x4.add(a, f32x4.mul(w0, v4)));
      v128.store(lower + x, f32x4.add(b, f32x4.mul(w0, v5)));
      if (x === last) break;
      x = min(x + 16, last);
    }
    return;
  }
  for (let x: usize = 0; ; ) {
    let a = f32x4.mul(weight(0), v128.load(rowAt(radius) + x));
    let b = f32x4.mul(weight(0), v128.load(rowAt(radius + 1) + x));
    for (let k = 1; k <= radius; k++) {
      const w = weight(k);
      const above = radius - k;
      const below = radius + k;
      a = f32x4.add(a, f32x4.mul(w, f32x4.add(v128.load(rowAt(above) + x), v128.load(rowAt(below) + x))));
      b = f32x4.add(b, f32x4.mul(w, f32x4.add(v128.load(rowAt(above + 1) + x), v128.load(rowAt(below + 1) + x))));
    }
    v128.store(upper + x, a);
    v128.store(lower + x, b);
    if (x === last) break;
    x = min(x + 16, last);
  }
}

/** One value, around the row at `middle`. */
function blurOne(middle: i32, radius: i32, x: usize): f32 {
  let sum = load<f32>(WEIGHTS) * load<f32>(rowAt(middle) + x);
  for (let k = 1; k <= radius; k++)
    sum += load<f32>(WEIGHTS + (<usize>k << 2)) * (load<f32>(rowAt(middle - k) + x) + load<f32>(rowAt(middle + k) + x));
  return sum;
}

/**
 * @param scratch as large as the plane; must be a place of its own
 * @param row room for width + 2 radius + 16 values
 */
export function gaussianBlur(
  source: usize,
  into: usize,
  scratch: usize,
  row: usize,
  width: i32,
  height: i32,
  radius: i32,
): void {
  const bytes = <usize>width << 2;
  const middle = row + (<usize>radius << 2);
  // Vectors run over a row's end into the next one, which is written after it: rows from the top down.
  for (let y = 0; y < height; y++) {
    const offset = <usize>y * bytes;
    memory.copy(middle, source + offset, bytes);
    padRow(middle, width, radius);
    blurRow(middle, width, radius, scratch + offset);
  }
  for (let y = 0; y < height; y += 2) {
    for (let k = 0; k < 2 * radius + 2; k++)
      setBlurRow(k, scratch + <usize>max(0, min(height - 1, y - radius + k)) * bytes);
    const to = into + <usize>y * bytes;
    // Under the last row of an odd number there is none: what would be it goes where it disturbs nobody.
    blurColumns(width, radius, to, y + 1 < height ? to + bytes : middle);
  }
}
