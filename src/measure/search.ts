import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf, MOST_SIZE } from "./workspace.ts";

/**
 * Looks for a square piece by zero-mean normalised correlation over every whole-pixel shift within a range.
 * @param left, top upper-left corner of the piece in the reference, index px
 * @param radius largest shift tried each way, px, around (aroundX, aroundY)
 * @returns the best whole-pixel shift (current minus reference), its correlation, and the best correlation at least
 * `apart` px away from it (the rival: a weave that fits in several places has one as good); null where flat or outside
 */
export function searchShift(
  reference: Plane,
  current: Plane,
  left: number,
  top: number,
  size: number,
  radius: number,
  aroundX = 0,
  aroundY = 0,
  apart = 3,
): { dx: number; dy: number; correlation: number; rival: number } | null {
  const width = reference.width;
  if (left < 0 || top < 0 || left + size > reference.width || top + size > reference.height) return null;
  const workspace = kernelsOf(reference, current);
  if (workspace !== null && size <= MOST_SIZE) {
    const found = workspace.kernels.searchShift(
      addressOf(reference),
      width,
      addressOf(current),
      current.width,
      current.height,
      left,
      top,
      size,
      radius,
      aroundX,
      aroundY,
      apart,
      workspace.scratch((2 * radius + 1) ** 2 * 4),
    );
    const [dx, dy, correlation, rival] = workspace.results;
    return found === 0 ? null : { dx, dy, correlation, rival };
  }
  const n = size * size;
  const piece = new Float32Array(n);
  let mean = 0;
  for (let y = 0, i = 0; y < size; y++)
    for (let x = 0; x < size; x++, i++) {
      piece[i] = reference.data[(top + y) * width + left + x];
      mean += piece[i];
    }
  mean /= n;
  let norm = 0;
  for (let i = 0; i < n; i++) {
    piece[i] = piece[i] - mean;
    norm += piece[i] * piece[i];
  }
  if (!(norm > 1e-6)) return null;
  const side = 2 * radius + 1;
  const scores = new Float32Array(side * side).fill(-2);
  let best = -2;
  let bestAt = -1;
  for (let v = -radius; v <= radius; v++) {
    const y0 = top + aroundY + v;
    if (y0 < 0 || y0 + size > current.height) continue;
    for (let u = -radius; u <= radius; u++) {
      const x0 = left + aroundX + u;
      if (x0 < 0 || x0 + size > current.width) continue;
      let sum = 0;
      let squares = 0;
      let cross = 0;
      for (let y = 0, i = 0; y < size; y++) {
        let at = (y0 + y) * current.width + x0;
        for (let x = 0; x < size; x++, i++, at++) {
          const value = current.data[at];
          sum += value;
          squares += value * value;
          cross += value * piece[i];
        }
      }
      const variance = squares - (sum * sum) / n;
      if (!(variance > 1e-6)) continue;
      const score = cross / Math.sqrt(norm * variance);
      const at = (v + radius) * side + u + radius;
      scores[at] = score;
      if (score > best) {
        best = score;
        bestAt = at;
      }
    }
  }
  if (bestAt < 0) return null;
  const bestX = (bestAt % side) - radius;
  const bestY = Math.floor(bestAt / side) - radius;
  let rival = -1;
  for (let v = -radius, i = 0; v <= radius; v++)
    for (let u = -radius; u <= radius; u++, i++)
      if (Math.max(Math.abs(u - bestX), Math.abs(v - bestY)) >= apart && scores[i] > rival) rival = scores[i];
  return { dx: bestX + aroundX, dy: bestY + aroundY, correlation: best, rival };
}
