import { type Joint, type Part, placeAt, type Point } from "../../model/index.ts";
import { session } from "../state/session.ts";
import { view } from "../state/view.ts";
import { pointAt } from "./drawing.ts";

export interface JointNow {
  readonly joint: Joint;
  readonly at: Point;
}

/** Where a part's joints are in the frame that is up: carried there with the part. */
export function jointsNow(part: Part): readonly JointNow[] {
  const { report, sheet, strips } = session.get();
  const to = strips?.indexOf.get(view.get().frame) ?? -1;
  return part.joints.map((joint) => {
    const from = strips?.indexOf.get(joint.frame) ?? -1;
    const [x, y] = report ? placeAt(report, sheet, part.id, joint.at, from, to) : joint.at;
    return { joint, at: pointAt(x, y) };
  });
}
