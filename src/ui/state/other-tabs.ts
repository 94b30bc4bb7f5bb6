import { parseSheet, type Sheet } from "../../model/index.ts";
import type { Kind } from "../../store/port.ts";
import { stripsOf } from "../strips/strips.ts";
import { isWaiting, onTaken, sawRevision } from "./keeping.ts";
import { adopt } from "./kept-shot.ts";
import { carriedOver, oldStrips } from "./old-results.ts";
import { addNotice, session } from "./session.ts";
import { putSheet } from "./sheet.ts";
import { opened, readKept } from "./storage.ts";

// Two tabs on one shot: what one changes the other shows. Only what both changed at the same moment has to be asked about.

async function takeSheet(id: string): Promise<void> {
  const kept = await readKept("sheet", id);
  const { id: now, report, sheet: before, old, phase, blank } = session.get();
  if (kept === null || now !== id || isWaiting("sheet", id)) return;
  sawRevision("sheet", id, kept.revision);
  const frames = report?.shot.frames ?? [];
  const size = { width: report?.shot.width ?? null, height: report?.shot.height ?? null };
  const read = parseSheet(kept.value.text, "the sheet", { frames, ...size });
  if ("refusals" in read) return;
  const sheet: Sheet = read.sheet;
  adopt({ sheet });
  if (phase === "checking" || report === null || blank) {
    // What is being checked here is checked with the sheet of now.
    putSheet(sheet);
    return;
  }
  // The other tab checks it; its report comes when it is through.
  const carried = carriedOver(report, before, sheet);
  const outdated = oldStrips(carried, before, sheet, old ?? new Set());
  session.set({ sheet, report: carried, old: outdated, strips: stripsOf(carried, sheet, false, null, outdated) });
}

async function takeReport(id: string): Promise<void> {
  const kept = await readKept("report", id);
  const { id: now, phase, sheet } = session.get();
  if (kept === null || now !== id || phase !== "checked") return;
  const { report } = kept.value;
  adopt({ report });
  session.set({ report, old: null, blank: false, cancelled: false, strips: stripsOf(report, sheet) });
}

/** Follows what other tabs do to the shot that is open here, as long as the page is. */
export function keepUp(): void {
  let order = Promise.resolve();
  const inOrder = (work: () => Promise<void>) => {
    order = order
      .then(work)
      .catch((error: unknown) => addNotice("Another tab's change can't be shown", [String(error)]));
  };
  void opened.then((store) =>
    store?.listen((touched, own) => {
      const { id } = session.get();
      if (own || id === null) return;
      const has = (kind: Kind) => touched.some((each) => each.kind === kind && each.id === id && each.revision > 0);
      if (has("sheet")) inOrder(() => takeSheet(id));
      if (has("report")) inOrder(() => takeReport(id));
      if (touched.some((each) => each.kind === "shot" && each.id === id && each.revision === 0)) {
        addNotice("This shot was removed in another tab", [
          "What you see is still here. Save the sheet and the report as files, or open the folder again to keep it.",
        ]);
      }
    }),
  );
  onTaken((kind, id) => {
    if (kind === "sheet") inOrder(() => takeSheet(id));
  });
}
