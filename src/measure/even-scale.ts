import type { Plane } from "./plane.ts";

// Photon noise grows with the square root of the light, so in linear light the bright pixels would drown the dark
// ones. A power law near the square root evens it out. The camera's own display curve is such a law, and it is
// the one in which the frame was quantised.

const ENTRIES = 8192;

/** Grey levels of 255 against the square root of linear light: nearly straight, so linear interpolation loses under 0.002 grey levels. */
const table = (() => {
  const entries = new Float32Array(ENTRIES + 2);
  for (let i = 0; i < entries.length; i++) {
    const linear = (i / ENTRIES) ** 2;
    const encoded = linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
    // Rounded, so that two engines whose power functions differ in the last bit make the same table.
    entries[i] = Math.round(encoded * 255 * 1e6) / 1e6;
  }
  return entries;
})();

/**
 * Brings linear light (0 to 1) to a scale on which noise is about even: grey levels of the sRGB curve
 * (IEC 61966-2-1), 0 to 255, not quantised. Values outside 0 to 1 are clamped.
 * @param linear width x height, linear light
 * @param into same size; may be the same plane
 */
export function toEvenScale(linear: Plane, into: Plane): void {
  const source = linear.data;
  const target = into.data;
  for (let i = 0; i < source.length; i++) {
    const value = source[i];
    const at = Math.sqrt(value <= 0 ? 0 : value >= 1 ? 1 : value) * ENTRIES;
    const low = at | 0;
    const a = table[low];
    target[i] = a + (table[low + 1] - a) * (at - low);
  }
}
