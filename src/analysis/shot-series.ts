import { carrierChain, type Mark, type Part } from "../model/index.ts";
import type { HoldPlan } from "./contract.ts";
import { frameNumber, type FrameNumber } from "../units/index.ts";
import { type CarrierHold, carrierOut } from "./carrier-out.ts";
import { plus, scaled } from "./covariance.ts";
import { cameraOut, type HeldRow, temporalInflation, typicalCovariance } from "./hold-rows.ts";
import { hiddenSeries, movingSeries } from "./moving-series.ts";
import { swappedSeries } from "./swapped-series.ts";
import { coveredRows } from "./seen-again.ts";
import type { Shape } from "./part-path.ts";
import { centroidOf, type SegmentSeries, type SeriesSource } from "./segment-series.ts";
import { isHeld, type Segment, segmentsOf } from "./segments.ts";
import type { AnalysedPart } from "./shot-tracker.ts";

/** Frames averaged into a template: the anchor and the three after it. */
export const TEMPLATE_FRAMES = 4;

export const holdId = (part: string, anchor: FrameNumber): string => `${part}@${anchor}`;

/** Cuts what rides on a carrier wherever the carrier changes between holding and moving. */
function cutByCarrier(segment: Segment, carrier: readonly Segment[]): Segment[] {
  if (segment.intent !== "rides") return [segment];
  const out: Segment[] = [];
  for (const piece of carrier) {
    const frames = segment.frames.filter((frame) => piece.frames.includes(frame));
    if (frames.length > 0) out.push({ ...segment, frames, afterMove: piece.afterMove || segment.afterMove });
  }
  return out.length === 0 ? [segment] : out;
}

/** The segments of every part, in the order of the parts; what rides is cut by its carrier's own segments. */
export function allSegments(
  parts: readonly AnalysedPart[],
  frames: readonly FrameNumber[],
  marks: readonly Mark[],
): Map<string, Segment[]> {
  const plain = new Map<string, Segment[]>();
  for (const { part, moves } of parts) plain.set(part.id, segmentsOf(part, frames, moves, marks));
  const out = new Map<string, Segment[]>();
  const resolve = (part: Part): Segment[] => {
    const known = out.get(part.id);
    if (known !== undefined) return known;
    const own = plain.get(part.id) ?? [];
    const carrier = parts.find((other) => other.part.id === part.carrier)?.part;
    const cut = carrier === undefined ? own : own.flatMap((segment) => cutByCarrier(segment, resolve(carrier)));
    out.set(part.id, cut);
    return cut;
  };
  for (const { part } of parts) resolve(part);
  return out;
}

/**
 * The hold to measure for one held segment, from a shape at its anchor.
 * @param covers outlines of what is swapped on it: those pixels are another surface
 */
export function holdPlan(segment: Segment, shape: Shape, covers: readonly Shape["outline"][] = []): HoldPlan {
  const { frames, part, piece } = segment;
  return {
    id: holdId(part.id, frames[0]),
    part: part.id,
    anchor: frames[0],
    templateFrames: frames.slice(0, TEMPLATE_FRAMES),
    from: frames[Math.min(1, frames.length - 1)],
    to: piece?.frames.at(-1) ?? segment.resetTo?.at(-1) ?? frames[frames.length - 1],
    ...(piece === undefined ? {} : { only: piece.frames }),
    outline: shape.outline,
    holes: [...shape.holes, ...covers],
    centroid: centroidOf(shape),
  };
}

/** Whether what rides is measured frame to frame, since its carrier moves in this segment. */
function carrierMoves(segment: Segment, segments: ReadonlyMap<string, Segment[]>): boolean {
  if (segment.intent !== "rides" || segment.part.carrier === null) return false;
  const carrier = segments.get(segment.part.carrier)?.find((piece) => piece.frames.includes(segment.frames[0]));
  if (carrier === undefined) return false;
  return carrier.intent === "moves" || carrierMoves(carrier, segments);
}

export function needsTemplate(segment: Segment, segments: ReadonlyMap<string, Segment[]>): boolean {
  const { piece } = segment;
  // A piece has one template, made when it is first worn.
  if (piece !== undefined) return piece.frames.length > 1 && piece.anchor === segment.frames[0];
  return isHeld(segment.intent) && segment.frames.length > 1 && !carrierMoves(segment, segments);
}

/** A held segment as it was measured, the camera taken out; its carrier is not. */
export function heldSeries(source: SeriesSource, segment: Segment, plan: HoldPlan): SegmentSeries {
  const { cameras, width, height } = source;
  const all = cameraOut(
    source.measured.get(plan.id) ?? new Map(),
    [...segment.frames, ...(segment.resetTo ?? [])],
    plan.anchor,
    plan.centroid,
    cameras,
    width,
    height,
    plan.templateFrames,
  );
  const last = segment.frames[segment.frames.length - 1];
  const rows = coveredRows(all.filter(({ frame }) => frame <= last));
  const inflation = temporalInflation(rows);
  const inflated = rows.map((row) => ({ ...row, covariance: scaled(row.covariance, inflation) }));
  return {
    segment,
    anchor: plan.anchor,
    shape: { outline: plan.outline, holes: plan.holes },
    centroid: plan.centroid,
    templateFrames: plan.templateFrames,
    anchorCovariance: typicalCovariance(inflated),
    joints: jointsAt(source, segment.part, plan.anchor),
    rows: inflated.map((row) => ({ ...row, anchor: plan.anchor })),
    ...(segment.resetTo === undefined
      ? {}
      : {
          reset: resetOf(
            segment.resetTo[0],
            inflated,
            all.filter(({ frame }) => frame > last),
            plan,
            inflation,
          ),
        }),
  };
}

