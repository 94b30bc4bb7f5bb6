import type { Plane } from "./plane.ts";
import { addressOf, kernelsOf } from "./workspace.ts";

// Cubic B-splines (Unser 1999, "Splines: a perfect fit for signal and image processing"): the picture between the
// pixels, exact at the pixels, with a derivative that is the derivative of what is sampled.

const POLE = Math.sqrt(3) - 2;
const GAIN = 6;
/** POLE to this power is under 1e-9: where the mirrored sum may stop. */
const HORIZON = 16;

function filterLine(data: Float32Array, start: number, stride: number, length: number): void {
  if (length < 2) return;
  let sum = 0;
  let power = 1;
  const last = length - 1;
  const horizon = Math.min(HORIZON, last);
  for (let i = 0; i <= horizon; i++) {
    sum += power * data[start + i * stride];
    power *= POLE;
  }
  let previous = GAIN * sum;
  data[start] = previous;
  for (let i = 1; i < length; i++) {
    previous = GAIN * data[start + i * stride] + POLE * previous;
    data[start + i * stride] = previous;
  }
  previous = (POLE / (POLE * POLE - 1)) * (data[start + last * stride] + POLE * data[start + (last - 1) * stride]);
  data[start + last * stride] = previous;
  for (let i = last - 1; i >= 0; i--) {
    previous = POLE * (previous - data[start + i * stride]);
    data[start + i * stride] = previous;
  }
}

/** Columns all at once, row after row: the same recursion, in the order in which memory lies. */
function filterColumns(plane: Plane): void {
  const { width, height, data } = plane;
  if (height < 2) return;
  const last = height - 1;
  const horizon = Math.min(HORIZON, last);
  const first = new Float64Array(width);
  let power = 1;
  for (let y = 0; y <= horizon; y++) {
    for (let x = 0; x < width; x++) first[x] = first[x] + power * data[y * width + x];
    power *= POLE;
  }
  for (let x = 0; x < width; x++) data[x] = GAIN * first[x];
  for (let y = 1; y < height; y++) {
    const row = y * width;
    for (let x = 0; x < width; x++) data[row + x] = GAIN * data[row + x] + POLE * data[row - width + x];
  }
  const factor = POLE / (POLE * POLE - 1);
  const lastRow = last * width;
  for (let x = 0; x < width; x++) data[lastRow + x] = factor * (data[lastRow + x] + POLE * data[lastRow - width + x]);
  for (let y = last - 1; y >= 0; y--) {
    const row = y * width;
    for (let x = 0; x < width; x++) data[row + x] = POLE * (data[row + width + x] - data[row + x]);
  }
}

/** Turns samples into cubic B-spline coefficients, in place; the picture is mirrored at its border pixels. */
export function splineCoefficients(plane: Plane): void {
  const workspace = kernelsOf(plane);
  if (workspace !== null) {
    const at = addressOf(plane);
    const turned = workspace.scratch(plane.width * 16);
    workspace.kernels.splineCoefficients(at, at, plane.width, plane.height, turned);
    return;
  }
  for (let y = 0; y < plane.height; y++) filterLine(plane.data, y * plane.width, 1, plane.width);
  filterColumns(plane);
}

/** The four weights of a cubic B-spline at a fraction between two samples, written to `into[0..3]`. */
export function splineWeights(fraction: number, into: Float64Array): void {
  const f = fraction;
  const g = 1 - f;
  into[0] = (g * g * g) / 6;
  into[1] = 2 / 3 - f * f * (1 - f / 2);
  into[2] = 2 / 3 - g * g * (1 - g / 2);
  into[3] = (f * f * f) / 6;
}

/** Their derivatives. */
function splineSlopes(fraction: number, into: Float64Array): void {
  const f = fraction;
  const g = 1 - f;
  into[0] = (-g * g) / 2;
  into[1] = f * (1.5 * f - 2);
  into[2] = g * (2 - 1.5 * g);
  into[3] = (f * f) / 2;
}

const [AT_X, AT_Y, SLOPE_X, SLOPE_Y] = [0, 0, 0, 0].map(() => new Float64Array(4));

/**
 * Value and gradient per px at (x, y) in index coordinates (pixel i at i, not i + 0.5), written to `into[0..2]`. All NaN
 * where the 4 x 4 support leaves the picture.
 */
export function splineAt(coefficients: Plane, x: number, y: number, into: Float64Array): void {
  const { width, height, data } = coefficients;
  const ix = Math.floor(x);
  const iy = Math.floor(y);
  if (!(ix >= 1 && iy >= 1 && ix + 2 < width && iy + 2 < height)) {
    into.fill(Number.NaN, 0, 3);
    return;
  }
  splineWeights(x - ix, AT_X);
  splineWeights(y - iy, AT_Y);
  splineSlopes(x - ix, SLOPE_X);
  splineSlopes(y - iy, SLOPE_Y);
  let value = 0;
  let alongX = 0;
  let alongY = 0;
  for (let row = 0, at = (iy - 1) * width + ix - 1; row < 4; row++, at += width) {
    const a = data[at];
    const b = data[at + 1];
    const c = data[at + 2];
    const d = data[at + 3];
    const here = AT_X[0] * a + AT_X[1] * b + AT_X[2] * c + AT_X[3] * d;
    value += AT_Y[row] * here;
    alongX += AT_Y[row] * (SLOPE_X[0] * a + SLOPE_X[1] * b + SLOPE_X[2] * c + SLOPE_X[3] * d);
    alongY += SLOPE_Y[row] * here;
  }
  into[0] = value;
  into[1] = alongX;
  into[2] = alongY;
}

/**
 * Gradient of the spline at every pixel, from its coefficients: grey levels per px. Zero on the outermost pixels.
 */
export function splineGradient(coefficients: Plane, intoX: Plane, intoY: Plane): void {
  const { width, height } = coefficients;
  const workspace = kernelsOf(coefficients, intoX, intoY);
  if (workspace !== null) {
    const [x, y] = [addressOf(intoX), addressOf(intoY)];
    workspace.kernels.splineGradient(addressOf(coefficients), x, y, width, height);
    return;
  }
  const { data } = coefficients;
  intoX.data.fill(0);
  intoY.data.fill(0);
  for (let y = 1; y < height - 1; y++) {
    for (let x = 1; x < width - 1; x++) {
      const a = (y - 1) * width + x;
      const b = a + width;
      const c = b + width;
      intoX.data[b] = (data[a + 1] - data[a - 1] + 4 * (data[b + 1] - data[b - 1]) + data[c + 1] - data[c - 1]) / 12;
      intoY.data[b] = (data[c - 1] - data[a - 1] + 4 * (data[c] - data[a]) + data[c + 1] - data[a + 1]) / 12;
    }
  }
}
