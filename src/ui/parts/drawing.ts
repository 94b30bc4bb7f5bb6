import type { Corner } from "../../model/edit/index.ts";
import type { Outline, Point } from "../../model/index.ts";
import { px } from "../../units/index.ts";
import { createStore } from "../state/store.ts";
import { drawTable } from "../table/tool.ts";

/** What the pointer and the keys do on the table. Null: it pans and chooses, as on the Shot screen. */
export type ToolId = "draw" | "snap" | "corners" | "joint" | "length" | "plumb";

/** What a ring that is drawn becomes: a new part, the chosen part anew at this frame, a hole in it. */
export type Target = "part" | "outline" | "hole";

interface Drawing {
  readonly tool: ToolId | null;
  readonly target: Target;
  /** Corners set so far, px of the frame; two of them for a line. */
  readonly points: readonly Point[];
  /** Where the pointer is, or the cross that keys move, px of the frame. */
  readonly cross: Point | null;
  /** True while keys move the cross: then it is drawn large. */
  readonly byKeys: boolean;
  /** The corner under the pointer, or the one that keys chose. */
  readonly corner: Corner | null;
  /** The outline while one of its corners is dragged: not in the sheet yet. */
  readonly held: Outline | null;
  /** The joint under the pointer, or the one that is dragged and where it is then. */
  readonly joint: { readonly id: string; readonly at: Point | null } | null;
  /** The part that was drawn just now, until its name has been asked for. */
  readonly fresh: string | null;
}

/** A drawing that is under way: none of it is in the sheet yet. */
export const drawing = createStore<Drawing>({
  tool: null,
  target: "part",
  points: [],
  cross: null,
  byKeys: false,
  corner: null,
  held: null,
  joint: null,
  fresh: null,
});
drawing.listen(drawTable);

/** To a hundredth of a pixel: no hand is finer, and files stay short. */
export const pointAt = (x: number, y: number): Point => [px(Math.round(x * 100) / 100), px(Math.round(y * 100) / 100)];

export const takeTool = (tool: ToolId | null, target: Target = "part"): void =>
  drawing.set({ tool, target, points: [], cross: null, byKeys: false, corner: null, held: null, joint: null });

export const dropPoints = (): void => drawing.set({ points: [] });

export const takePointBack = (): void => drawing.set({ points: drawing.get().points.slice(0, -1) });
