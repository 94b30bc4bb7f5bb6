import { EVEN_ENTRIES, evenTable } from "./even-table.ts";
import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf } from "./workspace.ts";

// Photon noise grows with the square root of the light, so in linear light the bright pixels would drown the dark
// ones. A power law near the square root evens it out. The camera's own display curve is such a law, and it is
// the one in which the frame was quantised.

/**
 * Brings linear light (0 to 1) to a scale on which noise is about even: grey levels of the sRGB curve
 * (IEC 61966-2-1), 0 to 255, not quantised. Values outside 0 to 1 are clamped.
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
  for (let i = 0; i < source.length; i++) {
    const value = source[i];
    const at = Math.sqrt(value <= 0 ? 0 : value >= 1 ? 1 : value) * EVEN_ENTRIES;
    const low = at | 0;
    const a = evenTable[low];
    target[i] = a + (evenTable[low + 1] - a) * (at - low);
  }
}
