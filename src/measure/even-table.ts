/** Steps of the table. */
export const EVEN_ENTRIES = 8192;

/** Grey levels of 255 against the square root of linear light: nearly straight, so linear interpolation loses under 0.002 grey levels. */
export const evenTable = (() => {
  const entries = new Float32Array(EVEN_ENTRIES + 2);
  for (let i = 0; i < entries.length; i++) {
    const linear = (i / EVEN_ENTRIES) ** 2;
    const encoded = linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
    // Rounded, so that two engines whose power functions differ in the last bit make the same table.
    entries[i] = Math.round(encoded * 255 * 1e6) / 1e6;
  }
  return entries;
})();
