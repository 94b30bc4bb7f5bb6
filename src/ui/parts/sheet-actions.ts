import type { Action } from "../action.ts";
import { framesNow } from "../state/looking.ts";
import { screen } from "../state/screen.ts";
import { session } from "../state/session.ts";
import { canRedo, canUndo, redo, undo } from "../state/sheet-editing.ts";
import { chosenPart } from "./chosen.ts";
import { rowNow } from "./intents/meant.ts";
import { isOnParts, pickUp, toggleParts } from "./open.ts";

const hasFrames = () => framesNow().length > 0;
const hasReport = () => session.get().report !== null;
const onParts = () => isOnParts(screen.get());
const hasPart = () => onParts() && chosenPart() !== null;
const drawsOnFrame = () => onParts() && hasReport();

export const sheetActions = {
  parts: {
    label: "Parts and sheet, and back to the shot",
    group: "Page",
    keys: ["e"],
    when: hasFrames,
    perform: toggleParts,
  },
  undo: { label: "Take back the last edit", group: "Sheet", keys: ["z", "Ctrl+Z"], when: canUndo, perform: undo },
  redo: {
    label: "Do it again",
    group: "Sheet",
    keys: ["Shift+Z", "Ctrl+Shift+Z", "Ctrl+Y"],
    when: canRedo,
    perform: redo,
  },
  draw: { label: "Draw a new part", group: "Sheet", keys: ["d"], when: hasReport, perform: pickUp("draw", "part") },
  snap: {
    label: "Loop roughly round a new part: its edge is found",
    group: "Sheet",
    keys: ["f"],
    when: drawsOnFrame,
    perform: pickUp("snap"),
  },
  redraw: {
    label: "Draw the part anew at this frame",
    group: "Sheet",
    keys: ["Shift+D"],
    when: hasPart,
    perform: pickUp("draw", "outline"),
  },
  corners: {
    label: "Pull the corners of the part",
    group: "Sheet",
    keys: ["Shift+C"],
    when: hasPart,
    perform: pickUp("corners"),
  },
  hole: {
    label: "Cut a hole in the part",
    group: "Sheet",
    keys: ["Shift+H"],
    when: hasPart,
    perform: pickUp("draw", "hole"),
  },
  joint: {
    label: "Set a joint of the part",
    group: "Sheet",
    keys: ["j"],
    when: hasPart,
    perform: pickUp("joint"),
  },
  length: {
    label: "Scale by a known length",
    group: "Sheet",
    keys: ["Shift+Q"],
    when: drawsOnFrame,
    perform: pickUp("length"),
  },
  plumb: {
    label: "Gravity by a plumb line",
    group: "Sheet",
    keys: ["Shift+G"],
    when: drawsOnFrame,
    perform: pickUp("plumb"),
  },
  intent: {
    label: "Say what the part is meant to do",
    group: "Sheet",
    keys: ["Shift+V"],
    when: () => onParts() && rowNow() !== null,
    perform: () => document.querySelector<HTMLElement>(".intent-tools button")?.focus(),
  },
} satisfies Record<string, Action>;
