import type { Point } from "../../../model/index.ts";
import type { TableTool } from "../../table/tool.ts";
import { drawing, pointAt } from "../drawing.ts";

// A line between two places: a known length, or a plumb line. Dragged, or clicked end by end.

const DRAG = 5;
let begun: { readonly x: number; readonly y: number } | null = null;

/** Sets the next end of the line; a third one begins it anew. */
export function setEnd(at: Point): void {
  const { points } = drawing.get();
  drawing.set({ points: points.length >= 2 ? [at] : [...points, at] });
}

export const lineTool: TableTool = {
  cursor: "crosshair",
  down({ x, y }) {
    begun = { x, y };
    return true;
  },
  move({ x, y, place }) {
    drawing.set({ cross: pointAt(x, y), byKeys: false });
    if (begun !== null && Math.hypot(x - begun.x, y - begun.y) * place.scale > DRAG)
      drawing.set({ points: [pointAt(begun.x, begun.y), pointAt(x, y)] });
    return true;
  },
  up({ x, y, place }) {
    const from = begun;
    begun = null;
    if (from !== null && Math.hypot(x - from.x, y - from.y) * place.scale <= DRAG) setEnd(pointAt(x, y));
    return true;
  },
  doubleClick: () => true,
  cancel() {
    begun = null;
    drawing.set({ points: [] });
  },
};
