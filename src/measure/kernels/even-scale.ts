import { spread } from "./vector";

/** The twin's numbers: the polynomial from its constant on, then what else there is. */
const NUMBERS: usize = memory.data<f32>(
  [
    5.070736173, 373.4714312, -323.0514888, 561.8208107, -716.5213882, 587.1617499, -274.1656397, 55.23910423,
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
    // The first operand stays where it is not a number.
    const value = f32x4.pmax(f32x4.pmin(v128.load(source), one), zero);
    const root = f32x4.sqrt(value);
    const small = f32x4.lt(root, quarter);
    // 1 or 4, and 1 or 4^(-5/6): one plus what the mask lets through.
    const x = f32x4.mul(root, f32x4.add(one, v128.and(small, three)));
    // By pairs (Estrin): Horner's scheme would wait for each of its steps.
    const x2 = f32x4.mul(x, x);
    const x4 = f32x4.mul(x2, x2);
    const p01 = f32x4.add(c0, f32x4.mul(c1, x));
    const p23 = f32x4.add(c2, f32x4.mul(c3, x));
    const p45 = f32x4.add(c4, f32x4.mul(c5, x));
    const p67 = f32x4.add(c6, f32x4.mul(c7, x));
    const low = f32x4.add(p01, f32x4.mul(p23, x2));
    const high = f32x4.add(p45, f32x4.mul(p67, x2));
    const sum = f32x4.sub(
      f32x4.mul(f32x4.add(low, f32x4.mul(high, x4)), f32x4.add(one, v128.and(small, power))),
      offset,
    );
    v128.store(target, v128.bitselect(f32x4.mul(value, slope), sum, f32x4.le(value, toe)));
  }
}

export function toEvenScale(source: usize, target: usize, count: i32): void {
  evenScaleRow(source, target, count);
}
