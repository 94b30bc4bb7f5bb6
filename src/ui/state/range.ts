import { goTo, step } from "./looking.ts";
import { session } from "./session.ts";
import { view } from "./view.ts";

// A range of frames: what is played round and round, and what a pencil on the strips writes over.

export const setRange = (a: number, b: number): void =>
  view.set({ range: { from: Math.min(a, b), to: Math.max(a, b) } });

export const dropRange = (): void => view.set({ range: null });

/** Takes the playhead on by some frames, and the range with it: the end that the playhead is on, or a new one. */
export function widenRange(by: number): void {
  const { range, frame } = view.get();
  const held = range === null ? frame : frame === range.to ? range.from : frame === range.from ? range.to : frame;
  view.set({ playing: false });
  step(by);
  setRange(held, view.get().frame);
}

/** One end of the range to a frame. */
export function moveRangeEnd(end: "from" | "to", frame: number): void {
  const { range } = view.get();
  if (range === null) return;
  setRange(end === "from" ? frame : range.from, end === "to" ? frame : range.to);
}

/** The frames of the chosen finding. */
export function rangeOfFlag(): void {
  const flag = session.get().strips?.flags.find((each) => each.id === view.get().flag);
  if (!flag) return;
  setRange(flag.from, flag.to);
  goTo(flag.from);
}
