import type { Edited } from "../../model/edit/index.ts";
import { createSheet, type Sheet, type ShotContext } from "../../model/index.ts";
import { frameNumber } from "../../units/index.ts";
import { framesNow } from "./looking.ts";
import { session } from "./session.ts";
import { putSheet } from "./sheet.ts";
import { createStore } from "./store.ts";

/** Edits that can be taken back. Sheets share what an edit left alone, so that many cost little. */
const MOST_STEPS = 200;

/** A sheet as it was, and what was done to it then: "drew Left arm". */
interface Step {
  readonly sheet: Sheet | null;
  readonly label: string;
  /** Edits in a row that have the same one, not empty, are taken back together. */
  readonly merge: string;
}

interface SheetEditing {
  /** The sheets before the one that is open, the last one right before it. */
  readonly past: readonly Step[];
  /** What was taken back, the next one first. */
  readonly future: readonly Step[];
  /** An edit that was refused: at which field, and why. */
  readonly refused: { readonly field: string; readonly sentences: readonly string[] } | null;
  /** What was just done, undone or done again, to be read out. */
  readonly told: string;
}

export const sheetEditing = createStore<SheetEditing>({ past: [], future: [], refused: null, told: "" });

let own: Sheet | null = null;
/** Another shot or sheet was opened: what could be taken back belongs to the one before. */
session.listen(() => {
  const { sheet } = session.get();
  if (sheet === own) return;
  own = sheet;
  sheetEditing.set({ past: [], future: [], refused: null, told: "" });
});

/** What is known of the shot that the sheet is edited for. */
export function shotContext(): ShotContext {
  const { report } = session.get();
  return {
    frames: framesNow().map(frameNumber),
    width: report?.shot.width ?? null,
    height: report?.shot.height ?? null,
  };
}

/** The sheet that edits start from: the open one, or an empty one of the shot. */
export function sheetNow(): Sheet {
  const { sheet, shot, report } = session.get();
  if (sheet !== null) return sheet;
  const empty = createSheet(shot ?? "shot");
  return report === null ? empty : { ...empty, shot: { ...empty.shot, fps: report.shot.fps } };
}

function put(sheet: Sheet | null): void {
  own = sheet;
  putSheet(sheet);
}

/**
 * Edits the sheet. Refused edits change nothing and say why at their field.
 * @param label what was done, for undoing: "drew Left arm"
 * @param field where a refusal is to be said
 * @param merge joins it with the edit before where that has the same: many small moves by keys are one
 * @returns whether it was done
 */
export function edit(
  label: string,
  change: (sheet: Sheet, context: ShotContext) => Edited,
  field = "",
  merge = "",
): boolean {
  const edited = change(sheetNow(), shotContext());
  if ("refusals" in edited) {
    sheetEditing.set({ refused: { field, sentences: edited.refusals } });
    return false;
  }
  const { past } = sheetEditing.get();
  const step: Step = { sheet: session.get().sheet, label, merge };
  const goesOn = merge !== "" && past.at(-1)?.merge === merge;
  sheetEditing.set({
    past: goesOn ? past : [...past, step].slice(-MOST_STEPS),
    future: [],
    refused: null,
    told: "",
  });
  put(edited.sheet);
  return true;
}

export const dropRefusal = (): void => sheetEditing.set({ refused: null });

export const canUndo = (): boolean => sheetEditing.get().past.length > 0;
export const canRedo = (): boolean => sheetEditing.get().future.length > 0;

export function undo(): void {
  const { past, future } = sheetEditing.get();
  const step = past.at(-1);
  if (step === undefined) return;
  const redo: Step = { ...step, sheet: session.get().sheet, merge: "" };
  sheetEditing.set({
    past: past.slice(0, -1),
    future: [redo, ...future],
    refused: null,
    told: `Taken back: ${step.label}`,
  });
  put(step.sheet);
}

export function redo(): void {
  const { past, future } = sheetEditing.get();
  const [step, ...rest] = future;
  if (step === undefined) return;
  sheetEditing.set({
    past: [...past, { ...step, sheet: session.get().sheet }],
    future: rest,
    refused: null,
    told: `Done again: ${step.label}`,
  });
  put(step.sheet);
}
