import { type Mask, type Polygon, polygonMask } from "./mask.ts";
import type { Plane } from "./plane.ts";
import { drifted, resampled, type RigidDrift } from "./resample.ts";

/** How far around the part what moved blends into what was there, px. */
const BLEND = 2;

/** Share of the moved picture in each pixel of a rectangle around the part. */
interface Blend {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly share: Float32Array;
}

const memberOf = (mask: Mask, x: number, y: number): boolean => {
  const [u, v] = [x - mask.left, y - mask.top];
  return u >= 0 && v >= 0 && u < mask.width && v < mask.height && mask.data[v * mask.width + u] === 1;
};

/** One inside either mask, falling to nothing within BLEND px outside. */
function blendAround(masks: readonly Mask[], width: number, height: number): Blend {
  const left = Math.max(0, Math.min(...masks.map((mask) => mask.left)) - BLEND);
  const top = Math.max(0, Math.min(...masks.map((mask) => mask.top)) - BLEND);
  const right = Math.min(width, Math.max(...masks.map((mask) => mask.left + mask.width)) + BLEND);
  const bottom = Math.min(height, Math.max(...masks.map((mask) => mask.top + mask.height)) + BLEND);
  const [w, h] = [right - left, bottom - top];
  const inside = new Uint8Array(w * h);
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) if (masks.some((mask) => memberOf(mask, left + x, top + y))) inside[y * w + x] = 1;
  const share = new Float32Array(w * h);
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      if (inside[y * w + x] === 1) {
        share[y * w + x] = 1;
        continue;
      }
      let nearest = BLEND + 1;
      for (let v = Math.max(0, y - BLEND); v <= Math.min(h - 1, y + BLEND); v++)
        for (let u = Math.max(0, x - BLEND); u <= Math.min(w - 1, x + BLEND); u++)
          if (inside[v * w + u] === 1) nearest = Math.min(nearest, Math.hypot(u - x, v - y));
      share[y * w + x] = 1 - nearest / (BLEND + 1);
    }
  }
  return { left, top, width: w, height: h, share };
}

/**
 * Puts a known drift into one part of a picture. All within the outline, and all that the outline moves onto, is the
 * original resampled where the motion came from: so the part covers what lies before it, and at its other edge what lay
 * beyond comes in, as when it really moves. Around that it blends into what was there over BLEND px.
 * @param source linear light; not changed
 * @param into same size, a copy of the source or with other parts' drifts in it already: only this part is written
 * @param outline the part's outline in this picture, px
 */
export function putDrift(
  source: Plane,
  into: Plane,
  outline: Polygon,
  holes: readonly Polygon[],
  drift: RigidDrift,
): void {
  if (drift.dx === 0 && drift.dy === 0 && drift.turn === 0) return;
  const { width, height } = source;
  const moved = (ring: Polygon): Polygon => ring.map(([x, y]) => drifted(drift, x, y));
  const blend = blendAround(
    [polygonMask(outline, holes, width, height), polygonMask(moved(outline), holes.map(moved), width, height)],
    width,
    height,
  );
  const values = resampled(source, blend.left, blend.top, blend.width, blend.height, drift);
  const target = into.data;
  for (let y = 0; y < blend.height; y++) {
    for (let x = 0; x < blend.width; x++) {
      const share = blend.share[y * blend.width + x];
      if (share === 0) continue;
      const at = (blend.top + y) * width + blend.left + x;
      // Beside a hard edge the sinc swings below no light at all, which no camera does.
      target[at] += share * (Math.max(0, values[y * blend.width + x]) - target[at]);
    }
  }
}
