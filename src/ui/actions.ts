import { type Flag, type VerdictChoice, verdictLabels } from "../model/index.ts";
import type { Action } from "./action.ts";
import { isOneToOne, isWhole, lookAtAll, lookAtPixels, pan, zoom } from "./state/look.ts";
import { framesNow, nextFlag, nextStrip, step } from "./state/looking.ts";
import { goToScreen, screen } from "./state/screen.ts";
import { session } from "./state/session.ts";
import { groundOf, settings } from "./state/settings.ts";
import { judge, know, undoVerdict, verdicts } from "./state/verdicts.ts";
import { type PictureView, view } from "./state/view.ts";
import { cancelCheck, canCheckAgain, checkAgain } from "./state/checking.ts";
import { openFile, openFolder } from "./state/opening.ts";
import { cancelProof, proving, saveProof } from "./state/proving.ts";
import { saveReport, saveSheet } from "./state/saving.ts";
import { sheetActions } from "./parts/sheet-actions.ts";
import { canTour, startTour } from "./tour/tour-state.ts";
import { tableActions } from "./table/table-actions.ts";
import { timelineActions } from "./timeline/timeline-actions.ts";
import { toggleWorkshop } from "./workshop/open.ts";

export type { Action };

const always = () => true;
const hasFrames = () => framesNow().length > 0;
const hasFiles = () => session.get().files !== null;
const hasReport = () => session.get().report !== null && !session.get().blank;
const hasFlags = () => (session.get().strips?.flags.length ?? 0) > 0;
const flagNow = () => session.get().strips?.flags.find((flag) => flag.id === view.get().flag);
const isChecking = () => session.get().phase === "checking";

const show = (picture: PictureView) => () => view.set({ picture, flipped: false, flipHeld: false });

const hop = (by: number) => () => {
  view.set({ playing: false });
  step(by);
};

const PAN = 0.08;
const nudge = (dx: number, dy: number) => () =>
  pan((dx * PAN) / view.get().look.scale, (dy * PAN) / view.get().look.scale);
const isClose = () => view.get().look.scale > 1;
const isElsewhere = () => !isWhole();

const isOnShot = () => ["", "shot"].includes(screen.get().now);
const canJudge = () =>
  isOnShot() && session.get().phase === "checked" && verdicts.get().shot !== null && flagNow() !== undefined;
const withFlag = (perform: (flag: Flag) => void) => () => {
  const flag = flagNow();
  if (flag) perform(flag);
};
const verdictAction = (choice: VerdictChoice, key: string): Action => ({
  label: `Verdict: ${verdictLabels[choice]}`,
  group: "Verdict",
  keys: [key],
  when: canJudge,
  perform: withFlag((flag) => judge(flag, choice)),
});

