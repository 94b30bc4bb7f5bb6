import { type Part, proposeSheet } from "../../model/index.ts";
import { session } from "../state/session.ts";
import { createStore } from "../state/store.ts";

interface Found {
  /** What the last check without a sheet proposes, whatever was checked with a sheet since. */
  readonly parts: readonly Part[];
  /** Ids of those that a person left. */
  readonly left: ReadonlySet<string>;
}

/** Parts that were found in the pictures of the open shot, until each is taken or left. */
export const found = createStore<Found>({ parts: [], left: new Set() });

let files: unknown = null;
let report: unknown = null;
session.listen(() => {
  const now = session.get();
  if (now.files !== files) {
    files = now.files;
    found.set({ parts: [], left: new Set() });
  }
  const isWhole = now.phase === "checked" && !now.cancelled && !now.blank && now.old === null;
  if (!isWhole || now.report === null || now.report === report) return;
  report = now.report;
  const proposed = proposeSheet(now.report);
  if (proposed !== null) found.set({ parts: proposed.parts, left: new Set() });
});
