import type { PivotRegion } from "../../reports/pivot-region.ts";
import { paintWords } from "./paint.ts";
import type { Place } from "./place.ts";

/** A region smaller than the cross that marks the pivot is no more than that, screen px across. */
const HIDDEN = 24;
/** From this size on there is room to say what the line is, screen px across. */
const NAMED = 44;

/** Where the pivot may lie, at 95 %: a thin dotted line about it, no ground, so that the picture stays to be seen. */
export function paintPivotRegion(
  context: CanvasRenderingContext2D,
  { outline, open }: PivotRegion,
  place: Place,
  ink: { readonly signal: string; readonly dark: string },
): void {
  const xs = outline.map(([x]) => place.left + x * place.scale);
  const ys = outline.map(([, y]) => place.top + y * place.scale);
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const across = Math.max(right - left, bottom - top);
  if (across < HIDDEN) return;
  const path = new Path2D();
  for (const [k, x] of xs.entries()) path.lineTo(x, ys[k]);
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
  if (across >= NAMED)
    paintWords(
      context,
      open ? "it turned about a place in here or beyond" : "it turned about a place in here, 95 %",
      right + 16,
      (top + bottom) / 2,
    );
}
