import { held } from "./vector";

/** Two rows into one, half as wide. */
export function halveRows(upper: usize, lower: usize, to: usize, halfWidth: i32): void {
  const quarter = held(0.25);
  let x = 0;
  for (; x + 4 <= halfWidth; x += 4) {
    const left = f32x4.add(v128.load(upper), v128.load(lower));
    const right = f32x4.add(v128.load(upper, 16), v128.load(lower, 16));
    const sum = f32x4.add(v128.shuffle<f32>(left, right, 0, 2, 4, 6), v128.shuffle<f32>(left, right, 1, 3, 5, 7));
    v128.store(to, f32x4.mul(sum, quarter));
    upper += 32;
    lower += 32;
    to += 16;
  }
  for (; x < halfWidth; x++) {
    store<f32>(to, (load<f32>(upper) + load<f32>(lower) + (load<f32>(upper, 4) + load<f32>(lower, 4))) * 0.25);
    upper += 8;
    lower += 8;
    to += 4;
  }
}

export function halve(source: usize, into: usize, width: i32, height: i32): void {
  const halfWidth = width >> 1;
  const halfHeight = height >> 1;
  const bytes = <usize>width << 2;
  for (let y = 0; y < halfHeight; y++) {
    const upper = source + <usize>(2 * y) * bytes;
    halveRows(upper, upper + bytes, into + ((<usize>y * halfWidth) << 2), halfWidth);
  }
}
