import { carrierChain, intentAt, type Part, type Sheet } from "../model/index.ts";
import type { FrameNumber } from "../units/index.ts";
import type { HoldPlan } from "./contract.ts";
import type { Shape, ShapeKey } from "./part-path.ts";
import { type Segment, segmentsOf } from "./segments.ts";
import { holdPlan, needsTemplate } from "./shot-series.ts";
import type { AnalysedPart, PartSource } from "./shot-tracker.ts";

// Which holds are measured, and by which outlines: first those whose outline is drawn at their anchor, and once the parts
// were followed all others.

/** A part with its places in px of the analysed frame. */
export function partSource(part: Part, scaleX: number, scaleY: number): PartSource {
  const point = ([x, y]: readonly [number, number]): [number, number] => [x * scaleX, y * scaleY];
  return {
    part,
    keys: part.outlines.map((outline) => ({
      frame: outline.frame,
      outline: outline.points.map(point),
      holes: outline.holes.map((hole) => hole.map(point)),
    })),
    joints: part.joints.map((joint) => ({ id: joint.id, name: joint.name, frame: joint.frame, at: point(joint.at) })),
  };
}

/** Holds whose outline at the anchor is the one drawn: nothing has to be measured before they can be. */
export function firstHolds(sources: readonly PartSource[], sheet: Sheet, frames: readonly FrameNumber[]): HoldPlan[] {
  const out: HoldPlan[] = [];
  const declared = sources.filter(({ part }) => frames.every((frame) => intentAt(part, frame) !== null));
  const segments = new Map<string, Segment[]>(
    declared.map(({ part }) => [part.id, segmentsOf(part, frames, [], sheet.marks)] as const),
  );
  for (const { part, keys } of declared) {
    for (const segment of segments.get(part.id) ?? []) {
      // What rides is cut by its carrier's segments: those may still have to be found.
      if (segment.intent === "rides" || !needsTemplate(segment, segments)) continue;
      // Where a swapped piece is when it is first worn depends on where its carrier went.
      if (segment.piece !== undefined && part.carrier !== null && !isHeldThroughout(part.carrier, sheet, frames))
        continue;
      const shape = drawnAt(part, keys, segment.frames[0], frames);
      if (shape === null) continue;
      const covers = swappedOn(part, sources, sheet, (source) => keyAt(source, segment.frames[0]));
      out.push(holdPlan(segment, shape, covers));
    }
  }
  return out;
}

/**
 * Holds that are still to be measured once the parts were followed through the shot.
 * @param watched parts, and what was found outside of them all
 * @param isMeasured whether a part, held since this anchor, was measured already
 */
export function furtherHolds(
  watched: readonly AnalysedPart[],
  segments: ReadonlyMap<string, Segment[]>,
  sources: readonly PartSource[],
  sheet: Sheet,
  isMeasured: (part: string, anchor: FrameNumber) => boolean,
): HoldPlan[] {
  const out: HoldPlan[] = [];
  for (const analysed of watched)
    for (const segment of segments.get(analysed.part.id) ?? []) {
      if (!needsTemplate(segment, segments)) continue;
      const anchor = segment.frames[0];
      if (isMeasured(analysed.part.id, anchor)) continue;
      const shapeOf = ({ path }: AnalysedPart): Shape => path.shapes.get(anchor) ?? path.shapeNear(anchor);
      const covers = swappedOn(analysed.part, sources, sheet, ({ part }) =>
        shapeOf(watched.find((one) => one.part === part)!),
      );
      out.push(holdPlan(segment, shapeOf(analysed), covers));
    }
  return out;
}

/** Outlines of what is swapped on a part, at first or second hand. */
function swappedOn(
  part: Part,
  sources: readonly PartSource[],
  sheet: Sheet,
  shapeOf: (source: PartSource) => Shape,
): Shape["outline"][] {
  return sources
    .filter((source) => source.part.intents.some(({ intent }) => intent === "swapped"))
    .filter((source) => source.part !== part && carrierChain(sheet, source.part.id).includes(part))
    .map((source) => shapeOf(source).outline);
}

function keyAt({ keys }: PartSource, frame: FrameNumber): Shape {
  return keys.findLast((key) => key.frame <= frame) ?? keys[0];
}

function isHeldThroughout(id: string, sheet: Sheet, frames: readonly FrameNumber[]): boolean {
  const carrier = sheet.parts.find((part) => part.id === id);
  return carrier !== undefined && frames.every((frame) => intentAt(carrier, frame)?.intent === "holds");
}

/** The outline at a frame where it is the one drawn, since the part did not move in between; else null. */
function drawnAt(
  part: Part,
  keys: readonly ShapeKey[],
  frame: FrameNumber,
  frames: readonly FrameNumber[],
): Shape | null {
  const key = keys.findLast((one) => one.frame <= frame) ?? keys[0];
  const low = Math.min(key.frame, frame);
  const high = Math.max(key.frame, frame);
  for (const between of frames) {
    if (between < low || between > high) continue;
    const intent = intentAt(part, between)?.intent;
    // At the later of the two the motion into that frame counts, at the earlier one it doesn't.
    if ((intent === "moves" || intent === "rides") && between !== low) return null;
    if (intent === "moves" && between === low && low !== high) return null;
  }
  return key;
}
