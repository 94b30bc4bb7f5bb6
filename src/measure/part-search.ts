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

/** Range and number of places of the finer search, px of the half-size picture. */
const FINE_RADIUS = 8;
const FINE_PLACES = 3;

/**
 * The same on the half-size picture, nearer by: where threads of a few px are lost on the quarter-size one.
 * @returns the places that correlate best, px of the analysed frame
 */
export function searchNear(
  { count, x, y, t }: PartTemplate,
  frame: PreparedFrame,
  aroundX: number,
  aroundY: number,
): { dx: number; dy: number }[] {
  const { width, height, data } = frame.half;
  const points: [number, number, number][] = [];
  let mean = 0;
  for (let i = 0; i < count; i++) {
    if ((x[i] & 1) !== 0 || (y[i] & 1) !== 0) continue;
    points.push([x[i] >> 1, y[i] >> 1, t[i]]);
    mean += t[i];
  }
  if (points.length < 64) return [];
  mean /= points.length;
  const [cx, cy] = [Math.round(aroundX / 2), Math.round(aroundY / 2)];
  const places: { dx: number; dy: number; score: number }[] = [];
  for (let v = cy - FINE_RADIUS; v <= cy + FINE_RADIUS; v++) {
    for (let u = cx - FINE_RADIUS; u <= cx + FINE_RADIUS; u++) {
      let [n, sum, squares, cross] = [0, 0, 0, 0];
      for (const [px, py, value] of points) {
        const [p, q] = [px + u, py + v];
        if (p < 0 || q < 0 || p >= width || q >= height) continue;
        const there = data[q * width + p];
        n++;
        sum += there;
        squares += there * there;
        cross += there * (value - mean);
      }
      const spread = squares - (sum * sum) / n;
      if (n > 0.7 * points.length && spread > 1e-6)
        places.push({ dx: 2 * u, dy: 2 * v, score: cross / Math.sqrt(spread) });
    }
  }
  places.sort((a, b) => b.score - a.score);
  const best: { dx: number; dy: number }[] = [];
  for (const place of places) {
    if (best.length === FINE_PLACES) break;
    if (best.every(({ dx, dy }) => Math.max(Math.abs(dx - place.dx), Math.abs(dy - place.dy)) > 2)) best.push(place);
  }
  return best;
}
