import { gaussianBlur, gaussianWeights, noiseLeft } from "./gaussian.ts";
import type { Symmetric3 } from "./part-information.ts";
import { NOISE_LEFT } from "./prepared.ts";
import type { Workspace } from "./workspace.ts";

// How much the noise's correlation adds to the variance of a motion. Prefiltered noise is not independent from pixel to
// pixel: where the texture is coarse its errors add up, where it is finer than the prefilter they cancel. Var = H^-1 (J' C
// J) H^-1 with C the filter's autocorrelation: energy of the gradient blurred once more over the gradient's own. Of
// stripes that is far more along the lines, where there is noise alone, than across them.

/** Energies of the gradient of (dx, dy, turn in px): as it is, and blurred once more by the prefilter. */
export interface Correlation {
  readonly plain: Symmetric3;
  readonly blurred: Symmetric3;
  /** How alike the gradient along x, and along y, is one pixel farther that way: the mean cosine of what the texture's phase turns by. */
  readonly pixelOn: readonly [number, number];
}

/** The pixels of a part: places in index coordinates and from the centroid, gradient, all in px. */
interface Pixels {
  readonly count: number;
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly u: Float32Array;
  readonly v: Float32Array;
  readonly gx: Float32Array;
  readonly gy: Float32Array;
  readonly radius: number;
}

export function correlationOf(pixels: Pixels, sigma: number, workspace: Workspace): Correlation {
  const { count, x, y, u, v, gx, gy, radius } = pixels;
  const reach = gaussianWeights(sigma).length - 1;
  let left = Number.POSITIVE_INFINITY;
  let top = Number.POSITIVE_INFINITY;
  let right = 0;
  let bottom = 0;
  for (let i = 0; i < count; i++) {
    left = Math.min(left, x[i]);
    top = Math.min(top, y[i]);
    right = Math.max(right, x[i]);
    bottom = Math.max(bottom, y[i]);
  }
  // As wide a margin of nothing as the blur reaches.
  const w = right - left + 1 + 2 * reach;
  const h = bottom - top + 1 + 2 * reach;
  const planes = [workspace.plane(w, h), workspace.plane(w, h), workspace.plane(w, h)] as const;
  const scratch = workspace.plane(w, h);
  const [alongX, alongY, turned] = planes.map((plane) => plane.data.fill(0));
  for (let i = 0; i < count; i++) {
    const at = (y[i] - top + reach) * w + x[i] - left + reach;
    alongX[at] = gx[i];
    alongY[at] = gy[i];
    turned[at] = (u[i] * gy[i] - v[i] * gx[i]) / radius;
  }
  const plain = energies(planes.map(({ data }) => data));
  const pixelOn = [alikeness(alongX, 1), alikeness(alongY, w)] as const;
  for (const plane of planes) gaussianBlur(plane, sigma, plane, scratch);
  const blurred = energies(planes.map(({ data }) => data));
  for (const plane of [...planes, scratch]) workspace.release(plane);
  return { plain, blurred, pixelOn };
}

/** Correlation of a plane with itself so many values on, where both hold something; 1 of an empty one. */
function alikeness(plane: Float32Array, on: number): number {
  let product = 0;
  let squares = 0;
  for (let i = 0; i + on < plane.length; i++) {
    const a = plane[i];
    const b = plane[i + on];
    if (a === 0 || b === 0) continue;
    product += a * b;
    squares += (a * a + b * b) / 2;
  }
  return squares > 0 ? product / squares : 1;
}

function energies([a, b, c]: readonly Float32Array[]): Symmetric3 {
  let aa = 0;
  let ab = 0;
  let ac = 0;
  let bb = 0;
  let bc = 0;
  let cc = 0;
  for (let i = 0; i < a.length; i++) {
    const p = a[i];
    const q = b[i];
    const r = c[i];
    aa += p * p;
    ab += p * q;
    ac += p * r;
    bb += q * q;
    bc += q * r;
    cc += r * r;
  }
  return [aa, ab, ac, bb, bc, cc];
}

const along = ([xx, xy, xr, yy, yr, rr]: Symmetric3, x: number, y: number, r: number): number =>
  x * x * xx + y * y * yy + r * r * rr + 2 * (x * y * xy + x * r * xr + y * r * yr);

/**
 * Variance along a direction under prefiltered noise over the figure for white noise of the same variance.
 * @param direction unit vector of (dx, dy, turn in px)
 */
export function correlationAlong(
  { plain, blurred }: Correlation,
  sigma: number,
  direction: readonly [number, number, number],
): number {
  const own = along(plain, ...direction);
  return own > 0 ? along(blurred, ...direction) / own / (NOISE_LEFT.get(sigma) ?? noiseLeft(sigma)) : 1;
}

/** The same for shifts in all directions together: what most of the texture says. */
export function overallCorrelation({ plain, blurred }: Correlation, sigma: number): number {
  const own = plain[0] + plain[3];
  return own > 0 ? (blurred[0] + blurred[3]) / own / (NOISE_LEFT.get(sigma) ?? noiseLeft(sigma)) : 1;
}
