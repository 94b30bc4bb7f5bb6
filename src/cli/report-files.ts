import { stat } from "node:fs/promises";
import path from "node:path";
import { parseReport, type Report, REPORT_FORMAT } from "../model/index.ts";
import { FileProblem, filesIn, readText } from "../store/adapters/files.ts";

// Report files as a night run leaves them: some named one by one, some lying in a folder among other things.

export interface FoundReport {
  readonly file: string;
  readonly report: Report;
}

export interface FoundReports {
  readonly found: readonly FoundReport[];
  /** Why a file can't be used, a sentence each that names it. */
  readonly problems: readonly string[];
}

const isReport = new RegExp(`"format"\\s*:\\s*"${REPORT_FORMAT}"`, "u");
const byName = new Intl.Collator("en", { numeric: true });

/** JSON files right in a folder, in the order of their names. */
const jsonIn = async (folder: string): Promise<readonly string[]> =>
  (await filesIn(folder))
    .filter(({ name }) => /\.json$/iu.test(name))
    .toSorted((a, b) => byName.compare(a.name, b.name))
    .map((file) => file.path);

/**
 * Reads the reports among files and folders. What lies in a folder and is no report is left alone (sheets, proofs); a file
 * that was named and is none, and every damaged one, is a problem. None of them stops the rest.
 */
export const readReports = async (places: readonly string[]): Promise<FoundReports> => {
  const found: FoundReport[] = [];
  const problems: string[] = [];
  const seen = new Set<string>();
  const read = async (file: string, isNamed: boolean): Promise<void> => {
    if (seen.has(path.resolve(file))) return;
    seen.add(path.resolve(file));
    const { text } = await readText(file);
    if (!isNamed && !isReport.test(text)) return;
    const parsed = parseReport(text, file);
    if ("report" in parsed) found.push({ file, report: parsed.report });
    else problems.push(`${file} is no report that can be used: ${parsed.refusals[0]}`);
  };
  const attempt = async (work: () => Promise<void>): Promise<void> => {
    try {
      await work();
    } catch (error) {
      if (!(error instanceof FileProblem)) throw error;
      problems.push(error.message);
    }
  };
  for (const place of places)
    await attempt(async () => {
      const isFolder = (await stat(place).catch(() => null))?.isDirectory() === true;
      if (!isFolder) return read(place, true);
      const files = await jsonIn(place);
      const before = found.length + problems.length;
      for (const file of files) await attempt(() => read(file, false));
      if (found.length + problems.length === before) problems.push(`${place} has no report file in it`);
    });
  return { found, problems };
};
