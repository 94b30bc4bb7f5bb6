import type { PivotRegion } from "../../reports/pivot-region.ts";
import type { Place } from "./place.ts";

/** Where the pivot may lie, at 95 %: a thin dotted line about it, no ground, so that the picture stays to be seen. */
export function paintPivotRegion(
  context: CanvasRenderingContext2D,
  { outline, open }: PivotRegion,
  place: Place,
  ink: { readonly signal: string; readonly dark: string },
): void {
  const path = new Path2D();
  for (const [x, y] of outline) path.lineTo(place.left + x * place.scale, place.top + y * place.scale);
  path.closePath();
  context.lineJoin = "round";
  for (const [width, colour] of [
    [3.5, ink.dark],
    [1.5, ink.signal],
  ] as const) {
    context.lineWidth = width;
    context.strokeStyle = colour;
    // A region that goes on has gaps that are wider than its dashes.
    context.setLineDash(open ? [2, 6] : [5, 3]);
    context.stroke(path);
  }
  context.setLineDash([]);
}
