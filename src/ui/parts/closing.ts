import { addHole, addPart, putOutline } from "../../model/edit/index.ts";
import type { Point } from "../../model/index.ts";
import { frameNumber } from "../../units/index.ts";
import { dropSnap, lookForEdge, snapping } from "./snapping.ts";
import { edit } from "../state/sheet-editing.ts";
import { view } from "../state/view.ts";
import { chosenPart, outlineNow } from "./chosen.ts";
import { drawing, dropPoints, type Target, takeTool } from "./drawing.ts";

/** Where a refused drawing is told. */
export const ON_TABLE = "table";

/** Corners that lie on each other, as a double click leaves them, are one. */
const withoutRepeats = (points: readonly Point[]): Point[] =>
  points.filter(([x, y], i) => {
    const [px, py] = points.at(i - 1) ?? [Number.NaN, Number.NaN];
    return points.length === 1 || Math.hypot(x - px, y - py) > 1e-9;
  });

/** Puts a ring into the sheet. Returns whether it was taken; a refused one stays on the table, to be mended. */
function takeRing(ring: readonly Point[], target: Target, holes: readonly (readonly Point[])[] = []): boolean {
  const points = withoutRepeats(ring);
  const frame = frameNumber(view.get().frame);
  if (target === "part") {
    let id: string | undefined;
    const isDone = edit(
      "drew a part",
      (sheet, context) => {
        const added = addPart(sheet, frame, points, context, {}, holes);
        id = added.id;
        return added;
      },
      ON_TABLE,
    );
    if (isDone && id !== undefined) {
      view.set({ strip: id, flag: null });
      drawing.set({ fresh: id });
    }
    return isDone;
  }
  const part = chosenPart();
  if (part === null) return false;
  if (target === "hole") {
    return edit(
      `cut a hole in ${part.name}`,
      (sheet, context) => putOutline(sheet, part.id, addHole(outlineNow(part), points), context),
      ON_TABLE,
    );
  }
  return edit(
    `drew ${part.name} at frame ${frame}`,
    (sheet, context) => putOutline(sheet, part.id, { frame, points, holes: [] }, context),
    ON_TABLE,
  );
}

/** Takes the edge that was found within a rough loop as a new part, holes and all: one edit. */
export function takeSnap(): void {
  const { state, outline, holes } = snapping.get();
  if (state !== "found") return;
  if (takeRing(outline, "part", holes)) takeTool(null);
}

/** Closes what is being drawn, where it has three corners; a rough loop is looked into instead. */
export function closeRing(): void {
  const { points, target, tool } = drawing.get();
  if (points.length < 3) return;
  if (tool === "snap") {
    void lookForEdge();
    return;
  }
  if (takeRing(points, target)) takeTool(null);
}

/** Gives up what is being drawn; with nothing drawn puts the tool away. */
export function giveUp(): void {
  dropSnap();
  if (drawing.get().points.length > 0) dropPoints();
  else takeTool(null);
}
