import { addJoint, moveJoint } from "../../../model/edit/index.ts";
import type { Point } from "../../../model/index.ts";
import { frameNumber } from "../../../units/index.ts";
import { edit } from "../../state/sheet-editing.ts";
import { view } from "../../state/view.ts";
import type { TableTool } from "../../table/tool.ts";
import { chosenPart } from "../chosen.ts";
import { ON_TABLE } from "../closing.ts";
import { drawing, pointAt } from "../drawing.ts";
import { jointsNow } from "../joints-now.ts";

// Joints of the chosen part: a click sets one, one that is there is dragged.

const REACH = 12;

/** Sets a joint of the chosen part at a place of the frame that is up. */
export function setJoint(at: Point): void {
  const part = chosenPart();
  if (part === null) return;
  let id: string | undefined;
  const isDone = edit(
    `set a joint of ${part.name}`,
    (sheet, context) => {
      const added = addJoint(sheet, part.id, frameNumber(view.get().frame), at, context);
      id = added.id;
      return added;
    },
    ON_TABLE,
  );
  if (isDone && id !== undefined) drawing.set({ fresh: id });
}

const near = (x: number, y: number, scale: number) => {
  const part = chosenPart();
  if (part === null) return null;
  return jointsNow(part).find(({ at }) => Math.hypot(at[0] - x, at[1] - y) * scale <= REACH)?.joint.id ?? null;
};

let dragged: string | null = null;

export const jointTool: TableTool = {
  cursor: "crosshair",
  down({ x, y, place }) {
    if (chosenPart() === null) return false;
    dragged = near(x, y, place.scale);
    return true;
  },
  move({ x, y, place }) {
    drawing.set({ cross: pointAt(x, y), byKeys: false });
    if (dragged !== null) drawing.set({ joint: { id: dragged, at: pointAt(x, y) } });
    else {
      const id = near(x, y, place.scale);
      if (id !== drawing.get().joint?.id) drawing.set({ joint: id === null ? null : { id, at: null } });
    }
    return true;
  },
  up({ x, y }) {
    const part = chosenPart();
    const id = dragged;
    const moved = drawing.get().joint?.at ?? null;
    dragged = null;
    drawing.set({ joint: null });
    if (part === null) return true;
    if (id === null) setJoint(pointAt(x, y));
    else if (moved !== null) {
      const name = part.joints.find((joint) => joint.id === id)?.name ?? id;
      edit(
        `moved ${name}`,
        (sheet, context) => moveJoint(sheet, part.id, id, frameNumber(view.get().frame), moved, context),
        ON_TABLE,
      );
    }
    return true;
  },
  doubleClick: () => true,
  cancel() {
    dragged = null;
    drawing.set({ joint: null });
  },
};
