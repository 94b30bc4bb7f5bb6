import type { LeftOverSeries } from "../../series.ts";
import type { Contrast } from "./left-over-contrast.ts";
import { type NodeSeries, nodesAround, shownOf } from "./left-over-windows.ts";
import type { Point } from "./rigid.ts";
import { averaged } from "./seen-through-subset.ts";

// The patch that slipped: how far at its peak, which way, and where. A subset averages over its own width, so that a
// small patch reports too little: 21 px subsets show 0.82 of a patch of 56 px, 0.93 of one of 90 px (profile
// (1 - r^2)^2). What a patch of each size would show is known, so the size that fits the nodes says what was lost, and it
// is put back.

/** Nodes around the peak that tell its shape. */
const REACH = 3;
/** Radii of patches that are tried, px, and places of the middle, nodes. */
const RADII = [16, 20, 24, 28, 34, 42, 52, 66, 84, 110, 150];
const OFFSETS = [-0.75, -0.5, -0.25, 0, 0.25, 0.5, 0.75];
/** The patch ends where it slipped less than this share of its peak. */
const EDGE = 0.5;
/** Share of what is put back that counts as uncertain. */
const RESTORED_TO = 0.3;
/** The patch's nodes, and those on its flank, within this share of the peak: one cause. */
const FLANK = 0.15;

export interface NodePatch {
  readonly px: number;
  readonly sigma: number;
  readonly direction: Point;
  /** The node that slipped farthest. */
  readonly peak: number;
  /** Nodes that slipped at least half as far as the peak, connected with it. */
  readonly nodes: readonly number[];
  /** All nodes that belong to the same slip. */
  readonly reach: ReadonlySet<number>;
  /** Corners of the patch at the last frame, px. */
  readonly region: readonly Point[];
}

export function patchOf(
  series: LeftOverSeries,
  nodes: readonly (NodeSeries | null)[],
  contrast: Contrast,
  start: number,
  z: number,
): NodePatch | null {
  const around = nodesAround(series.cells);
  const told = toldByNodes(series, nodes, contrast);
  const pooled = pooledAt(series, told);
  // Uphill from where the windows say it is, along the pooled direction.
  const [startX, startY] = pooled(start);
  const length = Math.hypot(startX, startY);
  if (!(length > 0)) return null;
  const direction: Point = [startX / length, startY / length];
  const known = new Map<number, number>();
  const smooth = (i: number): number => {
    const before = known.get(i);
    if (before !== undefined) return before;
    const [x, y] = pooled(i);
    const value = x * direction[0] + y * direction[1];
    known.set(i, value);
    return value;
  };
  let peak = start;
  for (let round = 0; round < nodes.length; round++) {
    const next = around(peak, 1).reduce((best, i) => (smooth(i) > smooth(best) ? i : best), peak);
    if (next === peak) break;
    peak = next;
  }
  const top = smooth(peak);
  if (!(top > 0)) return null;
  const px = peakOf(series, told, direction, around(peak, REACH), peak) ?? { value: top, restored: 0 };
  const value = Math.max(top, px.value);
  return {
    px: value,
    sigma: Math.hypot(value / z, RESTORED_TO * px.restored),
    direction,
    peak,
    nodes: grownFrom(peak, around, (i) => smooth(i) >= EDGE * top),
    reach: new Set(grownFrom(peak, around, (i) => smooth(i) >= FLANK * top)),
    region: hullOf(
      series,
      grownFrom(peak, around, (i) => smooth(i) >= EDGE * top),
    ),
  };
}

/** What one node tells: its information, and its vector by that information. */
interface Told {
  readonly ixx: number;
  readonly ixy: number;
  readonly iyy: number;
  readonly sumX: number;
  readonly sumY: number;
}

function toldBy(x: number, y: number, covariance: Float64Array, node: number): Told {
  const [xx, xy, yy] = covariance.subarray(3 * node, 3 * node + 3);
  const determinant = xx * yy - xy * xy;
  const [ixx, ixy, iyy] = [yy / determinant, -xy / determinant, xx / determinant];
  return { ixx, ixy, iyy, sumX: ixx * x + ixy * y, sumY: ixy * x + iyy * y };
}

