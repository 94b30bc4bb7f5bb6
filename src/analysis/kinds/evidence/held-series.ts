import { axesOf as principalAxes } from "../../../measure/one-way.ts";
import { cholesky, propagated } from "../../../measure/statistics/matrix.ts";
import { median } from "../../../measure/statistics/robust.ts";
import type { Series } from "../../../measure/statistics/history.ts";
import { type FrameNumber, px } from "../../../units/index.ts";
import type { Hold, TrackRow } from "../../series.ts";
import { leverOf, type Point, type RigidMotion } from "./rigid.ts";

// A hold as a series of (dx, dy, turn): its rows with their covariances, weighed against each other. The anchor's error
// is common to all rows, so the intercept is free. Where the hold begins with the shot or a reset the anchor itself
// counts as one more row with its own covariance: without it a knock right after the anchor could not be seen.

/** The variance a row is expected to have, in reported variances: on photographs the reported sigma runs low. */
export const REPORTED_VARIANCE_FACTOR = 2;
/** The reported covariance counts as this many rows beside the scatter that is seen. */
export const PRIOR_ROWS = 5;
/** No row counts for more than this many ordinary ones, however sure it is of itself. */
const LARGEST_WEIGHT = 4;
/**
 * A row with more than so many times the usual variance shows little of its part: what covers or shades the rest is in the
 * picture too, and its sigma doesn't know of it. It counts for as much less again.
 */
const COVERED = 2;
/**
 * Sigma from which a direction isn't told, px: a search that goes that far along what is nearly a line ends anywhere on it,
 * and its sigma is that of the place where it happens to end. Such a direction gets the sigma of one not looked along.
 */
const UNTOLD = 0.8;
const UNTOLD_SIGMA = 3;
/** A frame this share of the hold's length off the even pace makes the clock an axis of its own. */
const UNEVEN = 0.05;
/** Without a known turn only dx and dy are judged. */
const TURN = 2;

export interface HeldRow {
  readonly frame: FrameNumber;
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  /** Row-major 3 x 3, as reported, without the anchor's. */
  readonly covariance: Float64Array;
}

export interface HeldSeries {
  readonly hold: Hold;
  /** In the order of frames; the anchor comes first where `anchored`. */
  readonly rows: readonly HeldRow[];
  readonly anchored: boolean;
  readonly series: Series;
  /** Capture times (seconds) where all are known, then frame numbers where they say something else; 0 at the anchor. */
  readonly axes: readonly Float64Array[];
  /** True where the first axis is the clock, in seconds. */
  readonly timed: boolean;
}

const fullCovariance = (six: TrackRow["covariance"]): Float64Array => {
  const [xx, xy, xt, yy, yt, tt] = six;
  return Float64Array.of(xx, xy, xt, xy, yy, yt, xt, yt, tt);
};

/** True where the upper left `dims` x `dims` of a 3 x 3 matrix is a covariance. */
const isCovariance = (matrix: Float64Array, dims: number): boolean => cholesky(leading(matrix, dims), dims) !== null;

/** The upper left `dims` x `dims` of a 3 x 3 matrix. */
function leading(matrix: Float64Array, dims: number): Float64Array {
  const result = new Float64Array(dims * dims);
  for (let a = 0; a < dims; a++) for (let b = 0; b < dims; b++) result[a * dims + b] = matrix[a * 3 + b];
  return result;
}

/** What can be judged of a hold: rows that were measured, in one place and with a covariance. */
export const rowsOf = (hold: Hold): readonly HeldRow[] => rowsOfTracks(hold.rows);

export function rowsOfTracks(rows: readonly TrackRow[]): readonly HeldRow[] {
  return rows
    .filter((row) => (row.state === "ok" || row.state === "weak") && Number.isFinite(row.dx) && Number.isFinite(row.dy))
    .map(withoutUntold)
    .map((row) => {
      const turnKnown = Number.isFinite(row.turn) && row.covariance.every((value) => Number.isFinite(value));
      const [xx, xy, , yy] = row.covariance;
      return {
        frame: row.frame,
        dx: row.dx,
        dy: row.dy,
        turn: turnKnown ? row.turn : Number.NaN,
        covariance: turnKnown
          ? fullCovariance(row.covariance)
          : Float64Array.of(xx, xy, 0, xy, yy, 0, 0, 0, Number.NaN),
      };
    })
    .filter((row) => isCovariance(row.covariance, TURN));
}

/** The row with nothing said along a direction that it can't tell. */
function withoutUntold(row: TrackRow): TrackRow {
  const [xx, xy, xt, yy, yt, tt] = row.covariance;
  const { larger, axis } = principalAxes([xx, xy, yy]);
  if (!(larger > UNTOLD ** 2)) return row;
  const [u, v] = [-axis[1], axis[0]];
  const along = row.dx * u + row.dy * v;
  const more = Math.max(0, UNTOLD_SIGMA ** 2 - larger);
  const covariance: TrackRow["covariance"] = [xx + more * u * u, xy + more * u * v, xt, yy + more * v * v, yt, tt];
  return { ...row, dx: px(row.dx - along * u), dy: px(row.dy - along * v), covariance };
}

/** The anchor as a row of its own: no displacement, and the error that all rows share. */
export function anchorRow(hold: Hold): HeldRow {
  return { frame: hold.anchor, dx: 0, dy: 0, turn: 0, covariance: fullCovariance(hold.anchorCovariance) };
}

