import { session } from "../../state/session.ts";
import { view } from "../../state/view.ts";
import type { Place } from "../../table/place.ts";
import type { TablePoint, TableTool } from "../../table/tool.ts";
import { drawing, type ToolId } from "../drawing.ts";
import { drawTool, strokeNow } from "./draw-tool.ts";
import { paintCorners, paintCross, paintLine, paintTarget } from "./paint-drawing.ts";

const tools: Partial<Readonly<Record<ToolId, TableTool>>> = { draw: drawTool };

const now = (): TableTool | null => {
  const { tool } = drawing.get();
  return tool === null ? null : (tools[tool] ?? null);
};

function paint(context: CanvasRenderingContext2D, place: Place): void {
  const { points, cross, byKeys, tool } = drawing.get();
  if (tool === null) return;
  const stroke = strokeNow();
  const line = [...points, ...stroke, ...(cross !== null && points.length > 0 && stroke.length === 0 ? [cross] : [])];
  paintLine(context, line, place);
  paintCorners(context, points, place);
  if (points.length >= 3) paintTarget(context, points[0], place);
  if (cross !== null && byKeys) paintCross(context, cross, place);
}

/** The Parts screen's tool on the table: whichever is chosen, and what is drawn so far. */
export const toolInHand: TableTool = {
  get cursor() {
    return now()?.cursor ?? "";
  },
  down: (at: TablePoint) => now()?.down?.(at) ?? false,
  move: (at: TablePoint) => now()?.move?.(at) ?? false,
  up: (at: TablePoint) => now()?.up?.(at) ?? false,
  doubleClick: (at: TablePoint) => now()?.doubleClick?.(at) ?? false,
  cancel: () => now()?.cancel?.(),
  paint,
};

/** Where the cross begins: in the middle of what is looked at, px of the frame. */
export function middleOfLook(): readonly [number, number] {
  const { look } = view.get();
  const { shot } = session.get().report ?? { shot: { width: 0, height: 0 } };
  return [look.x * shot.width, look.y * shot.height];
}