export const actions = {
  ...timelineActions,
  openFolder: {
    label: "Open a folder of frames",
    group: "Shot",
    keys: ["o"],
    when: always,
    perform: () => void openFolder(),
  },
  openFile: {
    label: "Open a report or a sheet",
    group: "Shot",
    keys: ["Shift+O"],
    when: always,
    perform: () => void openFile(),
  },
  shots: {
    label: "Shots that are kept",
    group: "Shot",
    keys: ["q"],
    when: always,
    perform: () => view.set({ dialog: "shots" }),
  },
  saveReport: {
    label: "Save the report",
    group: "Shot",
    keys: ["s"],
    // Half a check is no report: who opens it later could not tell.
    when: () =>
      hasReport() && session.get().phase === "checked" && !session.get().cancelled && session.get().old === null,
    perform: saveReport,
  },
  saveSheet: {
    label: "Save the sheet",
    group: "Shot",
    keys: ["Shift+S"],
    when: () => session.get().sheet !== null,
    perform: saveSheet,
  },
  checkAgain: {
    label: "Check again",
    group: "Shot",
    keys: ["c"],
    when: () => canCheckAgain() && !isChecking(),
    perform: checkAgain,
  },
  cancel: { label: "Cancel the check", group: "Shot", keys: ["Escape"], when: isChecking, perform: cancelCheck },

  back: { label: "One frame back", group: "Frames", keys: ["ArrowLeft"], when: hasFrames, perform: hop(-1) },
  on: { label: "One frame on", group: "Frames", keys: ["ArrowRight"], when: hasFrames, perform: hop(1) },
  first: { label: "First frame", group: "Frames", keys: ["Home"], when: hasFrames, perform: hop(-1e9) },
  last: { label: "Last frame", group: "Frames", keys: ["End"], when: hasFrames, perform: hop(1e9) },
  play: {
    label: "Play at the shot's rate, stop",
    group: "Frames",
    keys: [" "],
    when: hasFrames,
    perform: () => view.set({ playing: !view.get().playing }),
  },

  nextFlag: { label: "Next finding", group: "Findings", keys: ["n"], when: hasFlags, perform: () => nextFlag(1) },
  lastFlag: { label: "Finding before", group: "Findings", keys: ["p"], when: hasFlags, perform: () => nextFlag(-1) },
  nextStrip: {
    label: "Next part",
    group: "Findings",
    keys: ["ArrowDown"],
    when: hasReport,
    perform: () => nextStrip(1),
  },
  lastStrip: {
    label: "Part before",
    group: "Findings",
    keys: ["ArrowUp"],
    when: hasReport,
    perform: () => nextStrip(-1),
  },
  letGo: {
    label: "Let go of the part",
    group: "Findings",
    keys: ["Escape"],
    when: () => view.get().strip !== null && !isChecking(),
    perform: () => view.set({ strip: null, flag: null }),
  },

  meant: verdictAction("meant", "Shift+M"),
  putRight: verdictAction("put-right", "Shift+R"),
  easeBack: verdictAction("ease-back", "Shift+E"),
  reshoot: verdictAction("reshoot", "Shift+N"),
  paintOut: verdictAction("paint-out", "Shift+P"),
  liveWithIt: verdictAction("live-with-it", "Shift+L"),
  toTheBench: verdictAction("to-the-bench", "Shift+B"),
  know: {
    label: "I know, until this hold ends",
    group: "Verdict",
    keys: ["k"],
    when: canJudge,
    perform: withFlag(know),
  },
  undoVerdict: {
    label: "Take the last verdict back",
    group: "Verdict",
    keys: ["v"],
    when: () => isOnShot() && verdicts.get().past.length > 0,
    perform: undoVerdict,
  },

  plain: { label: "Plain", group: "Picture", keys: ["1"], when: hasFiles, perform: show("plain") },
  flip: { label: "Flip", group: "Picture", keys: ["2"], when: hasFiles, perform: show("flip") },
  over: { label: "Laid over", group: "Picture", keys: ["3"], when: hasFiles, perform: show("over") },
  difference: { label: "Difference", group: "Picture", keys: ["4"], when: hasFiles, perform: show("difference") },
  arrows: { label: "Arrows", group: "Picture", keys: ["5"], when: hasFiles, perform: show("arrows") },
  ...tableActions,
  swap: {
    label: "Swap anchor and current by hand (flip)",
    group: "Picture",
    keys: ["x"],
    when: () => view.get().picture === "flip",
    perform: () => view.set({ flipped: !view.get().flipped, flipHeld: true }),
  },
  outlines: {
    label: "Outlines on the picture",
    group: "Picture",
    keys: ["u"],
    when: hasReport,
    perform: () => view.set({ outlines: !view.get().outlines }),
  },
  ghost: {
    label: "Ghost of where it was",
    group: "Picture",
    keys: ["b"],
    when: () => flagNow()?.easeBack !== undefined,
    perform: () => view.set({ ghost: !view.get().ghost }),
  },
  closer: { label: "Closer", group: "Picture", keys: ["+", "="], when: hasFrames, perform: () => zoom(1.4) },
  further: { label: "Further away", group: "Picture", keys: ["-"], when: hasFrames, perform: () => zoom(1 / 1.4) },
  whole: { label: "The whole frame", group: "Picture", keys: ["0"], when: isElsewhere, perform: lookAtAll },
  pixels: {
    label: "The frame's own pixels, one to one",
    group: "Picture",
    keys: ["9"],
    when: () => hasFrames() && !isOneToOne(),
    perform: () => lookAtPixels(),
  },
  lookLeft: { label: "Look left", group: "Picture", keys: ["Shift+ArrowLeft"], when: isClose, perform: nudge(-1, 0) },
  lookRight: { label: "Look right", group: "Picture", keys: ["Shift+ArrowRight"], when: isClose, perform: nudge(1, 0) },
  lookUp: { label: "Look up", group: "Picture", keys: ["Shift+ArrowUp"], when: isClose, perform: nudge(0, -1) },
  lookDown: { label: "Look down", group: "Picture", keys: ["Shift+ArrowDown"], when: isClose, perform: nudge(0, 1) },

  ...sheetActions,

  strike: {
    label: "Safe to strike?",
    group: "Page",
    keys: ["Shift+K"],
    when: hasReport,
    perform: () => goToScreen("strike"),
  },
  prove: {
    label: "Prove it: what known drifts in this shot come back as",
    group: "Page",
    keys: ["y"],
    when: hasReport,
    perform: () => goToScreen("prove"),
  },
  saveProof: {
    label: "Save the proof",
    group: "Shot",
    keys: [],
    when: () => proving.get().proof !== null,
    perform: saveProof,
  },
  cancelProof: {
    label: "Cancel the proof",
    group: "Shot",
    keys: [],
    when: () => proving.get().phase === "proving",
    perform: cancelProof,
  },
  handover: {
    label: "Handover to another animator",
    group: "Page",
    keys: ["Shift+J"],
    when: hasReport,
    perform: () => goToScreen("handover"),
  },
  workshop: {
    label: "Workshop, and back to the shot",
    group: "Page",
    keys: ["w"],
    when: always,
    perform: toggleWorkshop,
  },
  ground: {
    label: "Dim or bright ground",
    group: "Page",
    keys: ["g"],
    when: always,
    perform: () => settings.set({ ground: groundOf(settings.get()) === "dim" ? "bright" : "dim" }),
  },
  tour: { label: "Take the tour", group: "Page", keys: ["Shift+T"], when: canTour, perform: startTour },
  search: {
    label: "Find an action, a finding, a part or a frame",
    group: "Page",
    keys: ["/"],
    when: always,
    perform: () => view.set({ dialog: "search" }),
  },
  keys: { label: "All keys", group: "Page", keys: ["?"], when: always, perform: () => view.set({ dialog: "keys" }) },
} satisfies Record<string, Action>;

export const actionList: readonly Action[] = Object.values(actions);

/** How keys stand on the keyboard. */
const keyNames: Readonly<Record<string, string>> = {
  ArrowLeft: "\u2190",
  ArrowRight: "\u2192",
  ArrowUp: "\u2191",
  ArrowDown: "\u2193",
  " ": "Space",
  Escape: "Esc",
  "-": "\u2212",
};

/** A key as it stands on the keyboard, for tips and the list. */
export const keyName = (key: string): string =>
  key
    .split(/(?<=.)\+(?=.)/u)
    .map((part) => keyNames[part] ?? (part.length === 1 ? part.toUpperCase() : part))
    .join(" ");

/** "Flip (2)". */
export const tipOf = (action: Action): string =>
  action.keys.length ? `${action.label} (${keyName(action.keys[0])})` : action.label;