/** Motion of a carrier where it was measured, by frame: at its own anchor it has not moved. */
const carrierRows = (carrier: Hold): ReadonlyMap<number, HeldRow> =>
  new Map([anchorRow(carrier), ...rowsOf(carrier)].map((row) => [row.frame, row]));

/** The row less what the carrier's rigid motion does at `centre`; its error times the lever is added. */
function relativeRow(row: HeldRow, carried: HeldRow, lever: Float64Array): HeldRow {
  const carriedCovariance = propagated(Float64Array.of(...lever, 0, 0, 1), 3, carried.covariance, 3);
  return {
    frame: row.frame,
    dx: row.dx - carried.dx - lever[2] * carried.turn,
    dy: row.dy - carried.dy - lever[5] * carried.turn,
    turn: row.turn - carried.turn,
    covariance: row.covariance.map((value, i) => value + carriedCovariance[i]),
  };
}

/** Determinant to the power of one over its size: the variance of an even direction. */
function meanVariance(matrix: Float64Array, dims: number): number {
  const lower = cholesky(leading(matrix, dims), dims);
  if (lower === null) return Number.NaN;
  let product = 1;
  for (let a = 0; a < dims; a++) product *= lower[a * dims + a] ** 2;
  return product ** (1 / dims);
}

/** Axes on which a slow drift may run, 0 at the anchor: capture times where all are known, else frame numbers. */
function axesOf(
  anchor: number,
  frames: readonly number[],
  clockOf: (frame: number) => number | null,
): Pick<HeldSeries, "axes" | "timed"> {
  const numbers = Float64Array.from(frames, (frame) => frame - anchor);
  const start = clockOf(anchor);
  const times = frames.map(clockOf);
  const rising = times.every((time, i) => time !== null && (i === 0 || time > (times[i - 1] ?? time)));
  if (!rising || start === null || frames.length < 2) return { axes: [numbers], timed: false };
  const clock = Float64Array.from(times, (time) => (time ?? 0) - start);
  // Even shooting: both axes say the same, and trying both would only buy false alarms.
  const last = frames.length - 1;
  const rate = (clock[last] - clock[0]) / (numbers[last] - numbers[0]);
  const even = clock.every((time, i) => Math.abs(time - rate * numbers[i]) <= UNEVEN * Math.abs(clock[last]));
  return { axes: even ? [clock] : [clock, numbers], timed: true };
}

/**
 * @param clockOf seconds since the first frame, null where the capture time isn't known
 * @param carrier what the part rides on, where its motion is to be taken out
 * @returns null where fewer than two rows can be judged
 */
export function heldSeries(
  hold: Hold,
  clockOf: (frame: number) => number | null,
  carrier: Hold | null = null,
): HeldSeries | null {
  const own = [...(hold.afterMove ? [] : [anchorRow(hold)]), ...rowsOf(hold)];
  const withCarrier = (): HeldRow[] => {
    if (carrier === null) return own;
    const moved = carrierRows(carrier);
    const lever = leverOf(carrier.centroid, hold.centroid);
    return own.flatMap((row) => {
      const carried = moved.get(row.frame);
      // The anchor's row stands for an error that two holds share only when they share the anchor.
      if (carried === undefined || (row.frame === hold.anchor && carrier.anchor !== hold.anchor)) return [];
      return [relativeRow(row, carried, lever)];
    });
  };
  const all = withCarrier();
  const dims = all.every((row) => row.frame === hold.anchor || isCovariance(row.covariance, 3)) ? 3 : 2;
  const measured = all.filter((row) => row.frame !== hold.anchor);
  const typical = median(measured.map((row) => meanVariance(row.covariance, dims)));
  const varianceOf = (row: HeldRow): number => {
    const variance = meanVariance(row.covariance, dims) / typical;
    return Number.isFinite(variance) ? Math.max(variance, 1 / LARGEST_WEIGHT) : 1;
  };
  const weightOf = (row: HeldRow): number => {
    const variance = varianceOf(row);
    return variance > COVERED ? COVERED / variance ** 2 : 1 / variance;
  };
  const anchored = all.length > 0 && all[0].frame === hold.anchor;
  if (all.length < 2 || measured.length === 0 || !(typical > 0)) return null;

  const weights = Float64Array.from(all, weightOf);
  const values = new Float64Array(all.length * dims);
  const covariance = new Float64Array(dims * dims);
  all.forEach((row, i) => {
    const entry = [row.dx, row.dy, row.turn];
    for (let a = 0; a < dims; a++) values[i * dims + a] = entry[a];
  });
  for (const row of measured) {
    const scale = REPORTED_VARIANCE_FACTOR / varianceOf(row) / measured.length;
    leading(row.covariance, dims).forEach((value, k) => {
      covariance[k] += value * scale;
    });
  }
  return {
    hold,
    rows: all,
    anchored,
    series: { values, dims, weights, prior: { covariance, rows: PRIOR_ROWS } },
    ...axesOf(
      hold.anchor,
      all.map((row) => row.frame),
      clockOf,
    ),
  };
}

/** (dx, dy, turn) with their covariance as a motion at the hold's centroid; a turn that isn't known is none. */
export function motionOf(value: Float64Array, covariance: Float64Array, centre: Point): RigidMotion {
  const dims = value.length;
  const full = new Float64Array(9);
  for (let a = 0; a < dims; a++) for (let b = 0; b < dims; b++) full[a * 3 + b] = covariance[a * dims + b];
  return { dx: value[0], dy: value[1], turn: dims > TURN ? value[2] : 0, covariance: full, centre };
}
