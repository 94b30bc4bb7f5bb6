import { carryPart } from "../../model/edit/index.ts";
import { screen } from "../state/screen.ts";
import { dropRefusal, edit, sheetNow, shotContext } from "../state/sheet-editing.ts";
import { createStore } from "../state/store.ts";
import { inSentence } from "../words/in-sentence.ts";
import { isOnParts } from "./open.ts";

/** Where refusals of what a part is dragged onto are told. */
export const CARRY = "carry";

/** A part that is dragged onto what it rides on. */
export const carryDrag = createStore<{
  /** What is dragged; null: nothing. */
  readonly part: string | null;
  /** Where the pointer is, px of the window. */
  readonly x: number;
  readonly y: number;
  /** What letting go here would do, in words, and whether it can be done. */
  readonly words: string;
  readonly can: boolean;
}>({ part: null, x: 0, y: 0, words: "", can: false });

/** Farther than a hand trembles in a click, px. */
const BEGINS = 6;

/** The part under a place; "" is nothing on purpose; null: no place to let go. */
const under = (x: number, y: number): string | null =>
  document.elementFromPoint(x, y)?.closest<SVGElement | HTMLElement>("[data-part]")?.dataset["part"] ?? null;

function said(part: string, target: string | null): { readonly words: string; readonly can: boolean } {
  const sheet = sheetNow();
  const nameOf = (id: string) => sheet.parts.find((each) => each.id === id)?.name ?? id;
  if (target === null || target === part)
    return { words: `Let ${inSentence(nameOf(part))} go on what it rides on`, can: false };
  const edited = carryPart(sheet, part, target === "" ? null : target, shotContext());
  if ("refusals" in edited) return { words: edited.refusals[0] ?? "", can: false };
  return { words: `${nameOf(part)} rides on ${target === "" ? "nothing" : inSentence(nameOf(target))}`, can: true };
}

function letGo(part: string, target: string | null): void {
  if (target === null || target === part) return;
  const name = sheetNow().parts.find((each) => each.id === part)?.name ?? part;
  const label = `changed what ${name} rides on`;
  edit(label, (now, context) => carryPart(now, part, target === "" ? null : target, context), CARRY);
}

/**
 * Begins to drag a part where the pointer goes far enough. A finger scrolls the list; it drags by the grip, where there
 * is one.
 */
export function startCarry(event: React.PointerEvent, part: string): void {
  if (!isOnParts(screen.get()) || event.button !== 0 || !sheetNow().parts.some(({ id }) => id === part)) return;
  const grip = event.target instanceof Element && event.target.closest("[data-grip]") !== null;
  const isRow = event.currentTarget instanceof HTMLElement;
  if (event.pointerType === "touch" && isRow && !grip) return;
  const from = [event.clientX, event.clientY] as const;
  const id = event.pointerId;
  let begun = false;
  let seen: string | null | undefined;
  const end = new AbortController();
  const { signal } = end;
  const stop = () => {
    end.abort();
    carryDrag.set({ part: null });
  };
  window.addEventListener(
    "pointermove",
    (move) => {
      if (move.pointerId !== id) return;
      if (!begun) {
        if (Math.hypot(move.clientX - from[0], move.clientY - from[1]) < BEGINS) return;
        begun = true;
        dropRefusal();
      }
      const target = under(move.clientX, move.clientY);
      // Asking the sheet costs more than moving the words.
      carryDrag.set({ part, x: move.clientX, y: move.clientY, ...(target === seen ? {} : said(part, target)) });
      seen = target;
    },
    { signal },
  );
  window.addEventListener(
    "pointerup",
    (up) => {
      if (up.pointerId !== id) return;
      stop();
      if (!begun) return;
      // The press that ends a drag is no click on what lies under it.
      const swallow = (click: Event) => click.stopPropagation();
      window.addEventListener("click", swallow, { capture: true, once: true });
      setTimeout(() => window.removeEventListener("click", swallow, { capture: true }), 0);
      letGo(part, under(up.clientX, up.clientY));
    },
    { signal },
  );
  window.addEventListener("pointercancel", stop, { signal });
  window.addEventListener(
    "keydown",
    (key) => {
      if (key.key !== "Escape") return;
      key.preventDefault();
      key.stopPropagation();
      stop();
    },
    { signal, capture: true },
  );
}
