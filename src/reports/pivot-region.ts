import type { Flag, Report, Track } from "../model/index.ts";
import { centroidOf } from "../model/index.ts";

// Where the point about which a part turned may lie. It is a quotient of small numbers (shift over turn), so that its
// region is no ellipse about it: every place is asked whether its own displacement can be nought (Fieller 1954).

export type Place = readonly [number, number];

/** Chi squared with two degrees of freedom, 95 %. */
const LIMIT = 5.991;
const RAYS = 48;
/** A region that reaches farther than this share of the frame's width is told as open: it says next to nothing. */
const FARTHEST = 0.5;

export interface PivotRegion {
  /** Closed polygon, px of the frame. */
  readonly outline: readonly Place[];
  /** True where the region goes on beyond what is drawn. */
  readonly open: boolean;
}

/** Displacement of a place over its uncertainty, squared; the shift's covariance with the turn at the centroid isn't in the file. */
function statistic(row: Track, centre: Place, at: Place): number {
  const [x, y] = [at[0] - centre[0], at[1] - centre[1]];
  const turn = row.turn ?? 0;
  const [dx, dy] = [(row.dx ?? 0) - turn * y, (row.dy ?? 0) + turn * x];
  const [sx, sy, st] = [row.sigmaDx ?? 0, row.sigmaDy ?? 0, row.sigmaTurn ?? 0];
  const xx = sx * sx + st * st * y * y;
  const yy = sy * sy + st * st * x * x;
  const xy = (row.rho ?? 0) * sx * sy - st * st * x * y;
  const determinant = xx * yy - xy * xy;
  return determinant > 0 ? (dx * dx * yy - 2 * dx * dy * xy + dy * dy * xx) / determinant : Number.POSITIVE_INFINITY;
}

/**
 * The region that holds a flag's pivot at 95 %, by the part's own track at the flag's last frame, as the part lay at
 * its anchor.
 *
 * @returns null where the flag has no pivot, is told beside its carrier's motion, or where the track doesn't agree with
 *   it, since more than this drift is in it
 */
export function pivotRegion(flag: Flag, report: Report): PivotRegion | null {
  const part = report.parts.find(({ id }) => id === flag.part);
  if (flag.pivot === null || part === undefined || flag.besideCarrier !== undefined) return null;
  const row = report.tracks.findLast(
    (each) => each.part === flag.part && each.frame <= flag.to && each.frame >= flag.from && each.dx !== null,
  );
  if (row === undefined || row.turn === null || row.dy === null || row.turn === 0) return null;
  const centre = centroidOf({ points: part.outline, holes: [] });
  const pivot: Place = [flag.pivot[0], flag.pivot[1]];
  if (!(statistic(row, centre, pivot) < LIMIT)) return null;
  const farthest = FARTHEST * report.shot.width;
  let open = false;
  const outline = Array.from({ length: RAYS }, (_, k): Place => {
    const angle = (2 * Math.PI * k) / RAYS;
    const along = (radius: number): Place => [pivot[0] + radius * Math.cos(angle), pivot[1] + radius * Math.sin(angle)];
    let [inside, outside] = [0, 0.25];
    while (outside < farthest && statistic(row, centre, along(outside)) < LIMIT)
      [inside, outside] = [outside, outside * 1.6];
    if (outside >= farthest) {
      open = true;
      return along(farthest);
    }
    for (let i = 0; i < 24; i++) {
      const middle = (inside + outside) / 2;
      if (statistic(row, centre, along(middle)) < LIMIT) inside = middle;
      else outside = middle;
    }
    return along(inside);
  });
  return { outline, open };
}
