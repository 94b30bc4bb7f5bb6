import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf } from "./workspace.ts";

// Photon noise grows with the square root of the light, so in linear light the bright pixels would drown the dark
// ones. A power law near the square root evens it out. The camera's own display curve is such a law, and it is
// the one in which the frame was quantised.

/** Above this the curve is a power law, below a line: grey levels of 255 for each unit of linear light. */
const TOE = 0.0031308;
const TOE_SLOPE = 12.92 * 255;
const OFFSET = 0.055 * 255;

/**
 * 255 * 1.055 x^(5/6) for x from 0.2238 to 1, the square root of linear light: minimax polynomial (Remez exchange),
 * constant first, off by at most 3.2e-4. Unlike a power function it has the same bits on every machine. A power law
 * looks alike on every scale: for smaller x that of 4 x times 4^(-5/6).
 */
const POWER = [
  5.070736173, 373.4714312, -323.0514888, 561.8208107, -716.5213882, 587.1617499, -274.1656397, 55.23910423,
] as const;
const QUARTER_POWER = 0.3149802624737183;

function evenLevel(linear: number): number {
  const value = linear <= 0 ? 0 : linear >= 1 ? 1 : linear;
  if (value <= TOE) return TOE_SLOPE * value;
  const root = Math.sqrt(value);
  const small = root < 0.25;
  const x = small ? 4 * root : root;
  const [a, b, c, d, e, f, g, h] = POWER;
  const power = a + x * (b + x * (c + x * (d + x * (e + x * (f + x * (g + x * h))))));
  return (small ? QUARTER_POWER * power : power) - OFFSET;
}

/**
 * Brings linear light (0 to 1) to a scale on which noise is about even: grey levels of the sRGB curve
 * (IEC 61966-2-1), 0 to 255, not quantised, within 4e-4 of a level. Values outside 0 to 1 are clamped.
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
