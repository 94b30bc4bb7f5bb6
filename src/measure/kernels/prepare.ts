import { toEvenScale } from "./even-scale";
import { blurColumns, blurRow, padRow, setBlurRow } from "./gaussian";
import { halveRows } from "./halve";
import { splineColumns, splineRows } from "./spline";

/**
 * All of `prepareFrame` in one pass down the picture and one across its columns: even scale, Gaussian, both halvings
 * and the spline's coefficients, each row used again while it is still in the cache. The same sums in the same order
 * as the single kernels.
 * @param rows room for (2 radius + 2) x (width + 8) values, a ring of blurred rows
 * @param row room for width + 2 radius + 16 values
 * @param turned room for 4 x width values
 */
export function prepare(
  linear: usize,
  even: usize,
  coefficients: usize,
  half: usize,
  quarter: usize,
  width: i32,
  height: i32,
  radius: i32,
  rows: usize,
  row: usize,
  turned: usize,
): void {
  const bytes = <usize>width << 2;
  const ringBytes = bytes + 32;
  const ring = 2 * radius + 2;
  const middle = row + (<usize>radius << 2);
  const halfWidth = width >> 1;
  const quarterWidth = halfWidth >> 1;
  let splined = 0;
  let next = 0;
  for (let y = 0; y < height; y += 2) {
    for (const reach = min(height - 1, y + 1 + radius); next <= reach; next++) {
      toEvenScale(linear + <usize>next * bytes, middle, width);
      padRow(middle, width, radius);
      blurRow(middle, width, radius, rows + <usize>(next % ring) * ringBytes);
    }
    for (let k = 0; k < ring; k++)
      setBlurRow(k, rows + <usize>(max(0, min(height - 1, y - radius + k)) % ring) * ringBytes);
    const to = even + <usize>y * bytes;
    const pair = y + 1 < height;
    blurColumns(width, radius, to, pair ? to + bytes : middle);
    if (pair) {
      const halfRow = y >> 1;
      const halfTo = half + ((<usize>halfRow * halfWidth) << 2);
      halveRows(to, to + bytes, halfTo, halfWidth);
      if ((halfRow & 1) === 1)
        halveRows(
          halfTo - (<usize>halfWidth << 2),
          halfTo,
          quarter + ((<usize>(halfRow >> 1) * quarterWidth) << 2),
          quarterWidth,
        );
    }
    const done = min(height, y + 2);
    if (done - splined === 4 || done === height) {
      splineRows(even, coefficients, width, splined, done, turned);
      splined = done;
    }
  }
  splineColumns(coefficients, width, height);
}
