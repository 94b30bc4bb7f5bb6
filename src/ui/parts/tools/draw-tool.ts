import simplify from "simplify-js";
import type { Point } from "../../../model/index.ts";
import type { TablePoint, TableTool } from "../../table/tool.ts";
import { closeRing } from "../closing.ts";
import { drawing, pointAt } from "../drawing.ts";
import { dropSnap, snapping } from "../snapping.ts";

// Corner by corner with clicks, or round the part with the button held: both in one drawing, as it comes.

/** CSS px within which a place counts as the first corner, and from which a press is a stroke. */
const NEAR = 10;
const STROKE = 5;
/** CSS px that a freehand stroke may be simplified by: finer than a hand draws. */
const TOLERANCE = 1.2;

/** Places of the stroke that is being drawn; null between strokes. */
let stroke: [number, number][] | null = null;
let begun: { readonly x: number; readonly y: number; readonly isFirst: boolean } | null = null;

const simplified = (places: readonly (readonly [number, number])[], tolerance: number): Point[] =>
  simplify(
    places.map(([x, y]) => ({ x, y })),
    tolerance,
    true,
  ).map(({ x, y }) => pointAt(x, y));

/** The stroke as it is now, for whoever paints it. */
export const strokeNow = (): readonly (readonly [number, number])[] => stroke ?? [];

const isNear = (a: readonly [number, number] | undefined, at: { x: number; y: number }, scale: number): boolean =>
  a !== undefined && Math.hypot(a[0] - at.x, a[1] - at.y) * scale <= NEAR;

/** Sets a corner, or closes the ring where it is on the first one. */
export function setCorner(x: number, y: number, scale: number): void {
  const { points } = drawing.get();
  if (points.length >= 3 && isNear(points[0], { x, y }, scale)) closeRing();
  else drawing.set({ points: [...points, pointAt(x, y)] });
}

export const drawTool: TableTool = {
  cursor: "crosshair",
  down({ x, y }) {
    // A new loop in place of one that was looked into already.
    if (snapping.get().state !== "idle") {
      dropSnap();
      drawing.set({ points: [] });
    }
    begun = { x, y, isFirst: drawing.get().points.length === 0 };
    stroke = null;
    return true;
  },
  move({ x, y, place }: TablePoint) {
    drawing.set({ cross: pointAt(x, y), byKeys: false });
    if (begun === null) return true;
    if (stroke === null && Math.hypot(x - begun.x, y - begun.y) * place.scale >= STROKE) stroke = [[begun.x, begun.y]];
    stroke?.push([x, y]);
    return true;
  },
  up({ x, y, place }) {
    const from = begun;
    const drawn = stroke;
    begun = null;
    stroke = null;
    if (from === null) return true;
    if (drawn === null) {
      setCorner(x, y, place.scale);
      return true;
    }
    drawing.set({ points: [...drawing.get().points, ...simplified(drawn, TOLERANCE / place.scale)] });
    // Once round in one stroke is a whole outline; so is a stroke that comes back to where the drawing began.
    if (from.isFirst || isNear(drawing.get().points[0], { x, y }, place.scale)) closeRing();
    return true;
  },
  doubleClick() {
    closeRing();
    return true;
  },
  cancel() {
    begun = null;
    stroke = null;
  },
};
