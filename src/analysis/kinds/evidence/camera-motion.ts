import { median } from "../../../measure/statistics/robust.ts";
import type { Series } from "../../../measure/statistics/history.ts";
import type { FrameNumber } from "../../../units/index.ts";
import type { FrameRow, JudgeInput } from "../../series.ts";
import { pathHistory, piecesOf } from "./camera-path.ts";
import { eventsOf } from "./events.ts";
import type { Reading, SeriesEvent } from "./series-event.ts";
import { PRIOR_ROWS, REPORTED_VARIANCE_FACTOR } from "./held-series.ts";
import { historyOf } from "./history-of.ts";
import type { Displacement, Point } from "./rigid.ts";

// What the camera did while it was meant to hold: shift, turn and scale of the still background.

/** dx, dy (px at the frame's centre), turn (radians), log of the scale. */
const DIMS = 4;
/** Least sigma that is believed, px. */
const FLOOR_PX = 0.0015;
/** Camera in the corners counts for more than in the centre from this many times the centre's displacement on. */
const CORNERS_RULE = 2;
const LARGEST_WEIGHT = 4;

export interface CameraEvent extends SeriesEvent {
  /** Shift at the frame's centre; of a camera that rather turned or zoomed, at the corner that went farthest. */
  readonly displacement: Displacement;
  readonly atCorner: boolean;
  /** Beside the smooth path of a camera that is meant to move. */
  readonly offPath: boolean;
  /** Log of the scale by which the picture grew, with 1 sigma. */
  readonly growth: { readonly value: number; readonly sigma: number };
  /** Displacement of the picture at a point, px. */
  at(point: Point): Point;
}

type KnownCamera = NonNullable<FrameRow["camera"]>;
interface KnownRow {
  readonly frame: FrameNumber;
  readonly clock: number | null;
  readonly camera: KnownCamera;
}

function isKnown(row: FrameRow): row is FrameRow & KnownRow {
  const { camera } = row;
  return (
    camera !== null && [camera.dx, camera.dy, camera.turn, camera.scale].every(Number.isFinite) && camera.scale > 0
  );
}

/** Displacement by a camera's (dx, dy, turn, log scale) at a point, px. */
function pictureShift(value: ArrayLike<number>, centre: Point, [x, y]: Point): Point {
  const scale = Math.exp(value[3]);
  const [c, s] = [scale * Math.cos(value[2]) - 1, scale * Math.sin(value[2])];
  const [lx, ly] = [x - centre[0], y - centre[1]];
  return [value[0] + c * lx - s * ly, value[1] + s * lx + c * ly];
}

/**
 * What happened to the camera in each stretch in which it is meant to hold, and beside its path where it is meant to move.
 *
 * @param stepBand px up to which a step beside a slow drift is part of it
 */
export function cameraEvents(input: JudgeInput, stepBand: number): CameraEvent[] {
  const holds = input.cameraHolds ?? [{ from: Number.NEGATIVE_INFINITY, to: Number.POSITIVE_INFINITY }];
  const told = (stretches: typeof holds, moving: boolean): CameraEvent[] =>
    stretches.flatMap(({ from, to }) => {
      const rows = input.frames.filter((row) => row.frame >= from && row.frame <= to).filter(isKnown);
      if (!moving) return stretchEvents(input, stepBand, rows, false);
      return piecesOf(rows.length).flatMap((piece) => {
        const events = stretchEvents(input, stepBand, rows.slice(piece.from, piece.to), true);
        return events.filter(({ row }) => row + piece.from >= piece.told[0] && row + piece.from < piece.told[1]);
      });
    });
  return [...told(holds, false), ...told(input.cameraMoves ?? [], true)].sort((a, b) => a.from - b.from);
}

/** The camera of some frames as one series; what its rows report of themselves beside it. */
interface CameraSeries {
  readonly series: Series;
  /** Frame numbers since the first row. */
  readonly axis: Float64Array;
  readonly sigma: number;
  readonly sigmaTurn: number;
}

