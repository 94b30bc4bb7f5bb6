import { session } from "../../state/session.ts";
import { view } from "../../state/view.ts";
import type { Place } from "../../table/place.ts";
import type { TablePoint, TableTool } from "../../table/tool.ts";
import { drawing, type ToolId } from "../drawing.ts";
import { chosenPart } from "../chosen.ts";
import { snapping } from "../snapping.ts";
import { jointsNow } from "../joints-now.ts";
import { cornersTool, outlineInHand } from "./corners-tool.ts";
import { drawTool, strokeNow } from "./draw-tool.ts";
import { jointTool } from "./joint-tool.ts";
import { lineTool } from "./line-tool.ts";
import { paintCorners, paintCross, paintJoint, paintLine, paintTarget } from "./paint-drawing.ts";

const tools: Partial<Readonly<Record<ToolId, TableTool>>> = {
  draw: drawTool,
  snap: drawTool,
  corners: cornersTool,
  joint: jointTool,
  length: lineTool,
  plumb: lineTool,
};

const now = (): TableTool | null => {
  const { tool } = drawing.get();
  return tool === null ? null : (tools[tool] ?? null);
};

/** The joints of the chosen part, the one that is dragged where it is dragged to. */
function paintJoints(context: CanvasRenderingContext2D, place: Place): void {
  const part = chosenPart();
  const { joint } = drawing.get();
  if (part === null) return;
  for (const { joint: one, at } of jointsNow(part)) {
    const isMeant = joint?.id === one.id;
    paintJoint(context, (isMeant ? joint.at : null) ?? at, place, isMeant);
  }
}

function paint(context: CanvasRenderingContext2D, place: Place): void {
  const { points, cross, byKeys, tool, corner } = drawing.get();
  if (tool === null || tool === "joint") paintJoints(context, place);
  if (tool === "corners") {
    const outline = outlineInHand();
    for (const [ring, corners] of (outline === null ? [] : [outline.points, ...outline.holes]).entries()) {
      paintLine(context, corners, place, { closed: true });
      paintCorners(context, corners, place, corner?.ring === ring ? corner.index : null);
    }
    return;
  }
  if (tool === null) return;
  const snap = snapping.get();
  if (tool === "snap" && snap.state === "found") {
    paintLine(context, points, place, { closed: true, dash: [3, 5] });
    for (const ring of [snap.outline, ...snap.holes]) paintLine(context, ring, place, { closed: true });
    return;
  }
  const stroke = strokeNow();
  const isLine = tool === "length" || tool === "plumb";
  const isOpen = cross !== null && stroke.length === 0 && points.length > 0 && !(isLine && points.length === 2);
  paintLine(context, [...points, ...stroke, ...(isOpen ? [cross] : [])], place);
  paintCorners(context, points, place);
  if (!isLine && points.length >= 3) paintTarget(context, points[0], place);
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
