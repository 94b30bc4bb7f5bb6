import { evenScaleRow } from "./even-scale";
import { blurColumn, blurRow, padRow, setBlurRows } from "./gaussian";
import { halveRows } from "./halve";
import { splineColumns, splineRows } from "./spline";

/**
 * All of `prepareFrame` in one pass down the picture and one across its columns: even scale, Gaussian, both halvings
 * and the spline's coefficients, each row used again while it is still in the cache. The same sums in the same order
 * as the single kernels.
 * @param rows room for (2 radius + 1) x (width + 4) values, a ring of blurred rows
 * @param row room for width + 2 radius + 8 values
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
  const ringBytes = bytes + 16;
  const ring = 2 * radius + 1;
  const middle = row + (<usize>radius << 2);
  const halfWidth = width >> 1;
  const quarterWidth = halfWidth >> 1;
  let splined = 0;
  let next = 0;
  for (let y = 0; y < height; y++) {
    for (const reach = min(height - 1, y + radius); next <= reach; next++) {
      const source = linear + <usize>next * bytes;
      evenScaleRow(source, middle, width);
      padRow(middle, width, radius);
      blurRow(middle, width, radius, rows + <usize>(next % ring) * ringBytes);
    }
    for (let k = 0; k <= radius; k++)
      setBlurRows(
        k,
        rows + <usize>(max(0, y - k) % ring) * ringBytes,
        rows + <usize>(min(height - 1, y + k) % ring) * ringBytes,
      );
    const to = even + <usize>y * bytes;
    blurColumn(width, radius, to);
    if ((y & 1) === 1) {
      const halfRow = y >> 1;
      const halfTo = half + ((<usize>halfRow * halfWidth) << 2);
      halveRows(to - bytes, to, halfTo, halfWidth);
      if ((halfRow & 1) === 1)
        halveRows(
          halfTo - (<usize>halfWidth << 2),
          halfTo,
          quarter + ((<usize>(halfRow >> 1) * quarterWidth) << 2),
          quarterWidth,
        );
    }
    if (y - splined === 3 || y === height - 1) {
      splineRows(even, coefficients, width, splined, y + 1, turned);
      splined = y + 1;
    }
  }
  splineColumns(coefficients, width, height);
}