function seriesOf(rows: readonly KnownRow[], centre: Point): CameraSeries {
  const sigmas = rows.map(({ camera }) => camera.sigma).filter((sigma) => sigma > 0);
  const turns = rows.map(({ camera }) => camera.sigmaTurn).filter((sigma) => sigma > 0);
  const sigma = Math.max(FLOOR_PX, sigmas.length > 0 ? median(sigmas) : 0);
  const sigmaTurn = Math.max(FLOOR_PX / Math.hypot(...centre), turns.length > 0 ? median(turns) : 0);
  const values = new Float64Array(rows.length * DIMS);
  rows.forEach(({ camera }, i) => {
    [camera.dx, camera.dy, camera.turn, Math.log(camera.scale)].forEach((value, d) => {
      values[i * DIMS + d] = value;
    });
  });
  const weights = Float64Array.from(rows, ({ camera }) =>
    camera.sigma > 0 ? Math.min((sigma / camera.sigma) ** 2, LARGEST_WEIGHT) : 1,
  );
  // A similarity's log scale is as uncertain as its turn.
  const covariance = new Float64Array(DIMS * DIMS);
  [sigma, sigma, sigmaTurn, sigmaTurn].forEach((value, d) => {
    covariance[d * DIMS + d] = REPORTED_VARIANCE_FACTOR * value ** 2;
  });
  const axis = Float64Array.from(rows, (row) => row.frame - rows[0].frame);
  return { series: { values, dims: DIMS, weights, prior: { covariance, rows: PRIOR_ROWS } }, axis, sigma, sigmaTurn };
}

/** The camera wherever it is known, as a series over frame numbers; null where it is known in fewer than two frames. */
export function cameraSeries({ frames, width, height }: JudgeInput): {
  readonly frames: readonly FrameNumber[];
  readonly series: Series;
} | null {
  const rows = frames.filter(isKnown);
  if (rows.length < 2) return null;
  return { frames: rows.map((row) => row.frame), series: seriesOf(rows, [width / 2, height / 2]).series };
}

function stretchEvents(
  { width, height, live }: JudgeInput,
  stepBand: number,
  rows: readonly KnownRow[],
  moving: boolean,
): CameraEvent[] {
  if (rows.length < 2) return [];
  const centre: Point = [width / 2, height / 2];
  const { series, axis, sigma, sigmaTurn } = seriesOf(rows, centre);
  const history = moving ? pathHistory(series, axis, live) : historyOf("camera", series, [axis], { live });
  if (history === null) return [];

  const corners: readonly Point[] = [
    [0, 0],
    [width, 0],
    [width, height],
    [0, height],
  ];
  const farthest = (value: ArrayLike<number>): Point =>
    [centre, ...corners].reduce((best, point) =>
      Math.hypot(...pictureShift(value, centre, point)) > Math.hypot(...pictureShift(value, centre, best))
        ? point
        : best,
    );
  const shiftAt = (value: Float64Array, point: Point) => Math.hypot(...pictureShift(value, centre, point));
  const reading: Reading = {
    frames: rows.map((row) => row.frame),
    sizeOf: (value) => shiftAt(value, farthest(value)),
    along: (value, reference) => {
      const point = farthest(reference);
      const [x, y] = pictureShift(value, centre, point);
      const [u, v] = pictureShift(reference, centre, point);
      return (x * u + y * v) / (Math.hypot(u, v) || 1);
    },
    matters: (value) => shiftAt(value, farthest(value)) > stepBand,
    sigmas: (value, row, end) => {
      // Where its size is told, its beginning is: a corner is as much less sure as it is far out.
      const corner = farthest(end);
      const isAtCentre = shiftAt(end, corner) <= CORNERS_RULE * shiftAt(end, centre);
      const point = isAtCentre ? centre : corner;
      const lever = Math.hypot(point[0] - centre[0], point[1] - centre[1]);
      const { camera } = rows[row];
      const reported = Math.hypot(camera.sigma || sigma, (camera.sigmaTurn || sigmaTurn) * lever);
      return shiftAt(value, point) / reported;
    },
    trendOnly: false,
  };
  return eventsOf(history, reading).map((event) => {
    const corner = farthest(event.value);
    const middle = shiftOf(event, centre, centre);
    const edge = shiftOf(event, centre, corner);
    const atCorner =
      edge.px > CORNERS_RULE * middle.px && edge.px - middle.px > 3 * Math.hypot(edge.sigma, middle.sigma);
    return {
      ...event,
      displacement: atCorner ? edge : middle,
      atCorner,
      offPath: moving,
      growth: { value: event.value[3], sigma: Math.sqrt(event.covariance[DIMS * DIMS - 1]) },
      at: (point) => pictureShift(event.value, centre, point),
    };
  });
}

function shiftOf({ value, covariance }: SeriesEvent, centre: Point, point: Point): Displacement {
  const [x, y] = pictureShift(value, centre, point);
  const px = Math.hypot(x, y);
  const direction: Point = px > 0 ? [x / px, y / px] : [0, 0];
  const [lx, ly] = [point[0] - centre[0], point[1] - centre[1]];
  const [u, v] = direction;
  const factors = [u, v, v * lx - u * ly, u * lx + v * ly];
  let variance = 0;
  for (let a = 0; a < DIMS; a++) {
    for (let b = 0; b < DIMS; b++) variance += factors[a] * covariance[a * DIMS + b] * factors[b];
  }
  return { px, sigma: Math.sqrt(Math.max(0, variance)), direction, at: point };
}
