import { insidePolygon, type Polygon } from "../measure/mask.ts";
import { fitSimilarity, similarityAt } from "../measure/similarity.ts";
import type { GridMeasurement } from "./measurement.ts";

/** Standard deviation given to a node that stands still by its pixels and was not measured, px. */
const STILL_SIGMA = 0.1;

/** How a region of the picture moved from one frame to the next, px of the analysed frame. */
export interface RegionMotion {
  /** Where the shift is told. */
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly scale: number;
  readonly varX: number;
  readonly varY: number;
  readonly covXY: number;
  readonly varTurn: number;
  /** 95th percentile of what the similarity leaves over on the nodes, px. */
  readonly leftOver: number;
  /** Share of the nodes inside that were measured. */
  readonly measured: number;
}

/**
 * The region's own motion: a robust similarity through the nodes inside its outline.
 * @param pair from the earlier frame to the later one
 * @param outline in the earlier frame
 * @returns null where fewer than 4 nodes inside were found again
 */
export function regionMotion(pair: GridMeasurement, outline: Polygon, x: number, y: number): RegionMotion | null {
  const xs: number[] = [];
  const ys: number[] = [];
  const dx: number[] = [];
  const dy: number[] = [];
  const varX: number[] = [];
  const varY: number[] = [];
  let inside = 0;
  let x0 = Number.POSITIVE_INFINITY;
  let y0 = Number.POSITIVE_INFINITY;
  let x1 = Number.NEGATIVE_INFINITY;
  let y1 = Number.NEGATIVE_INFINITY;
  for (const [px, py] of outline) {
    x0 = Math.min(x0, px);
    y0 = Math.min(y0, py);
    x1 = Math.max(x1, px);
    y1 = Math.max(y1, py);
  }
  const c0 = Math.max(0, Math.ceil((x0 - pair.originX) / pair.step));
  const c1 = Math.min(pair.cols - 1, Math.floor((x1 - pair.originX) / pair.step));
  const r0 = Math.max(0, Math.ceil((y0 - pair.originY) / pair.step));
  const r1 = Math.min(pair.rows - 1, Math.floor((y1 - pair.originY) / pair.step));
  for (let r = r0; r <= r1; r++)
    for (let c = c0; c <= c1; c++) {
      const px = pair.originX + c * pair.step;
      const py = pair.originY + r * pair.step;
      if (!insidePolygon(outline, px, py)) continue;
      inside++;
      const i = r * pair.cols + c;
      const valid = pair.valid[i];
      if (valid === 0) continue;
      xs.push(px);
      ys.push(py);
      dx.push(pair.dx[i]);
      dy.push(pair.dy[i]);
      varX.push(valid === 2 ? STILL_SIGMA ** 2 : pair.varX[i]);
      varY.push(valid === 2 ? STILL_SIGMA ** 2 : pair.varY[i]);
    }
  const fit = fitSimilarity(xs, ys, dx, dy, varX, varY, x, y);
  if (fit === null || fit.support < 3) return null;
  const left: number[] = [];
  for (let i = 0; i < xs.length; i++) {
    if (fit.weights[i] === 0) continue;
    const [mx, my] = similarityAt(fit, x, y, xs[i], ys[i]);
    left.push(Math.hypot(dx[i] - mx, dy[i] - my));
  }
  left.sort((a, b) => a - b);
  return {
    x,
    y,
    dx: fit.dx,
    dy: fit.dy,
    turn: fit.turn,
    scale: fit.scale,
    varX: fit.covariance[0],
    varY: fit.covariance[5],
    covXY: fit.covariance[1],
    varTurn: fit.covariance[10],
    leftOver: left[Math.min(left.length - 1, Math.floor(0.95 * left.length))] ?? 0,
    measured: inside > 0 ? xs.length / inside : 0,
  };
}

/** Where a region's motion takes a point. */
export function movePoint(motion: RegionMotion, [x, y]: readonly [number, number]): [number, number] {
  const [dx, dy] = similarityAt(motion, motion.x, motion.y, x, y);
  return [x + dx, y + dy];
}

/** Where a point was before a region's motion. */
export function movePointBack(motion: RegionMotion, [x, y]: readonly [number, number]): [number, number] {
  const u = x - motion.x - motion.dx;
  const v = y - motion.y - motion.dy;
  const c = Math.cos(motion.turn) / motion.scale;
  const s = Math.sin(motion.turn) / motion.scale;
  return [motion.x + c * u + s * v, motion.y - s * u + c * v];
}
