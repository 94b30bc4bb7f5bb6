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
  v128.store(end + (<usize>radius << 2), f32x4.splat(0));
}

/** One padded row into `to`. Writes whole vectors: up to 3 values past the row's end. */
export function blurRow(row: usize, width: i32, radius: i32, to: usize): void {
  const end = to + (<usize>width << 2);
  if (radius === 4) {
    const w0 = weight(0);
    const w1 = weight(1);
    const w2 = weight(2);
    const w3 = weight(3);
    const w4 = weight(4);
    // Offsets of a constant cost nothing, as long as they are not negative.
    for (let at = row - 16; to < end; to += 16, at += 16) {
      const sum0 = f32x4.mul(w0, v128.load(at, 16));
      const sum1 = f32x4.mul(w1, f32x4.add(v128.load(at, 12), v128.load(at, 20)));
      const sum2 = f32x4.mul(w2, f32x4.add(v128.load(at, 8), v128.load(at, 24)));
      const sum3 = f32x4.mul(w3, f32x4.add(v128.load(at, 4), v128.load(at, 28)));
      const sum4 = f32x4.mul(w4, f32x4.add(v128.load(at), v128.load(at, 32)));
      v128.store(to, f32x4.add(f32x4.add(f32x4.add(sum1, sum2), f32x4.add(sum3, sum4)), sum0));
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

/** Addresses of the rows that an output row is made of. */
const ABOVE: usize = memory.data((MOST_RADIUS + 1) * 4, 16);
const BELOW: usize = memory.data((MOST_RADIUS + 1) * 4, 16);

export function setBlurRows(k: i32, above: usize, below: usize): void {
  store<usize>(ABOVE + (<usize>k << 2), above);
  store<usize>(BELOW + (<usize>k << 2), below);
}

// @ts-ignore: decorator
@inline
function above(k: i32): usize {
  return load<usize>(ABOVE + (<usize>k << 2));
}

// @ts-ignore: decorator
@inline
function below(k: i32): usize {
  return load<usize>(BELOW + (<usize>k << 2));
}

/** One output row from the rows set by `setBlurRows`. The last vector may lie over the one before. */
export function blurColumn(width: i32, radius: i32, to: usize): void {
  const bytes = <usize>width << 2;
  if (width < 4) {
    for (let x: usize = 0; x < bytes; x += 4) {
      let sum = load<f32>(WEIGHTS) * load<f32>(above(0) + x);
      for (let k = 1; k <= radius; k++)
        sum += load<f32>(WEIGHTS + (<usize>k << 2)) * (load<f32>(above(k) + x) + load<f32>(below(k) + x));
      store<f32>(to + x, sum);
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
    const c = above(0);
    const a1 = above(1);
    const a2 = above(2);
    const a3 = above(3);
    const a4 = above(4);
    const b1 = below(1);
    const b2 = below(2);
    const b3 = below(3);
    const b4 = below(4);
    for (let x: usize = 0; ; ) {
      const sum0 = f32x4.mul(w0, v128.load(c + x));
      const sum1 = f32x4.mul(w1, f32x4.add(v128.load(a1 + x), v128.load(b1 + x)));
      const sum2 = f32x4.mul(w2, f32x4.add(v128.load(a2 + x), v128.load(b2 + x)));
      const sum3 = f32x4.mul(w3, f32x4.add(v128.load(a3 + x), v128.load(b3 + x)));
      const sum4 = f32x4.mul(w4, f32x4.add(v128.load(a4 + x), v128.load(b4 + x)));
      v128.store(to + x, f32x4.add(f32x4.add(f32x4.add(sum1, sum2), f32x4.add(sum3, sum4)), sum0));
      if (x === last) break;
      x = min(x + 16, last);
    }
    return;
  }
  for (let x: usize = 0; ; ) {
    let sum = f32x4.mul(weight(0), v128.load(above(0) + x));
    for (let k = 1; k <= radius; k++)
      sum = f32x4.add(sum, f32x4.mul(weight(k), f32x4.add(v128.load(above(k) + x), v128.load(below(k) + x))));
    v128.store(to + x, sum);
    if (x === last) break;
    x = min(x + 16, last);
  }
}

/**
 * @param scratch as large as the plane; must be a place of its own
 * @param row room for width + 2 radius + 8 values
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
  // Whole vectors run over a row's end into the next one, which is written after it: rows from the top down.
  for (let y = 0; y < height; y++) {
    const offset = <usize>y * bytes;
    memory.copy(middle, source + offset, bytes);
    padRow(middle, width, radius);
    blurRow(middle, width, radius, scratch + offset);
  }
  for (let y = 0; y < height; y++) {
    for (let k = 0; k <= radius; k++)
      setBlurRows(k, scratch + <usize>max(0, y - k) * bytes, scratch + <usize>min(height - 1, y + k) * bytes);
    blurColumn(width, radius, into + <usize>y * bytes);
  }
}
