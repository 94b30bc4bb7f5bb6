import type { ShotContext } from "../check-sheet.ts";
import type { Mark, Sheet } from "../sheet.ts";
import { accepted, type Edited, refused } from "./edited.ts";

export const addMark = (sheet: Sheet, mark: Mark, context: ShotContext): Edited =>
  sheet.marks.some((one) => one.frame === mark.frame && one.kind === mark.kind && one.part === mark.part)
    ? refused(`there is a ${mark.kind} at frame ${mark.frame} already`)
    : accepted({ ...sheet, marks: [...sheet.marks, mark].toSorted((a, b) => a.frame - b.frame) }, context);

export const changeMark = (sheet: Sheet, index: number, fields: Partial<Mark>, context: ShotContext): Edited =>
  accepted({ ...sheet, marks: sheet.marks.map((mark, i) => (i === index ? { ...mark, ...fields } : mark)) }, context);

export const removeMark = (sheet: Sheet, index: number, context: ShotContext): Edited =>
  accepted({ ...sheet, marks: sheet.marks.filter((_, i) => i !== index) }, context);
