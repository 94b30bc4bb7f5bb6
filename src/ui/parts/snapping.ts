import type { Point } from "../../model/index.ts";
import { pictures } from "../state/pictures.ts";
import { session } from "../state/session.ts";
import { createStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { drawTable } from "../table/tool.ts";
import { drawing, pointAt } from "./drawing.ts";

interface Snapping {
  readonly state: "idle" | "looking" | "found" | "failed";
  readonly outline: readonly Point[];
  readonly holes: readonly (readonly Point[])[];
  readonly why: string;
}

const nothing: Snapping = { state: "idle", outline: [], holes: [], why: "" };

/** An edge that was looked for within a rough loop, until a person takes or refuses it. */
export const snapping = createStore<Snapping>(nothing);
snapping.listen(drawTable);

let turn = 0;

export function dropSnap(): void {
  turn += 1;
  snapping.set(nothing);
}

/** Looks for the edge of what lies within the loop that was drawn. */
export async function lookForEdge(): Promise<void> {
  const { points } = drawing.get();
  const { files, report } = session.get();
  const file = files?.get(view.get().frame);
  if (points.length < 3) return;
  if (!file || !report) {
    snapping.set({ ...nothing, state: "failed", why: "The frame itself is not open." });
    return;
  }
  turn += 1;
  const own = turn;
  snapping.set({ ...nothing, state: "looking" });
  const cut = await pictures.cutOut(file, report.shot, points);
  if (own !== turn) return;
  if (!cut.ok) {
    snapping.set({ ...nothing, state: "failed", why: cut.detail });
    return;
  }
  const rounded = (ring: readonly (readonly [number, number])[]) => ring.map(([x, y]) => pointAt(x, y));
  snapping.set({
    state: "found",
    outline: rounded(cut.value.outline),
    holes: cut.value.holes.map(rounded),
    why: "",
  });
}
