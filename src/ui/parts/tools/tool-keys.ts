import { tableSize } from "../../state/look.ts";
import { session } from "../../state/session.ts";
import { view } from "../../state/view.ts";
import { closeRing, giveUp, takeSnap } from "../closing.ts";
import { drawing, pointAt, takePointBack } from "../drawing.ts";
import { snapping } from "../snapping.ts";
import { insertAfter, nextCorner, nudgeCorner, removeCornerAt } from "./corners-tool.ts";
import { setCorner } from "./draw-tool.ts";
import { setJoint } from "./joint-tool.ts";
import { setEnd } from "./line-tool.ts";
import { middleOfLook } from "./tool-in-hand.ts";

// The way to draw without a pointer: arrows move a cross, Enter sets a corner.

/** CSS px that an arrow moves the cross; with Shift one pixel of the frame. */
const STEP = 12;
const typing =
  "input, textarea, select, [contenteditable], [role=menu], [role=listbox], [role=dialog], [role=alertdialog]";
const pressed = "button, a[href], [role=button]";

const ways: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

const scaleNow = () => tableSize.get().fit * view.get().look.scale;

function moveCross([dx, dy]: readonly [number, number], fine: boolean): void {
  const { cross } = drawing.get();
  const { shot } = session.get().report ?? { shot: { width: Infinity, height: Infinity } };
  const [x, y] = cross ?? middleOfLook();
  const step = fine ? 1 : Math.max(1, Math.round(STEP / scaleNow()));
  const within = (value: number, most: number) => Math.min(most, Math.max(0, value));
  drawing.set({
    cross: pointAt(within(x + dx * step, shot.width), within(y + dy * step, shot.height)),
    byKeys: true,
  });
}

function setByKeys(): void {
  const { cross, points, tool } = drawing.get();
  if (cross === null) {
    moveCross([0, 0], true);
    return;
  }
  if (tool === "joint") {
    setJoint(cross);
    return;
  }
  if (tool === "length" || tool === "plumb") {
    setEnd(cross);
    return;
  }
  const last = points.at(-1);
  // Enter twice at one place ends the outline.
  if (last !== undefined && last[0] === cross[0] && last[1] === cross[1]) closeRing();
  else setCorner(cross[0], cross[1], scaleNow());
}

/** Keys of the corners: N and P go round, arrows move the one that is chosen, Enter adds one, Delete takes it away. */
function isForCorner({ key, shiftKey }: KeyboardEvent): boolean {
  const { corner } = drawing.get();
  if (key === "n" || key === "p") nextCorner(key === "n" ? 1 : -1);
  else if (corner === null) return false;
  else if (ways[key]) {
    const step = shiftKey ? 1 / 4 : Math.max(1, Math.round(2 / scaleNow()));
    nudgeCorner(corner, ways[key][0] * step, ways[key][1] * step);
  } else if (key === "Enter") insertAfter(corner);
  else if (key === "Delete" || key === "Backspace") removeCornerAt(corner);
  else if (key === "Escape") drawing.set({ corner: null });
  else return false;
  return true;
}

/** Keys of the tool in hand, before the page's own: as long as the Parts screen is up. */
export function listenToToolKeys(): () => void {
  const down = (event: KeyboardEvent) => {
    const { tool } = drawing.get();
    if (tool === null || event.ctrlKey || event.metaKey || event.altKey || view.get().dialog) return;
    const target = event.target instanceof Element ? event.target : document.body;
    if (target.closest(typing)) return;
    if (event.key === "Enter" && target.closest(pressed)) return;
    const way = ways[event.key];
    if (tool === "corners" && isForCorner(event)) {
      event.preventDefault();
      event.stopPropagation();
      return;
    }
    if (way) moveCross(way, event.shiftKey);
    else if (event.key === "Enter" && snapping.get().state === "found") takeSnap();
    else if (event.key === "Enter") setByKeys();
    else if (event.key === "Backspace" && drawing.get().points.length > 0) takePointBack();
    else if (event.key === "Escape") giveUp();
    else return;
    event.preventDefault();
    event.stopPropagation();
  };
  document.addEventListener("keydown", down, true);
  return () => document.removeEventListener("keydown", down, true);
}
