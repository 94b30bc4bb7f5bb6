/**
 * Of every pixel of a rectangle, the nearest pixel of a set: its index, and how far it is, px. Exact (Felzenszwalb &
 * Huttenlocher 2012, "Distance transforms of sampled functions"): a lower envelope of parabolas along each line.
 * @param inSet 1 where a pixel belongs, row-major
 * @returns `index` -1 and an infinite distance where the set is empty
 */
export function nearestIn(
  inSet: Uint8Array,
  width: number,
  height: number,
): { readonly distance: Float32Array; readonly index: Int32Array } {
  const size = width * height;
  // Along columns first: the nearest member's row, by two sweeps.
  const row = new Int32Array(size).fill(-1);
  for (let x = 0; x < width; x++) {
    let last = -1;
    for (let y = 0; y < height; y++) {
      if (inSet[y * width + x] === 1) last = y;
      row[y * width + x] = last;
    }
    last = -1;
    for (let y = height - 1; y >= 0; y--) {
      const at = y * width + x;
      if (inSet[at] === 1) last = y;
      if (last >= 0 && (row[at] < 0 || last - y < y - row[at])) row[at] = last;
    }
  }
  const distance = new Float32Array(size);
  const index = new Int32Array(size);
  const centre = new Int32Array(width);
  const border = new Float64Array(width + 1);
  for (let y = 0; y < height; y++) {
    const start = y * width;
    const heightOf = (x: number): number => (row[start + x] - y) ** 2;
    let count = 0;
    for (let x = 0; x < width; x++) {
      if (row[start + x] < 0) continue;
      let meets = -Infinity;
      while (count > 0) {
        const other = centre[count - 1];
        meets = (heightOf(x) + x * x - heightOf(other) - other * other) / (2 * (x - other));
        if (meets > border[count - 1]) break;
        count -= 1;
      }
      centre[count] = x;
      border[count] = count === 0 ? -Infinity : meets;
      count += 1;
    }
    border[count] = Infinity;
    for (let x = 0, k = 0; x < width; x++) {
      if (count === 0) {
        distance[start + x] = Infinity;
        index[start + x] = -1;
        continue;
      }
      while (k + 1 < count && border[k + 1] < x) k += 1;
      const from = centre[k];
      distance[start + x] = Math.sqrt((x - from) ** 2 + heightOf(from));
      index[start + x] = row[start + from] * width + from;
    }
  }
  return { distance, index };
}
