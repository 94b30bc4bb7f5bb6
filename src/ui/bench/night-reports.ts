import { type HoldSummary, parseReport, type Report, REPORT_FORMAT, summariseHolds } from "../../model/index.ts";
import { pickFolder } from "../opening/pick.ts";
import { fileOf } from "../opening/picked.ts";
import { addNotice } from "../state/session.ts";
import { createStore } from "../state/store.ts";

// Report files of a night run: looked at as long as the page is open, unless somebody keeps them as shots (keep-night.ts).

export interface NightReport {
  readonly id: string;
  readonly file: string;
  readonly folder: string;
  readonly shotName: string;
  readonly report: Report;
  readonly holds: readonly HoldSummary[];
}

export const nightReports = createStore<{
  readonly reports: readonly NightReport[];
  readonly reading: boolean;
  readonly keeping: boolean;
  /** What came of keeping them; empty where nothing was kept yet. */
  readonly told: string;
}>({ reports: [], reading: false, keeping: false, told: "" });

const byName = new Intl.Collator("en", { numeric: true });
const isReport = new RegExp(`"format"\\s*:\\s*"${REPORT_FORMAT}"`, "u");

/** So that the page answers while many files are read. */
export const breathe = (): Promise<void> => new Promise((resolve) => setTimeout(resolve));

/** Asks for a folder and takes the report files in it. A file that can't be read is named, and the others are taken. */
export async function takeNightReports(): Promise<void> {
  const folder = await pickFolder();
  if (folder === null) return;
  nightReports.set({ reading: true, told: "" });
  const taken = new Map(nightReports.get().reports.map((report) => [report.id, report] as const));
  const problems: string[] = [];
  let found = 0;
  try {
    const files = folder.files.filter(({ name }) => /\.json$/iu.test(name));
    for (const picked of files.toSorted((a, b) => byName.compare(a.name, b.name))) {
      await breathe();
      try {
        const text = await (await fileOf(picked)).text();
        if (!isReport.test(text)) continue;
        const parsed = parseReport(text, picked.name);
        if ("refusals" in parsed) problems.push(parsed.refusals[0]);
        else {
          const { report } = parsed;
          found += 1;
          const id = `night:${folder.name}/${picked.name}`;
          const { name: shotName, folder: from } = report.shot;
          taken.set(id, { id, file: picked.name, folder: from, shotName, report, holds: summariseHolds(report, null) });
        }
      } catch (error) {
        problems.push(`${picked.name} can't be read: ${error instanceof Error ? error.message : String(error)}`);
      }
    }
  } finally {
    nightReports.set({ reading: false, reports: [...taken.values()] });
  }
  if (found === 0 && problems.length === 0) problems.push(`There is no report file in ${folder.name}.`);
  if (problems.length > 0) addNotice("Some report files could not be taken", problems);
}

export const leaveNightReports = (): void => nightReports.set({ reports: [] });
