import { spread } from "./vector";

/** The twin's numbers: the polynomial from its constant on, then white, black, the toe's slope and its end. */
const NUMBERS: usize = memory.data<f32>(
  [
    -14.90388061, 31.51184835, 372.6891083, -294.7535813, 308.3336999, -229.0957297, 100.6521352, -19.43368237,
    1, 0, 3294.6, 0.0031308,
  ],
  16,
);

/** By whole vectors: up to three values more are written. */
export function toEvenScale(source: usize, target: usize, count: i32): void {
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
  const slope = spread(NUMBERS, 10);
  const toe = spread(NUMBERS, 11);
  const end = target + (<usize>count << 2);
  for (; target < end; target += 16, source += 16) {
    // The first operand stays where it is not a number.
    const value = f32x4.pmax(f32x4.pmin(v128.load(source), one), zero);
    const x = f32x4.sqrt(f32x4.sqrt(value));
    // By pairs (Estrin): Horner's scheme would wait for each of its steps.
    const x2 = f32x4.mul(x, x);
    const x4 = f32x4.mul(x2, x2);
    const low = f32x4.add(
      f32x4.add(c0, f32x4.mul(c1, x)),
      f32x4.mul(f32x4.add(c2, f32x4.mul(c3, x)), x2),
    );
    const high = f32x4.add(
      f32x4.add(c4, f32x4.mul(c5, x)),
      f32x4.mul(f32x4.add(c6, f32x4.mul(c7, x)), x2),
    );
    const power = f32x4.add(low, f32x4.mul(high, x4));
    v128.store(target, v128.bitselect(f32x4.mul(value, slope), power, f32x4.le(value, toe)));
  }
}
