import type { Plane } from "./plane.ts";
import { splineWeights } from "./spline.ts";

// How a subset turns, stretches and shears with its surface on the way to another frame. That is known beforehand, from
// the motion of what it belongs to; only its shift is looked for.

/** What lies (u, v) from the subset's middle in the reference lies (xx u + xy v, yx u + yy v) from it in the other frame. */
export interface SubsetShape {
  readonly xx: number;
  readonly xy: number;
  readonly yx: number;
  readonly yy: number;
}

export const UNTURNED: SubsetShape = { xx: 1, xy: 0, yx: 0, yy: 1 };

/** Displacement at a subset's corner under which a shape is as good as another, px. */
const TELLS = 0.01;

/** Whether a subset of `size` px has to be sampled in one shape rather than in the other. */
export const bends = (one: SubsetShape, other: SubsetShape, size: number): boolean =>
  ((size - 1) / 2) *
    Math.hypot(
      Math.abs(one.xx - other.xx) + Math.abs(one.xy - other.xy),
      Math.abs(one.yx - other.yx) + Math.abs(one.yy - other.yy),
    ) >
  TELLS;

/** Covariance of a shift of the subset as it lies in the reference, turned into the other frame. */
export function turnCovariance(
  { xx, xy, yx, yy }: SubsetShape,
  of: { varX: number; varY: number; covXY: number },
): void {
  const { varX, varY, covXY } = of;
  of.varX = xx * xx * varX + 2 * xx * xy * covXY + xy * xy * varY;
  of.varY = yx * yx * varX + 2 * yx * yy * covXY + yy * yy * varY;
  of.covXY = xx * yx * varX + (xx * yy + xy * yx) * covXY + xy * yy * varY;
}

const WX = new Float64Array(4);
const WY = new Float64Array(4);

/** Whether a turned subset lies in the picture with its taps; the kernel's own hundredth of a pixel on the safe side. */
const liesInside = (x: number, y: number, half: number, { width, height }: Plane, shape: SubsetShape): boolean => {
  const reachX = half * (Math.abs(shape.xx) + Math.abs(shape.xy));
  const reachY = half * (Math.abs(shape.yx) + Math.abs(shape.yy));
  return x - reachX > 1.01 && y - reachY > 1.01 && x + reachX < width - 2.01 && y + reachY < height - 2.01;
};

/**
 * A picture under a turned subset, row by row.
 * @param x, y the subset's middle, counted from the first pixel's centre
 * @returns false where it leaves the picture
 */
export function sampleTurned(
  coefficients: Plane,
  x: number,
  y: number,
  size: number,
  shape: SubsetShape,
  into: Float64Array,
): boolean {
  const half = (size - 1) / 2;
  if (!liesInside(x, y, half, coefficients, shape)) return false;
  const { data, width } = coefficients;
  for (let r = 0, i = 0; r < size; r++)
    for (let c = 0; c < size; c++, i++) {
      const px = x + shape.xx * (c - half) + shape.xy * (r - half);
      const py = y + shape.yx * (c - half) + shape.yy * (r - half);
      const ix = Math.floor(px);
      const iy = Math.floor(py);
      splineWeights(px - ix, WX);
      splineWeights(py - iy, WY);
      let value = 0;
      for (let k = 0, at = (iy - 1) * width + ix - 1; k < 4; k++, at += width)
        value += WY[k] * (WX[0] * data[at] + WX[1] * data[at + 1] + WX[2] * data[at + 2] + WX[3] * data[at + 3]);
      into[i] = value;
    }
  return true;
}
