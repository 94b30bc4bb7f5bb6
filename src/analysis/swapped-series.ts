import type { FrameNumber } from "../units/index.ts";
import { type CarrierHold, carrierOut } from "./carrier-out.ts";
import type { HoldPlan } from "./contract.ts";
import { type Covariance, plus, scaled } from "./covariance.ts";
import { cameraOut, type HeldRow, temporalInflation, typicalCovariance } from "./hold-rows.ts";
import type { SegmentSeries, SeriesSource } from "./segment-series.ts";
import type { Piece, Segment } from "./segments.ts";
import type { AnalysedPart } from "./shot-tracker.ts";

// A swapped part: every piece has its own template, made where it is first worn, and its rows tell where it sits against
// the last frame in which the same piece was worn. Camera and carrier are taken out.

/** What a carrier that moved leaves in the place of what it carries, as a share of its way: it turns out of the picture. */
const CARRIER_ERROR = 0.05;
const ZERO: Covariance = [0, 0, 0, 0, 0, 0];

interface Under {
  readonly carrier: AnalysedPart;
  readonly under: readonly SegmentSeries[];
}

const isSeen = (row: HeldRow): boolean => (row.state === "ok" || row.state === "weak") && Number.isFinite(row.dx);

/** The series of one wearing of a piece. */
export function swappedSeries(
  source: SeriesSource,
  segment: Segment,
  piece: Piece,
  plan: HoldPlan,
  carried: Under | null,
): SegmentSeries {
  const { cameras, width, height } = source;
  const all = cameraOut(
    source.measured.get(plan.id) ?? new Map(),
    piece.frames,
    plan.anchor,
    plan.centroid,
    cameras,
    width,
    height,
    plan.templateFrames,
  );
  const inflation = temporalInflation(all);
  const inflated = all.map((row) => ({ ...row, covariance: scaled(row.covariance, inflation) }));
  const common = typicalCovariance(inflated);
  const atAnchor: HeldRow = { ...restAt(plan.anchor), covariance: common };
  const own = new Map([atAnchor, ...inflated].map((row) => [row.frame, row] as const));
  const rowsIn = (frames: readonly FrameNumber[]) => frames.flatMap((frame) => own.get(frame) ?? []);
  const before = rowsIn(piece.before).findLast(isSeen);
  const start = before ?? rowsIn(segment.frames).find(isSeen) ?? atAnchor;
  const now = rowsIn(segment.frames).filter(({ frame }) => frame !== start.frame);
  const held = carried === null ? null : heldUnder(carried.under, [start, ...now], plan.anchor);
  const relative =
    carried === null
      ? now.map((row) => from(start, row))
      : held === null
        ? now.map((row) => beyondMoved(start, row, carried.carrier, plan, source))
        : fromHeld(start, now, plan, held);
  return {
    segment,
    anchor: start.frame,
    shape: { outline: plan.outline, holes: plan.holes },
    centroid: plan.centroid,
    templateFrames: plan.templateFrames,
    anchorCovariance: start.covariance,
    joints: [],
    rows: relative.map((row) => ({ ...row, anchor: start.frame })),
    worn: {
      piece: segment.wears ?? "",
      firstTime: before === undefined,
      carrierHeld: carried === null || held !== null,
    },
  };
}

const restAt = (frame: FrameNumber): HeldRow => ({
  frame,
  dx: 0,
  dy: 0,
  turn: 0,
  rawDx: 0,
  rawDy: 0,
  covariance: ZERO,
  leftOver: 0,
  state: "ok",
  reason: "",
});

const from = (start: HeldRow, row: HeldRow): HeldRow => ({
  ...row,
  dx: row.dx - start.dx,
  dy: row.dy - start.dy,
  turn: row.turn - start.turn,
});

/** The carrier's hold that has all of these frames and the piece's anchor; null where it moved in between. */
function heldUnder(
  under: readonly SegmentSeries[],
  rows: readonly HeldRow[],
  anchor: FrameNumber,
): SegmentSeries | null {
  const needed = [anchor, ...rows.map(({ frame }) => frame)];
  const isIn = (series: SegmentSeries) => needed.every((frame) => series.segment.frames.includes(frame));
  return under.find((series) => series.templateFrames.length > 0 && isIn(series)) ?? null;
}

function fromHeld(start: HeldRow, now: readonly HeldRow[], plan: HoldPlan, held: SegmentSeries): HeldRow[] {
  const hold: CarrierHold = {
    centroid: held.centroid,
    anchor: held.anchor,
    rows: new Map(held.rows.map((row) => [row.frame, row] as const)),
  };
  const [first, ...rest] = carrierOut([start, ...now], plan.anchor, plan.centroid, hold);
  return rest.map((row) => from(first, row));
}

/** The row less what the carrier's way, summed up frame by frame, did at the piece. */
function beyondMoved(
  start: HeldRow,
  row: HeldRow,
  { path }: AnalysedPart,
  plan: HoldPlan,
  { tracker }: SeriesSource,
): HeldRow {
  const there: [number, number] = [plan.centroid[0] + start.rawDx, plan.centroid[1] + start.rawDy];
  let at = there;
  let turn = 0;
  let way = 0;
  let spread = ZERO;
  let last = start.frame;
  for (const frame of tracker.numbers) {
    if (frame <= start.frame || frame > row.frame) continue;
    const motion = path.motions.get(frame);
    if (motion !== undefined) {
      const [u, v] = [at[0] - motion.x, at[1] - motion.y];
      const next = path.carryPoint(at, last, frame, tracker.numbers);
      way += Math.hypot(next[0] - at[0], next[1] - at[1]);
      at = next;
      turn += motion.turn;
      spread = plus(spread, [
        motion.varX + v * v * motion.varTurn,
        -u * v * motion.varTurn,
        -v * motion.varTurn,
        motion.varY + u * u * motion.varTurn,
        u * motion.varTurn,
        motion.varTurn,
      ]);
    }
    last = frame;
  }
  const model = (CARRIER_ERROR * way) ** 2;
  return {
    ...row,
    dx: row.rawDx - start.rawDx - (at[0] - there[0]),
    dy: row.rawDy - start.rawDy - (at[1] - there[1]),
    turn: row.turn - start.turn - turn,
    covariance: plus(row.covariance, plus(spread, [model, 0, 0, model, 0, (CARRIER_ERROR * turn) ** 2])),
  };
}