export const toldByNodes = (
  { covariance }: LeftOverSeries,
  nodes: readonly (NodeSeries | null)[],
  contrast: Contrast,
): (Told | null)[] =>
  nodes.map((own, i) => (own === null ? null : toldBy(contrast.of(own.x), contrast.of(own.y), covariance, i)));

/** What a node and those around it say together, by what each knows: one on lines counts across them alone. */
export function pooledAt(series: LeftOverSeries, told: readonly (Told | null)[]): (node: number) => Point {
  const around = nodesAround(series.cells);
  const shown = shownOf(series);
  return (node) => {
    const [x, y] = together(around(node, 1).flatMap((j) => told[j] ?? []));
    return shown(x, y);
  };
}

/** The one vector that all of them tell together; nothing where there are none. */
function together(all: readonly Told[]): Point {
  if (all.length === 0) return [0, 0];
  const sum = (value: (one: Told) => number): number => all.reduce((total, one) => total + value(one), 0);
  const [xx, xy, yy] = [sum((one) => one.ixx), sum((one) => one.ixy), sum((one) => one.iyy)];
  const [x, y] = [sum((one) => one.sumX), sum((one) => one.sumY)];
  const determinant = xx * yy - xy * xy;
  return [(yy * x - xy * y) / determinant, (xx * y - xy * x) / determinant];
}

/**
 * Peak of the patch (1 - r^2 / R^2)^2 that, averaged over each node's subset, fits the nodes around best: radius and middle
 * are searched for, the height is least squares.
 */
function peakOf(
  { cells, step, size }: LeftOverSeries,
  told: readonly (Told | null)[],
  [ux, uy]: Point,
  near: readonly number[],
  peak: number,
): { value: number; restored: number } | null {
  const used = near.filter((i) => told[i] !== null);
  if (used.length < 12) return null;
  let best: { left: number; value: number; restored: number } | null = null;
  // Along the direction: what each node weighs, and its value by that weight.
  const weights = used.map((i) => {
    const { ixx, ixy, iyy } = told[i]!;
    return ixx * ux * ux + 2 * ixy * ux * uy + iyy * uy * uy;
  });
  const weighed = used.map((i) => told[i]!.sumX * ux + told[i]!.sumY * uy);
  for (const radius of RADII) {
    const height = averaged(radius, 2, size, step);
    for (let middle = 0; middle < OFFSETS.length ** 2; middle++) {
      const u = OFFSETS[middle % OFFSETS.length];
      const v = OFFSETS[Math.floor(middle / OFFSETS.length)];
      let [cross, square] = [0, 0];
      used.forEach((i, k) => {
        const far = Math.hypot(cells[2 * i] - cells[2 * peak] - u, cells[2 * i + 1] - cells[2 * peak + 1] - v) * step;
        const shown = height(far);
        cross += shown * weighed[k];
        square += weights[k] * shown ** 2;
      });
      const value = cross / square;
      // What is left over, but for a sum that is the same for all.
      const left = -value * cross;
      if (value > 0 && (best === null || left < best.left)) best = { left, value, restored: value * (1 - height(0)) };
    }
  }
  return best;
}

function grownFrom(
  peak: number,
  around: (i: number, r: number) => number[],
  belongs: (i: number) => boolean,
): number[] {
  const out = new Set([peak]);
  const open = [peak];
  for (let i = open.pop(); i !== undefined; i = open.pop())
    for (const next of around(i, 1))
      if (!out.has(next) && belongs(next)) {
        out.add(next);
        open.push(next);
      }
  return [...out];
}

/** Convex hull (Andrew's monotone chain) of the nodes' subsets' inner halves. */
function hullOf({ places, size }: LeftOverSeries, nodes: readonly number[]): Point[] {
  const half = size / 4;
  const points = nodes
    .flatMap((i) =>
      [-half, half].flatMap((u) => [-half, half].map((v): Point => [places[2 * i] + u, places[2 * i + 1] + v])),
    )
    .sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const chain = (list: readonly Point[]): Point[] => {
    const out: Point[] = [];
    for (const point of list) {
      while (out.length >= 2) {
        const [a, b] = [out[out.length - 2], out[out.length - 1]];
        if ((b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]) > 0) break;
        out.pop();
      }
      out.push(point);
    }
    return out.slice(0, -1);
  };
  return [...chain(points), ...chain(points.toReversed())];
}
