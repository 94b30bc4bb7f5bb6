import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf } from "./workspace.ts";

// Photon noise grows with the square root of the light, so in linear light the bright pixels would drown the dark
// ones. A power law near the square root evens it out. The camera's own display curve is such a law, and it is
// the one in which the frame was quantised.

/** Above this the curve is a power law, below a line: grey levels of 255 for each unit of linear light. */
const TOE = 0.0031308;
const TOE_SLOPE = 12.92 * 255;

/**
 * 255 (1.055 x^(5/3) - 0.055), x being the fourth root of linear light: minimax polynomial between TOE and 1 (Remez
 * exchange), constant first, off by at most 8.3e-5. Unlike a power function it has the same bits on every machine.
 */
export const evenPolynomial = [
  -14.90388061, 31.51184835, 372.6891083, -294.7535813, 308.3336999, -229.0957297, 100.6521352, -19.43368237,
] as const;

function evenLevel(linear: number): number {
  const value = linear <= 0 ? 0 : linear >= 1 ? 1 : linear;
  if (value <= TOE) return TOE_SLOPE * value;
  const x = Math.sqrt(Math.sqrt(value));
  const [a, b, c, d, e, f, g, h] = evenPolynomial;
  return a + x * (b + x * (c + x * (d + x * (e + x * (f + x * (g + x * h))))));
}

/**
 * Brings linear light (0 to 1) to a scale on which noise is about even: grey levels of the sRGB curve
 * (IEC 61966-2-1), 0 to 255, not quantised, within 2e-4 of a level. Values outside 0 to 1 are clamped.
 * @param linear width x height, linear light
 * @param into same size; may be the same plane
 */
export function toEvenScale(linear: Plane, into: Plane): void {
  const workspace = kernelsOf(linear, into);
  if (workspace !== null) {
    workspace.kernels.toEvenScale(addressOf(linear), addressOf(into), linear.width * linear.height);
    return;
  }
  const source = linear.data;
  const target = into.data;
  for (let i = 0; i < source.length; i++) target[i] = evenLevel(source[i]);
}
