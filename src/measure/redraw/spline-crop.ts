import { createPlane, type Plane } from "../plane.ts";
import { splineCoefficients } from "../spline.ts";
import { coloursOf, type Raster, type Rect } from "./raster.ts";

/** A rectangle of a picture as cubic B-splines, one for each colour, to be sampled between its pixels. */
export interface SplineCrop {
  readonly rect: Rect;
  readonly planes: readonly Plane[];
}

/** What is sampled beyond this from a rectangle's edge doesn't know of what lies outside it, px: the spline's memory. */
const MARGIN = 6;

/**
 * @param values colours of the rectangle in place of the picture's own, interleaved, where it was painted over
 */
export function splineCrop(raster: Raster, rect: Rect, values?: Float32Array): SplineCrop {
  const colours = coloursOf(raster);
  const left = values ? rect.left : Math.max(0, rect.left - MARGIN);
  const top = values ? rect.top : Math.max(0, rect.top - MARGIN);
  const right = Math.min(raster.width, rect.left + rect.width + (values ? 0 : MARGIN));
  const bottom = Math.min(raster.height, rect.top + rect.height + (values ? 0 : MARGIN));
  const [width, height] = [right - left, bottom - top];
  const planes: Plane[] = [];
  for (let c = 0; c < colours; c++) {
    const plane = createPlane(width, height);
    for (let y = 0; y < height; y++) {
      const row = ((top + y) * raster.width + left) * raster.channels + c;
      for (let x = 0; x < width; x++)
        plane.data[y * width + x] = values
          ? values[(y * width + x) * colours + c]
          : raster.data[row + x * raster.channels];
    }
    splineCoefficients(plane);
    planes.push(plane);
  }
  return { rect: { left, top, width, height }, planes };
}

const weights = new Float64Array(8);

/** The colours at a place, px of the picture (centre of pixel i at i + 0.5), into `into`; beyond the crop its edge goes on. */
export function sampleColours({ rect, planes }: SplineCrop, x: number, y: number, into: Float64Array): void {
  const { width, height } = rect;
  const u = Math.min(width - 1, Math.max(0, x - 0.5 - rect.left));
  const v = Math.min(height - 1, Math.max(0, y - 0.5 - rect.top));
  const [i, j] = [Math.floor(u), Math.floor(v)];
  const [f, g] = [u - i, v - j];
  const [f1, g1] = [1 - f, 1 - g];
  weights[0] = (f1 * f1 * f1) / 6;
  weights[1] = 2 / 3 - f * f * (1 - f / 2);
  weights[2] = 2 / 3 - f1 * f1 * (1 - f1 / 2);
  weights[3] = (f * f * f) / 6;
  weights[4] = (g1 * g1 * g1) / 6;
  weights[5] = 2 / 3 - g * g * (1 - g / 2);
  weights[6] = 2 / 3 - g1 * g1 * (1 - g1 / 2);
  weights[7] = (g * g * g) / 6;
  // The picture is mirrored at its border pixels, as the coefficients were made.
  const x0 = i > 0 ? i - 1 : Math.min(1, width - 1);
  const x2 = i + 1 < width ? i + 1 : Math.max(0, width - 2);
  const x3 = i + 2 < width ? i + 2 : Math.max(0, 2 * (width - 1) - i - 2);
  for (let c = 0; c < planes.length; c++) {
    const { data } = planes[c];
    let sum = 0;
    for (let k = 0; k < 4; k++) {
      let r = j + k - 1;
      if (r < 0) r = Math.min(-r, height - 1);
      if (r >= height) r = Math.max(0, 2 * (height - 1) - r);
      const row = r * width;
      sum +=
        weights[4 + k] *
        (weights[0] * data[row + x0] +
          weights[1] * data[row + i] +
          weights[2] * data[row + x2] +
          weights[3] * data[row + x3]);
    }
    into[c] = sum;
  }
}
