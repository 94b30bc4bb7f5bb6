import type { ShotContext } from "../check-sheet.ts";
import { readSheet } from "../parse-sheet.ts";
import type { Part, Sheet } from "../sheet.ts";

// Edits of a sheet are pure: a sheet in, another one out. What the sheet's file would be refused for is refused here
// too, in the same sentence, so that the sheet that is open can always be checked and saved.

/** What came of an edit: the sheet as it is now, or every reason why it stays as it was. */
export type Edited = { readonly sheet: Sheet } | { readonly refusals: readonly string[] };

export const refused = (sentence: string): Edited => ({ refusals: [sentence] });

/** Takes a sheet as edited where a file of it would be accepted: in order, defaults filled in. */
export const accepted = (sheet: Sheet, context: ShotContext): Edited => {
  const read = readSheet(sheet, context);
  return "sheet" in read ? read : { refusals: read.reasons };
};

/** The same sheet with one part changed; refused where there is no such part. */
export const withPart = (
  sheet: Sheet,
  id: string,
  context: ShotContext,
  change: (part: Part) => Part | string,
): Edited => {
  const part = sheet.parts.find((each) => each.id === id);
  if (part === undefined) return refused(`there is no part '${id}' in this sheet`);
  const changed = change(part);
  if (typeof changed === "string") return refused(changed);
  return accepted({ ...sheet, parts: sheet.parts.map((each) => (each === part ? changed : each)) }, context);
};
