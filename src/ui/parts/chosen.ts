import { type Outline, type Part, type Point, shapeAt } from "../../model/index.ts";
import { outlineDrawnAt } from "../../model/edit/index.ts";
import { frameNumber } from "../../units/index.ts";
import { session } from "../state/session.ts";
import { view } from "../state/view.ts";
import { pointAt } from "./drawing.ts";

/** The part of the sheet that is chosen; null where none is, or one that was found in the pictures. */
export const chosenPart = (): Part | null =>
  session.get().sheet?.parts.find((part) => part.id === view.get().strip) ?? null;

const rounded = (points: readonly (readonly [number, number])[]): Point[] => points.map(([x, y]) => pointAt(x, y));

/** A part's outline at the frame that is up: the one drawn there, or the one carried there from another frame. */
export function outlineNow(part: Part): Outline {
  const { frame } = view.get();
  const drawn = outlineDrawnAt(part, frame);
  if (drawn !== null) return drawn;
  const { report, sheet, strips } = session.get();
  const index = strips?.indexOf.get(frame) ?? -1;
  const carried = report && shapeAt(report, sheet, part.id, index);
  if (!carried) return { ...part.outlines[0], frame: frameNumber(frame) };
  return { frame: frameNumber(frame), points: rounded(carried.points), holes: carried.holes.map(rounded) };
}
