import {
  type Corner,
  cornerNear,
  edgeNear,
  insertCorner,
  moveCorner,
  putOutline,
  removeCorner,
  ringsOf,
} from "../../../model/edit/index.ts";
import type { Outline, Part, Point } from "../../../model/index.ts";
import { edit, sheetEditing } from "../../state/sheet-editing.ts";
import type { TableTool } from "../../table/tool.ts";
import { chosenPart, outlineNow } from "../chosen.ts";
import { ON_TABLE } from "../closing.ts";
import { drawing, pointAt } from "../drawing.ts";

// Corners of the chosen part at this frame: dragged, added on an edge, taken away. Where no outline is drawn at the
// frame, the one that was carried there becomes one.

/** CSS px within which a corner or an edge is meant. */
const REACH = 10;

const put = (part: Part, outline: Outline, what: string, merge = ""): boolean =>
  edit(
    `${what} of ${part.name} at frame ${outline.frame}`,
    (sheet, context) => putOutline(sheet, part.id, outline, context),
    ON_TABLE,
    merge,
  );

export function removeCornerAt(corner: Corner): void {
  const part = chosenPart();
  if (part === null) return;
  const outline = removeCorner(outlineNow(part), corner);
  if (outline === null) {
    sheetEditing.set({ refused: { field: ON_TABLE, sentences: ["An outline keeps three corners at least."] } });
    return;
  }
  if (put(part, outline, "took a corner away")) drawing.set({ corner: null });
}

export function insertAfter(corner: Corner): void {
  const part = chosenPart();
  if (part === null) return;
  const outline = outlineNow(part);
  const ring = ringsOf(outline)[corner.ring];
  const [a, b] = [ring[corner.index], ring[(corner.index + 1) % ring.length]];
  if (put(part, insertCorner(outline, corner, pointAt((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)), "added a corner"))
    drawing.set({ corner: { ...corner, index: corner.index + 1 } });
}

/** Moves the chosen corner by px of the frame; many small moves in a row are one edit. */
export function nudgeCorner(corner: Corner, dx: number, dy: number): void {
  const part = chosenPart();
  if (part === null) return;
  const outline = outlineNow(part);
  const at = ringsOf(outline)[corner.ring]?.[corner.index];
  if (at === undefined) return;
  const moved = moveCorner(outline, corner, pointAt(at[0] + dx, at[1] + dy));
  put(part, moved, "moved a corner", `${part.id} ${outline.frame} ${corner.ring} ${corner.index}`);
}

/** The next corner, or the one before, round and round through the outline and its holes. */
export function nextCorner(by: 1 | -1): void {
  const part = chosenPart();
  if (part === null) return;
  const all = ringsOf(outlineNow(part)).flatMap((ring, i) => ring.map((_, index) => ({ ring: i, index })));
  const { corner } = drawing.get();
  const at = all.findIndex((one) => one.ring === corner?.ring && one.index === corner.index);
  drawing.set({
    corner: all[at === -1 ? (by === 1 ? 0 : all.length - 1) : (at + by + all.length) % all.length] ?? null,
    byKeys: true,
  });
}

/** The outline to draw corners on: as it is dragged, or as it is. */
export function outlineInHand(): Outline | null {
  const part = chosenPart();
  return drawing.get().held ?? (part && outlineNow(part));
}

let dragged: Corner | null = null;
let hasMoved = false;

export const cornersTool: TableTool = {
  cursor: "default",
  hidesOutlines: false,
  down({ x, y, place }) {
    const part = chosenPart();
    if (part === null) return false;
    const outline = outlineNow(part);
    const at: Point = pointAt(x, y);
    const corner = cornerNear(outline, at, REACH / place.scale);
    hasMoved = false;
    if (corner !== null) {
      dragged = corner;
      drawing.set({ corner, held: outline, byKeys: false });
      return true;
    }
    const edge = edgeNear(outline, at, REACH / place.scale);
    if (edge === null) return false;
    dragged = { ...edge, index: edge.index + 1 };
    hasMoved = true;
    drawing.set({ corner: dragged, held: insertCorner(outline, edge, at), byKeys: false });
    return true;
  },
  move({ x, y, place }) {
    const { held } = drawing.get();
    if (dragged !== null && held !== null) {
      hasMoved = true;
      drawing.set({ held: moveCorner(held, dragged, pointAt(x, y)) });
      return true;
    }
    const part = chosenPart();
    if (part === null) return false;
    const corner = cornerNear(outlineNow(part), pointAt(x, y), REACH / place.scale);
    if (!drawing.get().byKeys || corner !== null) drawing.set({ corner, byKeys: false });
    return corner !== null;
  },
  up() {
    const { held } = drawing.get();
    const part = chosenPart();
    dragged = null;
    drawing.set({ held: null });
    if (part !== null && held !== null && hasMoved) put(part, held, "moved a corner");
    return true;
  },
  doubleClick({ x, y, place }) {
    const part = chosenPart();
    const corner = part && cornerNear(outlineNow(part), pointAt(x, y), REACH / place.scale);
    if (corner === null) return false;
    removeCornerAt(corner);
    return true;
  },
  cancel() {
    dragged = null;
    drawing.set({ held: null });
  },
};