/** From the last frame of a hold in which the part was seen to the first one after its reset. */
function resetOf(
  at: FrameNumber,
  before: readonly HeldRow[],
  after: readonly HeldRow[],
  { anchor }: HoldPlan,
  inflation: number,
): NonNullable<SegmentSeries["reset"]> {
  const isSeen = (row: HeldRow) => (row.state === "ok" || row.state === "weak") && Number.isFinite(row.dx);
  const good = before.findLast(isSeen);
  const first = after.find(isSeen);
  const nan = Number.NaN;
  const against = good?.frame ?? anchor;
  if (first === undefined) {
    const reason = after.find(({ reason: why }) => why !== "")?.reason ?? "it was not found again";
    return { frame: at, against, dx: nan, dy: nan, turn: nan, covariance: [nan, nan, nan, nan, nan, nan], reason };
  }
  return {
    frame: at,
    against,
    dx: first.dx - (good?.dx ?? 0),
    dy: first.dy - (good?.dy ?? 0),
    turn: first.turn - (good?.turn ?? 0),
    covariance: plus(scaled(first.covariance, inflation), good?.covariance ?? first.covariance),
    reason: "",
  };
}

/** Joints along the part's chain of carriers, brought to a frame by the motion of the part that they belong to. */
function jointsAt(
  source: SeriesSource,
  part: Part,
  frame: FrameNumber,
): { id: string; name: string; at: readonly [number, number] }[] {
  const chain = carrierChain(source.sheet, part.id);
  const owners: readonly Part[] = chain.length > 0 ? chain : [part];
  return owners.flatMap((owner) => {
    const analysed = source.parts.find((other) => other.part.id === owner.id);
    if (analysed === undefined) return [];
    return analysed.joints.map(({ id, name, at, frame: told }) => ({
      id,
      name,
      at: analysed.path.carryPoint(at, told, frame, source.tracker.numbers),
    }));
  });
}

/** The series of every segment of every part. Carriers come before what rides on them. */
export function shotSeries(source: SeriesSource, segments: ReadonlyMap<string, Segment[]>): SegmentSeries[] {
  const byPart = new Map<string, SegmentSeries[]>();
  const make = (analysed: AnalysedPart): SegmentSeries[] => {
    const id = analysed.part.id;
    const known = byPart.get(id);
    if (known !== undefined) return known;
    const made: SegmentSeries[] = [];
    byPart.set(id, made);
    const carrier = source.parts.find((other) => other.part.id === analysed.part.carrier);
    const under = carrier === undefined ? [] : make(carrier);
    for (const segment of segments.get(id) ?? []) {
      if (segment.intent === "hidden") {
        made.push(hiddenSeries(segment, analysed));
        continue;
      }
      if (segment.piece !== undefined) {
        const plan = source.holds.get(holdId(id, segment.piece.anchor));
        if (plan !== undefined && source.measured.has(plan.id)) {
          made.push(
            swappedSeries(source, segment, segment.piece, plan, carrier === undefined ? null : { carrier, under }),
          );
        }
        continue;
      }
      if (!needsTemplate(segment, segments)) {
        made.push(movingSeries(source, segment, analysed));
        continue;
      }
      const plan = [...source.holds.values()].find(
        (hold) => hold.part === id && segment.frames.includes(hold.anchor) && source.measured.has(hold.id),
      );
      if (plan === undefined) continue;
      const series = heldSeries(source, segment, plan);
      made.push(segment.intent === "rides" ? ridden(series, under) : series);
    }
    return made;
  };
  for (const analysed of source.parts) make(analysed);
  return source.parts.flatMap((analysed) => byPart.get(analysed.part.id) ?? []);
}

function ridden(series: SegmentSeries, under: readonly SegmentSeries[]): SegmentSeries {
  const carrier = under.find(
    (other) => other.segment.frames.includes(series.anchor) && other.templateFrames.length > 0,
  );
  if (carrier === undefined) return series;
  const hold: CarrierHold = {
    centroid: carrier.centroid,
    anchor: carrier.anchor,
    rows: new Map(carrier.rows.map((row) => [row.frame, row] as const)),
  };
  const anchors = new Map(series.rows.map((row) => [row.frame, row.anchor] as const));
  const rows = carrierOut(series.rows, series.anchor, series.centroid, hold);
  return {
    ...series,
    rows: rows.map((row) => ({ ...row, anchor: anchors.get(row.frame) ?? frameNumber(series.anchor) })),
  };
}
