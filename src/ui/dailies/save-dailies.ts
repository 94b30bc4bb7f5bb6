import type { Flag } from "../../model/index.ts";
import { correctionsCsv } from "../../reports/dailies/corrections.ts";
import type { Dailies, DailiesShot } from "../../reports/dailies/dailies.ts";
import { dailiesEdl } from "../../reports/dailies/edl.ts";
import { findingsCsv } from "../../reports/dailies/findings-csv.ts";
import { dailiesHtml, type FindingPictures } from "../../reports/dailies/html.ts";
import { dailiesMarkdown } from "../../reports/dailies/markdown.ts";
import { dailiesOtio } from "../../reports/dailies/otio.ts";
import { saveText } from "../opening/save.ts";
import { addNotice } from "../state/session.ts";
import { picturesOfFinding } from "./finding-pictures.ts";

export const forms = [
  { id: "html", label: "Page with pictures (HTML)" },
  { id: "md", label: "Markdown" },
  { id: "csv", label: "Findings as CSV" },
  { id: "otio", label: "Markers (OpenTimelineIO)" },
  { id: "edl", label: "Edit list (EDL)" },
  { id: "corrections", label: "Corrections for compositing (CSV)" },
] as const;
export type Form = (typeof forms)[number]["id"];

/** Every picture of the notes, asked for before the page is written. */
async function allPictures(dailies: Dailies): Promise<(shot: DailiesShot, flag: Flag) => FindingPictures | null> {
  const found = new Map<Flag, FindingPictures>();
  for (const { shots } of dailies.days)
    for (const { source, findings } of shots)
      for (const { flag } of findings) found.set(flag, await picturesOfFinding(source.id, source.report, flag));
  return (_, flag) => found.get(flag) ?? null;
}

/** The file's name says the day where there is one. */
const nameOf = ({ days }: Dailies): string =>
  days.length === 1 && days[0].day !== null ? `dailies-${days[0].day}` : "dailies";

export async function saveDailies(dailies: Dailies, form: Form): Promise<void> {
  const name = nameOf(dailies);
  switch (form) {
    case "html":
      return saveText(`${name}.html`, dailiesHtml(dailies, await allPictures(dailies)), "text/html");
    case "md":
      return saveText(`${name}.md`, dailiesMarkdown(dailies), "text/markdown");
    case "csv":
      return saveText(`${name}.csv`, findingsCsv(dailies), "text/csv");
    case "otio":
      return saveText(`${name}.otio`, dailiesOtio(dailies));
    case "corrections":
      return saveText(`${name}-corrections.csv`, correctionsCsv(dailies), "text/csv");
    case "edl": {
      const result = dailiesEdl(dailies);
      if ("edl" in result) return saveText(`${name}.edl`, result.edl, "text/plain");
      addNotice("No edit list was saved", [`The reason: ${result.reason}. Choose one day, or another form.`]);
    }
  }
}
