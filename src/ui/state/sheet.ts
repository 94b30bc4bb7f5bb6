import type { Sheet } from "../../model/index.ts";
import { stripsOf } from "../strips/strips.ts";
import { checkSoon } from "./checking.ts";
import { carriedOver, oldStrips } from "./old-results.ts";
import { session } from "./session.ts";

/**
 * Puts another sheet in place of the one that is open. The one way in which the sheet of an open shot changes: what was
 * measured stays on the screen, said to be old where the change touches it, and the shot is checked again.
 */
export function putSheet(sheet: Sheet | null): void {
  const { report, sheet: before, blank, old, cancelled } = session.get();
  if (sheet === before) return;
  if (report === null) session.set({ sheet });
  else {
    const carried = carriedOver(report, before, sheet);
    const outdated = blank ? null : oldStrips(carried, before, sheet, old ?? new Set());
    session.set({
      sheet,
      report: carried,
      old: outdated,
      strips: stripsOf(carried, sheet, blank || cancelled, null, outdated),
    });
  }
  checkSoon();
}
