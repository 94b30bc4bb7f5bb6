import type { Action } from "../action.ts";
import { framesNow } from "../state/looking.ts";
import { nextRate, stepByHold } from "../state/playing.ts";
import { session } from "../state/session.ts";
import { exaggerations, gains, view } from "../state/view.ts";

const hasFrames = () => framesNow().length > 0;
const hasFiles = () => session.get().files !== null;
const hasReport = () => session.get().report !== null && !session.get().blank;
const hasDrift = () => hasFiles() && hasReport();
const hasGain = () => ["difference", "exaggerate"].includes(view.get().picture);

/** The next one up or down in a list of round numbers. */
const nextOf = (list: readonly number[], now: number, by: 1 | -1): number =>
  (by === 1 ? list.find((each) => each > now) : list.findLast((each) => each < now)) ?? now;

const changeGain = (by: 1 | -1) => () => {
  const { picture, gain, times } = view.get();
  view.set(picture === "exaggerate" ? { times: nextOf(exaggerations, times, by) } : { gain: nextOf(gains, gain, by) });
};

/** What the table can do besides the views that need no measuring. */
export const tableActions = {
  exaggerate: {
    label: "Exaggerate",
    group: "Picture",
    keys: ["6"],
    when: hasDrift,
    perform: () => view.set({ picture: "exaggerate" }),
  },
  held: {
    label: "Held still",
    group: "Picture",
    keys: ["7"],
    when: hasDrift,
    perform: () => view.set({ picture: "held" }),
  },
  stronger: {
    label: "Stronger difference, larger drift",
    group: "Picture",
    keys: ["]"],
    when: hasGain,
    perform: changeGain(1),
  },
  weaker: {
    label: "Weaker difference, smaller drift",
    group: "Picture",
    keys: ["["],
    when: hasGain,
    perform: changeGain(-1),
  },
  steady: {
    label: "Camera's motion out of the difference, or in",
    group: "Picture",
    keys: ["8"],
    when: () => hasReport() && ["difference", "over"].includes(view.get().picture),
    perform: () => view.set({ steady: !view.get().steady }),
  },
  peek: {
    label: "Show the frame compared with, while held down",
    group: "Picture",
    keys: ["Shift+A"],
    when: hasFiles,
    perform: () => view.set({ peek: true }),
    release: () => view.set({ peek: false }),
  },
  against: {
    label: "Compare with this frame, or with the anchor again",
    group: "Picture",
    keys: ["Shift+W"],
    when: hasFiles,
    perform: () => view.set({ against: view.get().against === null ? view.get().frame : null }),
  },
  beside: {
    label: "Original beside what is held still",
    group: "Picture",
    keys: ["Shift+X"],
    when: () => view.get().picture === "held",
    perform: () => view.set({ beside: !view.get().beside }),
  },
  closeUp: {
    label: "Close-up of the part",
    group: "Picture",
    keys: ["Shift+U"],
    when: hasDrift,
    perform: () => view.set({ closeUp: !view.get().closeUp }),
  },
  closeUpStill: {
    label: "Close-up: the part's motion taken out, or in",
    group: "Picture",
    keys: ["t"],
    when: () => hasDrift() && view.get().closeUp,
    perform: () => view.set({ closeUpStill: !view.get().closeUpStill }),
  },
  holdBack: {
    label: "Back to where a hold began",
    group: "Frames",
    keys: ["PageUp"],
    when: hasFrames,
    perform: () => stepByHold(-1),
  },
  holdOn: {
    label: "On to the next hold or move",
    group: "Frames",
    keys: ["PageDown"],
    when: hasFrames,
    perform: () => stepByHold(1),
  },
  rate: {
    label: "Play at 12, 24, 25, 30 or the shot's own rate",
    group: "Frames",
    keys: ["Shift+Y"],
    when: hasFrames,
    perform: nextRate,
  },
} satisfies Record<string, Action>;
