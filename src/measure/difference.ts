import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf } from "./workspace.ts";

/**
 * Scatter (standard deviation) of after - before on a square, grey levels; a common change of the light falls out.
 * Every other pixel of every other row: enough to see whether anything changed.
 * @param left, top upper-left corner, index px; the square lies inside
 */
export function differenceScatter(before: Plane, after: Plane, left: number, top: number, size: number): number {
  const { width } = before;
  const workspace = kernelsOf(before, after);
  if (workspace !== null) return workspace.kernels.scatter(addressOf(before), addressOf(after), width, left, top, size);
  const [a, b] = [before.data, after.data];
  let sum = 0;
  let squares = 0;
  let n = 0;
  for (let y = 0; y < size; y += 2) {
    const row = (top + y) * width + left;
    for (let x = 0; x < size; x += 2) {
      const d = b[row + x] - a[row + x];
      sum += d;
      squares += d * d;
      n++;
    }
  }
  return Math.sqrt(Math.max(0, squares / n - (sum / n) ** 2));
}
