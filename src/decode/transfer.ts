// sRGB, IEC 61966-2-1. Engines may differ in the last bit of Math.pow, and page and command line must agree on
// every bit: so the curve is computed with + - * / and square roots alone, which IEEE 754 rounds in one way only.

/** ITU-R BT.709 luma weights. Here they weigh linear channels. */
export const LUMA_RED = 0.2126;
export const LUMA_GREEN = 0.7152;
export const LUMA_BLUE = 0.0722;

/** The fifth root of a in (0, 1], by Newton's method from the fourth root, below the last bit or in it. */
const fifthRoot = (a: number): number => {
  let root = Math.sqrt(Math.sqrt(a));
  for (let i = 0; i < 12; i++) {
    const squared = root * root;
    root = (4 * root + a / (squared * squared)) / 5;
  }
  return root;
};

/** Linear light, 0 to 1, of an sRGB value, 0 to 1. The same to the bit on every machine. */
export const linearOfSrgb = (value: number): number => {
  if (value <= 0.04045) return value / 12.92;
  const base = (value + 0.055) / 1.055;
  // base ** 2.4
  return base * base * fifthRoot(base * base);
};

/** sRGB value, 0 to 1, of linear light, 0 to 1. For showing pictures: the last bit may differ between engines. */
export const srgbOfLinear = (linear: number): number =>
  linear <= 0.0031308 ? linear * 12.92 : 1.055 * linear ** (1 / 2.4) - 0.055;

/** Linear light of each code of an 8 or 16 bit sRGB channel, 0 to 1. */
export const linearTable = (bits: 8 | 16): Float64Array => {
  const top = 2 ** bits - 1;
  return Float64Array.from({ length: top + 1 }, (_, code) => linearOfSrgb(code / top));
};

/** Steps of `srgbTable`: fine enough that every 8-bit code comes back, even where the curve is steepest. */
export const SRGB_TABLE_STEPS = 16384;

/** 8-bit sRGB code of linear light: `srgbTable()[Math.round(linear * SRGB_TABLE_STEPS)]`, linear from 0 to 1. */
export const srgbTable = (): Uint8Array =>
  Uint8Array.from({ length: SRGB_TABLE_STEPS + 1 }, (_, step) =>
    Math.round(255 * srgbOfLinear(step / SRGB_TABLE_STEPS)),
  );
