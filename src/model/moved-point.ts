import type { Track } from "./report.ts";

// Where a point of a part went by a track, which tells shift and turn about the outline's centroid.

type Point = readonly [number, number];

/** Displacement of a point, px, by a track that is told at `centre`; null where there is no number. */
export function displacementOf(row: Track, point: Point, centre: Point): Point | null {
  if (row.dx === null || row.dy === null) return null;
  const turn = row.turn ?? 0;
  return [row.dx - turn * (point[1] - centre[1]), row.dy + turn * (point[0] - centre[0])];
}

/** 1 sigma along the unit vector `u` of the displacement at `point`, px; the turn's covariance with the shift isn't in the file and is left out. */
export function sigmaOf(row: Track, point: Point, centre: Point, u: Point): number {
  const [sx, sy] = [row.sigmaDx ?? 0, row.sigmaDy ?? 0];
  const lever = -(point[1] - centre[1]) * u[0] + (point[0] - centre[0]) * u[1];
  const shift = (sx * u[0]) ** 2 + (sy * u[1]) ** 2 + 2 * (row.rho ?? 0) * sx * sy * u[0] * u[1];
  return Math.sqrt(Math.max(0, shift) + (lever * (row.sigmaTurn ?? 0)) ** 2);
}

/**
 * The point that went farthest: a corner, as a rigid motion is largest at one, so corners are enough. Where no corner went
 * farther than the centre, as in a shift without a turn, it is the centre, which is known best: the turn's uncertainty has
 * no lever there.
 */
export function farthestOf(
  row: Track,
  corners: readonly Point[],
  centre: Point,
): { readonly at: Point; readonly by: Point } {
  let far = { at: centre, by: displacementOf(row, centre, centre) ?? ([0, 0] as Point) };
  for (const at of corners) {
    const by = displacementOf(row, at, centre) ?? [0, 0];
    if (Math.hypot(...by) > Math.hypot(...far.by)) far = { at, by };
  }
  return far;
}
