import { type Carry, carryOf, carryOn, STAY } from "../measure/carry.ts";
import { NARROW_SIZE, NODE_SIZE, NODE_STEP, type NodeLattice, nodeLattice } from "../measure/left-over.ts";
import { polygonCentroid, type Polygon } from "../measure/mask.ts";
import type { Part, PartKind } from "../model/index.ts";
import type { FrameNumber } from "../units/index.ts";
import type { HoldPlan, LeftOverPlan, LeftOverStep } from "./contract.ts";
import type { PartMeasurement } from "./measurement.ts";
import type { Shape } from "./part-path.ts";
import type { RegionMotion } from "./region-motion.ts";
import { holdId, needsTemplate } from "./shot-series.ts";
import type { Segment } from "./segments.ts";
import type { AnalysedPart } from "./shot-tracker.ts";

/** Kinds of parts whose surface can slip over what is under it. */
const SURFACES: ReadonlySet<PartKind> = new Set(["costume", "skin", "hair", "head", "face", "body"]);
/** Nodes of a carrier's that tell its motion well, px. */
const PLENTY = 150;

/** One surface in one stretch of frames: what is measured, and what the judge has to know of it. */
export interface LeftOverSurface {
  readonly plan: LeftOverPlan;
  readonly segment: Segment;
  /** Measured against the anchor; else from frame to frame. */
  readonly held: boolean;
  readonly lattice: NodeLattice;
  /** Nodes of its carrier; null where that shows too little of itself. */
  readonly carrier: NodeLattice | null;
}

export const carryOfMotion = (motion: RegionMotion | undefined): Carry =>
  motion === undefined ? STAY : carryOf(motion.x, motion.y, motion.dx, motion.dy, motion.turn, motion.scale);

/** Ids of the carriers of a part, nearest first. */
export function carriersOf(part: Part, parts: readonly AnalysedPart[]): string[] {
  const chain: string[] = [];
  for (let next = part.carrier; next !== null && !chain.includes(next); ) {
    chain.push(next);
    next = parts.find((other) => other.part.id === next)?.part.carrier ?? null;
  }
  return chain;
}

/** Parts that lie over a surface, as far as the sheet tells: what rides on it, and smaller ones that it doesn't ride on. */
export function coversOf(analysed: AnalysedPart, area: number, at: FrameNumber, parts: readonly AnalysedPart[]) {
  const chain = carriersOf(analysed.part, parts);
  return parts.filter((other) => {
    if (other === analysed || chain.includes(other.part.id) || other.part.kind === "set") return false;
    if (carriersOf(other.part, parts).includes(analysed.part.id)) return true;
    return polygonCentroid(other.path.shapeNear(at).outline).area < area;
  });
}

/** The surfaces of all segments in which they can be measured. */
export function leftOverSurfaces(
  parts: readonly AnalysedPart[],
  segments: ReadonlyMap<string, Segment[]>,
  frames: readonly FrameNumber[],
  holds: ReadonlyMap<string, HoldPlan>,
  measured: ReadonlyMap<string, ReadonlyMap<FrameNumber, PartMeasurement>>,
  width: number,
  height: number,
): LeftOverSurface[] {
  const out: LeftOverSurface[] = [];
  for (const analysed of parts) {
    const { part } = analysed;
    if (part.kind === "found" || !SURFACES.has(part.kind)) continue;
    for (const segment of segments.get(part.id) ?? []) {
      if (segment.intent === "hidden" || segment.intent === "swapped" || segment.frames.length < 2) continue;
      const held = needsTemplate(segment, segments);
      // What is animated shows its first motion from the frame before.
      const before = held ? -1 : frames.indexOf(segment.frames[0]) - 1;
      const anchor = before >= 0 ? frames[before] : segment.frames[0];
      const shape = analysed.path.shapes.get(anchor) ?? analysed.path.shapeNear(anchor);
      const lattice = latticeOf(analysed, shape, anchor, parts, width, height);
      if (lattice === null) continue;
      const under = carrierLattice(analysed, shape, anchor, parts, width, height);
      const steps = held
        ? heldSteps(
            segment,
            anchor,
            measured.get(holdId(part.id, anchor)),
            holds.get(holdId(part.id, anchor))?.centroid,
          )
        : pairSteps(analysed, segment, anchor, frames);
      const plan: LeftOverPlan = {
        id: `${part.id}~${anchor}`,
        part: part.id,
        anchor,
        held,
        nodes: [lattice, ...(under === null ? [] : [under])].map(({ size, places }) => ({ size, places })),
        steps,
      };
      out.push({ plan, segment, held, lattice, carrier: under });
    }
  }
  return out;
}

function latticeOf(
  analysed: AnalysedPart,
  shape: Shape,
  at: FrameNumber,
  parts: readonly AnalysedPart[],
  width: number,
  height: number,
): NodeLattice | null {
  const { area } = polygonCentroid(shape.outline);
  const covers = coversOf(analysed, area, at, parts).map((other) => other.path.shapeNear(at).outline);
  return nodeLattice(shape.outline, shape.holes, covers, width, height);
}

/** Nodes of the carrier beside all that lies over it; none where it shows too little of itself. */
function carrierLattice(
  analysed: AnalysedPart,
  shape: Shape,
  at: FrameNumber,
  parts: readonly AnalysedPart[],
  width: number,
  height: number,
): NodeLattice | null {
  const carrier = parts.find((other) => other.part.id === analysed.part.carrier);
  if (carrier === undefined) return null;
  const under = carrier.path.shapeNear(at);
  const covers: Polygon[] = coversOf(carrier, polygonCentroid(under.outline).area, at, parts).map((other) =>
    other === analysed ? shape.outline : other.path.shapeNear(at).outline,
  );
  const wide = nodeLattice(under.outline, under.holes, covers, width, height, [NODE_SIZE]);
  if (wide !== null && wide.places.length >= 2 * PLENTY) return wide;
  // A narrow rim takes smaller subsets close together, or the lattice misses one side of it.
  return nodeLattice(under.outline, under.holes, covers, width, height, [NARROW_SIZE], NODE_STEP / 2) ?? wide;
}

/** Against the anchor; the motion is that of the hold, which may still have to be measured. */
function heldSteps(
  segment: Segment,
  anchor: FrameNumber,
  rows: ReadonlyMap<FrameNumber, PartMeasurement> | undefined,
  centroid: readonly [number, number] | undefined,
): LeftOverStep[] {
  return segment.frames
    .filter((frame) => frame !== anchor)
    .map((frame) => {
      const row = rows?.get(frame);
      const known = row !== undefined && centroid !== undefined && Number.isFinite(row.dx);
      return {
        frame,
        against: anchor,
        place: STAY,
        motion: known ? carryOf(centroid[0], centroid[1], row.dx, row.dy, row.turn) : null,
      };
    });
}

/** From frame to frame; the nodes go along with the part's own motion. */
function pairSteps(
  analysed: AnalysedPart,
  segment: Segment,
  anchor: FrameNumber,
  frames: readonly FrameNumber[],
): LeftOverStep[] {
  const steps: LeftOverStep[] = [];
  let place = STAY;
  let against = anchor;
  for (const frame of frames) {
    if (frame <= anchor || frame > segment.frames[segment.frames.length - 1]) continue;
    const motion = carryOfMotion(analysed.path.motions.get(frame));
    steps.push({ frame, against, place, motion });
    place = carryOn(place, motion);
    against = frame;
  }
  return steps;
}
