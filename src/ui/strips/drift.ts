import { centroidOf } from "../../model/geometry.ts";
import type { Flag, ReportPart, Track } from "../../model/index.ts";

/** Drift of one part as one number a frame: px along `direction`, of the point of its outline that went farthest. */
export interface Drift {
  readonly value: Float64Array;
  /** 1 sigma, px. */
  readonly sigma: Float64Array;
  /** Unit vector in the picture along which the value counts. */
  readonly direction: readonly [number, number];
}

type Point = readonly [number, number];

const displaced = (row: Track, point: Point, centre: Point): Point | null => {
  if (row.dx === null || row.dy === null) return null;
  const turn = row.turn ?? 0;
  return [row.dx - turn * (point[1] - centre[1]), row.dy + turn * (point[0] - centre[0])];
};

/** Variance along `u` of the displacement at `point`; the turn's covariance with the shift isn't in the file and is left out. */
function varianceAt(row: Track, point: Point, centre: Point, u: Point): number {
  const sx = row.sigmaDx ?? 0;
  const sy = row.sigmaDy ?? 0;
  const lever = -(point[1] - centre[1]) * u[0] + (point[0] - centre[0]) * u[1];
  return (
    (sx * u[0]) ** 2 +
    (sy * u[1]) ** 2 +
    2 * (row.rho ?? 0) * sx * sy * u[0] * u[1] +
    (lever * (row.sigmaTurn ?? 0)) ** 2
  );
}

/**
 * @param rows tracks of the part, in the order of frames
 * @param surface outlines of the part and of all that it carries in `flag`, px
 * @param flag the finding whose direction the trace follows; null: the direction of the largest displacement
 */
export function driftOf(
  part: Pick<ReportPart, "outline">,
  rows: readonly Track[],
  surface: readonly (readonly Point[])[],
  flag: Flag | null,
  indexOf: ReadonlyMap<number, number>,
): Drift {
  const centre = centroidOf({ points: part.outline, holes: [] });
  const points = surface.flat();
  const measured = rows.filter((row) => row.dx !== null && row.dy !== null);
  const weight = (row: Track) => {
    const [x, y] = displaced(row, centre, centre)!;
    return Math.hypot(x, y);
  };
  const at =
    measured.findLast((row) => flag !== null && row.frame <= flag.to && row.frame >= flag.from) ??
    measured.reduce<Track | null>((most, row) => (most === null || weight(row) > weight(most) ? row : most), null);

  let witness: Point = centre;
  let farthest: Point = [0, 0];
  if (at !== null) {
    for (const point of points) {
      const moved = displaced(at, point, centre)!;
      if (Math.hypot(...moved) > Math.hypot(...farthest)) {
        witness = point;
        farthest = moved;
      }
    }
  }
  const told = flag?.direction ?? farthest;
  const length = Math.hypot(told[0], told[1]);
  const direction: Point = length > 0 ? [told[0] / length, told[1] / length] : [0, 1];

  const value = new Float64Array(indexOf.size).fill(Number.NaN);
  const sigma = new Float64Array(indexOf.size).fill(Number.NaN);
  for (const row of rows) {
    const index = indexOf.get(row.frame);
    const moved = displaced(row, witness, centre);
    if (index === undefined || moved === null) continue;
    value[index] = moved[0] * direction[0] + moved[1] * direction[1];
    sigma[index] = Math.sqrt(varianceAt(row, witness, centre, direction));
  }
  return { value, sigma, direction };
}
