import { addMark, clearIntent, setCameraIntent, setIntent } from "../../../model/edit/index.ts";
import type { CameraIntentName, IntentName, Mark } from "../../../model/index.ts";
import { frameNumber } from "../../../units/index.ts";
import { edit } from "../../state/sheet-editing.ts";
import { view } from "../../state/view.ts";
import { framesMeant, rowNow } from "./meant.ts";

/** Where refused intents are told. */
export const ON_STRIPS = "strips";

const words = ({ from, to }: { readonly from: number; readonly to: number }) =>
  from === to ? `at frame ${from}` : `in frames ${from} to ${to}`;

/** Says what the chosen row does in the frames that are meant; null: nothing is said of them any more. */
export function say(intent: IntentName | null, wears: string | null = null): boolean {
  const row = rowNow();
  const range = row && framesMeant(row);
  if (row === null || range === null) return false;
  const { from, to } = range;
  if (row.kind === "camera") {
    if (intent !== null && intent !== "moves" && intent !== "holds") return false;
    const said: CameraIntentName | null = intent;
    return edit(
      said === null ? `said nothing of the camera ${words(range)}` : `the camera ${said} ${words(range)}`,
      (sheet, context) => setCameraIntent(sheet, from, to, said, context),
      ON_STRIPS,
    );
  }
  const { id, name } = row.part;
  return edit(
    intent === null ? `said nothing of ${name} ${words(range)}` : `${name} ${intent} ${words(range)}`,
    (sheet, context) =>
      intent === null
        ? clearIntent(sheet, id, from, to, context)
        : setIntent(sheet, id, from, to, intent, wears, context),
    ON_STRIPS,
  );
}

/** Marks the frame that is up: for the chosen part, or for everything. */
export function mark(kind: Mark["kind"]): boolean {
  const row = rowNow();
  const { frame } = view.get();
  const part = row?.kind === "part" ? row.part : null;
  return edit(
    `marked a ${kind} at frame ${frame}`,
    (sheet, context) => addMark(sheet, { frame: frameNumber(frame), kind, part: part?.id ?? null, note: "" }, context),
    ON_STRIPS,
  );
}
