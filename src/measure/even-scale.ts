import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf } from "./workspace.ts";

// Photon noise grows with the square root of the light, so in linear light the bright pixels would drown the dark
// ones. A power law near the square root evens it out. The camera's own display curve is such a law, and it is
// the one in which the frame was quantised.

/** Above this the curve is a power law, below a line: grey levels of 255 for each unit of linear light. */
const TOE = 0.0031308;
const TOE_SLOPE = 12.92 * 255;

/**
 * The curve above TOE, 255 (1.055 x^(5/3) - 0.055) with x the fourth root of linear light, by a minimax polynomial (Remez
 * exchange), off by at most 8.3e-5. Unlike a power function it has the same bits on every machine.
 */
export function evenLevel(linear: number): number {
  const value = linear <= 0 ? 0 : linear >= 1 ? 1 : linear;
  if (value <= TOE) return TOE_SLOPE * value;
  const x = Math.sqrt(Math.sqrt(value));
  let power = 100.6521352 - 19.43368237 * x;
  power = -229.0957297 + x * power;
  power = 308.3336999 + x * power;
  power = -294.7535813 + x * power;
  power = 372.6891083 + x * power;
  power = 31.51184835 + x * power;
  return -14.90388061 + x * power;
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

/**
 * Grey levels of the sRGB curve brought to a scale of the shot's own, in place.
 * @param curve levels at the grey levels i x 255 / (length - 1), straight in between
 */
export function alongCurve(even: Plane, curve: readonly number[]): void {
  const { data } = even;
  const perGrey = (curve.length - 1) / 255;
  const last = curve.length - 2;
  for (let i = 0; i < data.length; i++) {
    const at = data[i] * perGrey;
    const knot = Math.max(0, Math.min(last, Math.floor(at)));
    data[i] = curve[knot] + (at - knot) * (curve[knot + 1] - curve[knot]);
  }
}
