import { frameNumber } from "../../units/index.ts";
import type { ShotContext } from "../check-sheet.ts";
import type { CameraIntentName, IntentName } from "../kinds.ts";
import type { CameraIntent, Intent, Sheet } from "../sheet.ts";
import { accepted, type Edited, withPart } from "./edited.ts";
import { withEdge, withoutRange, withRange } from "./spans.ts";

const says = ({ intent, wears }: Intent) => `${intent} ${wears ?? ""}`;

/** Says what a part does in a range of frames, whatever was said of them before. `wears` counts for swapped alone. */
export const setIntent = (
  sheet: Sheet,
  part: string,
  from: number,
  to: number,
  intent: IntentName,
  wears: string | null,
  context: ShotContext,
): Edited =>
  withPart(sheet, part, context, (one) => {
    const span: Intent = {
      from: frameNumber(from),
      to: frameNumber(to),
      intent,
      wears: intent === "swapped" ? wears : null,
    };
    return { ...one, intents: withRange(one.intents, span, says, context.frames) };
  });

/** Says nothing of a range of frames: it is found from the pictures again. */
export const clearIntent = (sheet: Sheet, part: string, from: number, to: number, context: ShotContext): Edited =>
  withPart(sheet, part, context, (one) => ({
    ...one,
    intents: withoutRange(one.intents, frameNumber(from), frameNumber(to)),
  }));

/** Moves the first or the last frame of a part's intent, the neighbour that touches it along. */
export const moveIntentEdge = (
  sheet: Sheet,
  part: string,
  index: number,
  edge: "from" | "to",
  frame: number,
  context: ShotContext,
): Edited =>
  withPart(sheet, part, context, (one) => ({
    ...one,
    intents: withEdge(one.intents, index, edge, frame, context.frames),
  }));

/** What the camera does in a range of frames; null: nothing is said, and it holds. */
export const setCameraIntent = (
  sheet: Sheet,
  from: number,
  to: number,
  intent: CameraIntentName | null,
  context: ShotContext,
): Edited => {
  const range = { from: frameNumber(from), to: frameNumber(to) };
  const camera =
    intent === null
      ? withoutRange(sheet.camera, range.from, range.to)
      : withRange<CameraIntent>(sheet.camera, { ...range, intent }, (one) => one.intent, context.frames);
  return accepted({ ...sheet, camera }, context);
};

export const moveCameraEdge = (
  sheet: Sheet,
  index: number,
  edge: "from" | "to",
  frame: number,
  context: ShotContext,
): Edited => accepted({ ...sheet, camera: withEdge(sheet.camera, index, edge, frame, context.frames) }, context);
