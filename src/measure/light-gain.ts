import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf } from "./workspace.ts";

/** Sum over a square window moved by a fraction: the border rows and columns count by their share. */
function windowSum(plane: Plane, left: number, top: number, size: number): number {
  const { width, height } = plane;
  const ix = Math.floor(left);
  const iy = Math.floor(top);
  if (ix < 0 || iy < 0 || ix + size + 1 > width || iy + size + 1 > height) return Number.NaN;
  const fx = left - ix;
  const fy = top - iy;
  const workspace = kernelsOf(plane);
  if (workspace !== null) return workspace.kernels.windowSum(addressOf(plane), width, ix, iy, size, fx, fy);
  const { data } = plane;
  let total = 0;
  for (let y = 0; y <= size; y++) {
    const weight = y === 0 ? 1 - fy : y === size ? fy : 1;
    if (weight === 0) continue;
    const row = (iy + y) * width + ix;
    let sum = (1 - fx) * data[row] + (fx === 0 ? 0 : fx * data[row + size]);
    for (let x = 1; x < size; x++) sum += data[row + x];
    total += weight * sum;
  }
  return total;
}

/**
 * How much brighter the same piece of the set is: gain in linear light, as stops (log2), after registration.
 * @param left, top the window in the reference, index px, size x size
 * @param dx, dy where it went, px
 * @returns NaN where the window leaves the picture or is black
 */
export function gainStops(
  reference: Plane,
  current: Plane,
  left: number,
  top: number,
  size: number,
  dx: number,
  dy: number,
): number {
  const before = windowSum(reference, left, top, size);
  const after = windowSum(current, left + dx, top + dy, size);
  return before > 1e-6 * size * size && after > 0 ? Math.log2(after / before) : Number.NaN;
}
