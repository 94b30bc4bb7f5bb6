import { spread } from "./vector";

/** The twin's numbers: the polynomial from its highest power down, then what else there is. */
const NUMBERS: usize = memory.data<f32>(
  [
    55.23910423, -274.1656397, 587.1617499, -716.5213882, 561.8208107, -323.0514888, 373.4714312, 5.070736173,
    // 8: white and black, 10: where small roots end, 11: 4 - 1, 12: 4^(-5/6) - 1, 13: offset, 14: toe's slope and end
    1, 0, 0.25, 3, -0.6850197375262816, 14.025, 3294.6, 0.0031308,
  ],
  16,
);

/** A row of values, by whole vectors: up to three more are written. */
export function evenScaleRow(source: usize, target: usize, count: i32): void {
  const c0 = spread(NUMBERS, 0);
  const c1 = spread(NUMBERS, 1);
  const c2 = spread(NUMBERS, 2);
  const c3 = spread(NUMBERS, 3);
  const c4 = spread(NUMBERS, 4);
  const c5 = spread(NUMBERS, 5);
  const c6 = spread(NUMBERS, 6);
  const c7 = spread(NUMBERS, 7);
  const one = spread(NUMBERS, 8);
  const zero = spread(NUMBERS, 9);
  const quarter = spread(NUMBERS, 10);
  const three = spread(NUMBERS, 11);
  const power = spread(NUMBERS, 12);
  const offset = spread(NUMBERS, 13);
  const slope = spread(NUMBERS, 14);
  const toe = spread(NUMBERS, 15);
  const end = target + (<usize>count << 2);
  for (; target < end; target += 16, source += 16) {
    const value = f32x4.max(f32x4.min(v128.load(source), one), zero);
    const root = f32x4.sqrt(value);
    const small = f32x4.lt(root, quarter);
    // 1 or 4, and 1 or 4^(-5/6): one plus what the mask lets through.
    const x = f32x4.mul(root, f32x4.add(one, v128.and(small, three)));
    let sum = f32x4.add(f32x4.mul(c0, x), c1);
    sum = f32x4.add(f32x4.mul(sum, x), c2);
    sum = f32x4.add(f32x4.mul(sum, x), c3);
    sum = f32x4.add(f32x4.mul(sum, x), c4);
    sum = f32x4.add(f32x4.mul(sum, x), c5);
    sum = f32x4.add(f32x4.mul(sum, x), c6);
    sum = f32x4.add(f32x4.mul(sum, x), c7);
    sum = f32x4.sub(f32x4.mul(sum, f32x4.add(one, v128.and(small, power))), offset);
    v128.store(target, v128.bitselect(f32x4.mul(value, slope), sum, f32x4.le(value, toe)));
  }
}

export function toEvenScale(source: usize, target: usize, count: i32): void {
  evenScaleRow(source, target, count);
}
