const TOE: f32 = 0.0031308;
const TOE_SLOPE: f32 = 12.92 * 255;

// @ts-ignore: decorator
@inline
function step(sum: v128, x: v128, next: f32): v128 {
  return f32x4.add(f32x4.mul(sum, x), f32x4.splat(next));
}

/** The twin's polynomial, four values at once. */
// @ts-ignore: decorator
@inline
export function evenScale4(value: v128): v128 {
  const clamped = f32x4.max(f32x4.min(value, f32x4.splat(1)), f32x4.splat(0));
  const x = f32x4.sqrt(f32x4.sqrt(clamped));
  let sum = f32x4.splat(-19.43368237);
  sum = step(sum, x, 100.6521352);
  sum = step(sum, x, -229.0957297);
  sum = step(sum, x, 308.3336999);
  sum = step(sum, x, -294.7535813);
  sum = step(sum, x, 372.6891083);
  sum = step(sum, x, 31.51184835);
  sum = step(sum, x, -14.90388061);
  const toe = f32x4.mul(clamped, f32x4.splat(TOE_SLOPE));
  return v128.bitselect(toe, sum, f32x4.le(clamped, f32x4.splat(TOE)));
}

export function toEvenScale(source: usize, target: usize, count: i32): void {
  let i = 0;
  for (; i + 4 <= count; i += 4) {
    v128.store(target, evenScale4(v128.load(source)));
    source += 16;
    target += 16;
  }
  for (; i < count; i++) {
    store<f32>(target, f32x4.extract_lane(evenScale4(v128.load32_zero(source)), 0));
    source += 4;
    target += 4;
  }
}
