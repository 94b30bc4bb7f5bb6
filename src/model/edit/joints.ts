import type { FrameNumber } from "../../units/index.ts";
import type { ShotContext } from "../check-sheet.ts";
import type { Joint, Point, Sheet } from "../sheet.ts";
import { type Edited, withPart } from "./edited.ts";
import { idFor, nameFor } from "./ids.ts";

const all = (sheet: Sheet): readonly Joint[] => sheet.parts.flatMap((part) => part.joints);

/** A joint at a place of a part, as it lies in a frame. */
export const addJoint = (
  sheet: Sheet,
  part: string,
  frame: FrameNumber,
  at: Point,
  context: ShotContext,
  name = "Joint",
): Edited & { readonly id?: string } => {
  const own = nameFor(
    name,
    all(sheet).map((joint) => joint.name),
  );
  const id = idFor(
    own,
    all(sheet).map((joint) => joint.id),
    "joint",
  );
  const edited = withPart(sheet, part, context, (one) => ({
    ...one,
    joints: [...one.joints, { id, name: own, frame, at }],
  }));
  return "sheet" in edited ? { ...edited, id } : edited;
};

const withJoint = (
  sheet: Sheet,
  part: string,
  id: string,
  context: ShotContext,
  change: (joint: Joint) => readonly Joint[],
): Edited =>
  withPart(sheet, part, context, (one) =>
    one.joints.some((joint) => joint.id === id)
      ? { ...one, joints: one.joints.flatMap((joint) => (joint.id === id ? change(joint) : [joint])) }
      : `${one.name} has no joint '${id}'`,
  );

export const renameJoint = (sheet: Sheet, part: string, id: string, name: string, context: ShotContext): Edited =>
  withJoint(sheet, part, id, context, (joint) => [{ ...joint, name }]);

/** Puts a joint where it lies in a frame. */
export const moveJoint = (
  sheet: Sheet,
  part: string,
  id: string,
  frame: FrameNumber,
  at: Point,
  context: ShotContext,
): Edited => withJoint(sheet, part, id, context, (joint) => [{ ...joint, frame, at }]);

export const removeJoint = (sheet: Sheet, part: string, id: string, context: ShotContext): Edited =>
  withJoint(sheet, part, id, context, () => []);
