import { type Report, type Sheet } from "../../model/index.ts";
import { touchedParts } from "../../model/edit/index.ts";
import { reportPart } from "./blank-report.ts";

/**
 * A report of an earlier sheet as it stands on the screen with the sheet of now: every part of the sheet has its place,
 * measured or not; parts that are gone are gone; what was measured stays.
 */
export function carriedOver(report: Report, before: Sheet | null, after: Sheet | null): Report {
  const parts = after?.parts ?? [];
  const dropped = new Set(before?.parts.map(({ id }) => id));
  for (const { id } of parts) dropped.delete(id);
  const known = new Map(report.parts.map((part) => [part.id, part]));
  const own = new Set(parts.map(({ id }) => id));
  return {
    ...report,
    parts: [
      ...parts.map((part) => ({ ...known.get(part.id), ...reportPart(part) })),
      // Found in the pictures: of no sheet.
      ...report.parts.filter(({ id }) => !own.has(id) && !dropped.has(id)),
    ],
    tracks: report.tracks.filter(({ part }) => !dropped.has(part)),
    flags: report.flags
      .filter(({ part }) => part === null || !dropped.has(part))
      .map((flag) => ({ ...flag, carries: flag.carries.filter((id) => !dropped.has(id)) })),
  };
}

/** Strips whose results an edit made old, with those that were old before. */
export function oldStrips(
  report: Report,
  before: Sheet | null,
  after: Sheet | null,
  already: ReadonlySet<string>,
): ReadonlySet<string> {
  const touched = before === null || after === null ? null : touchedParts(before, after);
  const all = [...report.parts.map(({ id }) => id), "picture", "camera", "light"];
  return new Set([...already, ...(touched ?? all)]);
}
