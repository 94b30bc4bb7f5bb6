import { px } from "../../units/index.ts";
import type { ShotContext } from "../check-sheet.ts";
import type { Point, Sheet, SheetShot } from "../sheet.ts";
import { accepted, type Edited, refused } from "./edited.ts";

export const changeShot = (sheet: Sheet, fields: Partial<SheetShot>, context: ShotContext): Edited =>
  accepted({ ...sheet, shot: { ...sheet.shot, ...fields } }, context);

/** How exactly a person sets the end of a line, px: common practice, no source. */
const END_SIGMA = 0.5;

/** Scale that a line of known length gives, px of the original frame per mm, with what setting its two ends is worth. */
export const scaleOfLine = (
  from: Point,
  to: Point,
  mm: number,
): { readonly pxPerMm: number; readonly sigma: number } | null => {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (!(mm > 0) || !(length > 0)) return null;
  return { pxPerMm: length / mm, sigma: (Math.SQRT2 * END_SIGMA) / mm };
};

/** `pxPerMm` null: there is no scale, and drift is told in px alone. */
export const setScale = (sheet: Sheet, pxPerMm: number | null, context: ShotContext): Edited =>
  accepted({ ...sheet, scale: pxPerMm === null ? null : { ...sheet.scale, pxPerMm } }, context);

/** Gravity along a plumb line, from where it hangs to its bob. */
export const setDown = (sheet: Sheet, from: Point, to: Point, context: ShotContext): Edited => {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  if (Math.hypot(dx, dy) < 1) return refused("a plumb line shorter than 1 px points nowhere");
  return accepted({ ...sheet, down: [px(dx), px(dy)] }, context);
};

export const changeDown = (
  sheet: Sheet,
  fields: Pick<Partial<Sheet>, "downIntoPicture">,
  context: ShotContext,
): Edited => accepted({ ...sheet, ...fields }, context);
