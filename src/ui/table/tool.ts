import { createStore } from "../state/store.ts";
import type { Place } from "./place.ts";

/** Where the pointer is, and how. */
export interface TablePoint {
  /** px of the original frame; outside of it too. */
  readonly x: number;
  readonly y: number;
  /** CSS px from the canvas's left top corner. */
  readonly screenX: number;
  readonly screenY: number;
  readonly place: Place;
  readonly event: PointerEvent | MouseEvent;
}

/**
 * Something that works on the table in place of panning and choosing, such as drawing an outline. A handler that gives
 * true has taken what happened; what it leaves the table does itself. Wheel, two fingers and the middle button always
 * look closer and pan.
 */
export interface TableTool {
  /** As CSS names cursors. */
  readonly cursor?: string;
  down?(at: TablePoint): boolean;
  /** With the button up or down. */
  move?(at: TablePoint): boolean;
  up?(at: TablePoint): boolean;
  doubleClick?(at: TablePoint): boolean;
  /** The pointer left, or a second finger came: what was begun with `down` is off. */
  cancel?(): void;
  /** Drawn over the picture and its outlines, in CSS px of the canvas. */
  paint?(context: CanvasRenderingContext2D, place: Place, width: number, height: number): void;
  /** True where the table leaves its own outlines, names and arrows away. */
  readonly hidesOutlines?: boolean;
  /** True where names would lie under what is drawn. */
  readonly hidesNames?: boolean;
}

/** The tool in hand; null: the table pans and chooses. Set `drawn` to anything new to have the table drawn again. */
export const tableTool = createStore<{ readonly now: TableTool | null; readonly drawn: object }>({
  now: null,
  drawn: {},
});

export const drawTable = (): void => tableTool.set({ drawn: {} });
