import { createPlane, type Plane } from "../../src/measure/plane.ts";
import type { LinearImage, Region } from "./paint.ts";
import type { Light } from "./scene.ts";

// What lens and lamps do to the linear picture.

/**
 * Blurs with a Gaussian, sampled and normalised, out to the image's margin (4 sigma), and cuts the margin off: all that
 * a changed region of the image can have changed. `out` holds a plane a channel, without the margin.
 */
export function blurRegion(image: LinearImage, region: Region, sigma: number, out: readonly Plane[]): void {
  const { margin } = image;
  const { width, height } = out[0];
  const left = Math.max(0, region.left - 2 * margin);
  const right = Math.min(width, region.right);
  const top = Math.max(0, region.top - 2 * margin);
  const bottom = Math.min(height, region.bottom);
  if (right <= left || bottom <= top) return;
  const kernel = Float64Array.from({ length: 2 * margin + 1 }, (_, i) =>
    margin === 0 ? 1 : Math.exp(-0.5 * ((i - margin) / sigma) ** 2),
  );
  const total = kernel.reduce((sum, value) => sum + value, 0);
  for (let i = 0; i < kernel.length; i++) kernel[i] /= total;
  const columns = right - left;
  const across = new Float64Array(columns * (bottom - top + 2 * margin));
  const row = new Float64Array(columns);
  for (const [channel, { data }] of out.entries()) {
    const source = image.channels[channel];
    across.fill(0);
    for (let y = top; y < bottom + 2 * margin; y++) {
      const into = (y - top) * columns;
      for (let k = 0; k < kernel.length; k++) {
        const weight = kernel[k];
        const from = y * image.width + left + k;
        for (let x = 0; x < columns; x++) across[into + x] += weight * source[from + x];
      }
    }
    for (let y = top; y < bottom; y++) {
      row.fill(0);
      for (let k = 0; k < kernel.length; k++) {
        const weight = kernel[k];
        const from = (y - top + k) * columns;
        for (let x = 0; x < columns; x++) row[x] += weight * across[from + x];
      }
      data.set(row, y * width + left);
    }
  }
}

/** Share of the light that a shadow leaves at a place in the picture. */
export function shadowGain(shadow: NonNullable<Light["shadow"]>, x: number, y: number): number {
  const along = shadow.across[0] * x + shadow.across[1] * y;
  const t = Math.min(1, Math.max(0, (along - shadow.edge) / shadow.softness + 0.5));
  return 1 - shadow.depth * (1 - t * t * (3 - 2 * t));
}

/** A copy of the picture under the light of a frame. */
export function lit(plane: Plane, light: Light): Plane {
  const { gain = 1, gainField, shadow } = light;
  const { width, height } = plane;
  const out = createPlane(width, height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let factor = gain;
      if (gainField !== undefined) factor *= gainField(x + 0.5, y + 0.5);
      if (shadow !== undefined) factor *= shadowGain(shadow, x + 0.5, y + 0.5);
      out.data[y * width + x] = plane.data[y * width + x] * factor;
    }
  }
  return out;
}
