import type { PartTemplate } from "./part-template.ts";
import type { PreparedFrame } from "./prepared.ts";

const SEARCH_RADIUS = 10;

/** Whole-part correlation on the quarter-size picture; shift in px of the analysed frame. */
export function searchPart(
  template: PartTemplate,
  frame: PreparedFrame,
  aroundX: number,
  aroundY: number,
): { dx: number; dy: number; correlation: number } | null {
  const { coarseU, coarseV, coarseT } = template;
  const n = coarseT.length;
  if (n < 12) return null;
  const { width, height, data } = frame.quarter;
  let mean = 0;
  for (let i = 0; i < n; i++) mean += coarseT[i];
  mean /= n;
  let norm = 0;
  for (let i = 0; i < n; i++) norm += (coarseT[i] - mean) ** 2;
  if (!(norm > 1e-6)) return null;
  let best = -1;
  let at: [number, number] = [0, 0];
  const cx = Math.round(aroundX / 4);
  const cy = Math.round(aroundY / 4);
  for (let v = cy - SEARCH_RADIUS; v <= cy + SEARCH_RADIUS; v++) {
    for (let u = cx - SEARCH_RADIUS; u <= cx + SEARCH_RADIUS; u++) {
      let sum = 0;
      let squares = 0;
      let cross = 0;
      let inside = 0;
      for (let i = 0; i < n; i++) {
        const x = coarseU[i] + u;
        const y = coarseV[i] + v;
        if (x < 0 || y < 0 || x >= width || y >= height) continue;
        const value = data[y * width + x];
        sum += value;
        squares += value * value;
        cross += value * (coarseT[i] - mean);
        inside++;
      }
      if (inside < n * 0.7) continue;
      const spread = squares - (sum * sum) / inside;
      if (!(spread > 1e-6)) continue;
      const score = cross / Math.sqrt(norm * spread);
      if (score > best) {
        best = score;
        at = [u, v];
      }
    }
  }
  return best > 0.3 ? { dx: at[0] * 4, dy: at[1] * 4, correlation: best } : null;
}
