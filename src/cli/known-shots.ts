import { isReportOf, parseSheet, type Report, type Sheet } from "../model/index.ts";
import { FileProblem } from "../store/adapters/files.ts";
import { readReports } from "./report-files.ts";
import { readStoreFile, type StoredShot, type StoreFile } from "./store-file.ts";

// The shots that notes and lists are made of: reports as files, exports of the page, or both.

export interface KnownShot {
  /** Different for each of them. */
  readonly id: string;
  /** The report's file; null where the report is from an export. */
  readonly file: string | null;
  readonly report: Report;
  readonly sheet: Sheet | null;
  /** What an export has of it; null where none has. */
  readonly stored: StoredShot | null;
}

export interface KnownShots {
  readonly shots: readonly KnownShot[];
  readonly stores: readonly StoreFile[];
  /** Every file that was read: none of them is written over. */
  readonly files: readonly string[];
  /** A sentence each, naming the file. */
  readonly problems: readonly string[];
}

const isExport = (file: string): boolean => /\.zip$/iu.test(file);

/**
 * Reads report files, folders of them, and exports. A report that is given as a file stands before the export's own of the
 * same shot, and takes its verdicts, notes and pictures over.
 *
 * @param store an export that is asked for what is known of these shots alone; its other shots are left out
 */
export const readShots = async (places: readonly string[], store: string | null): Promise<KnownShots> => {
  const given = places.filter(isExport);
  const { found, problems: reportProblems } = await readReports(places.filter((place) => !isExport(place)));
  const problems = [...reportProblems];
  const stores: StoreFile[] = [];
  for (const file of new Set([...given, ...(store === null ? [] : [store])])) {
    try {
      const read = await readStoreFile(file);
      problems.push(...read.problems);
      if (read.store !== null) stores.push(read.store);
    } catch (error) {
      if (!(error instanceof FileProblem)) throw error;
      problems.push(error.message);
    }
  }
  const all = stores.flatMap((one) => one.shots);
  const sheetOf = (stored: StoredShot, report: Report): Sheet | null => {
    if (stored.sheet === null) return null;
    const { name, width, height } = stored.record;
    const read = parseSheet(stored.sheet, `the sheet of ${name}`, { frames: report.shot.frames, width, height });
    if ("sheet" in read) return read.sheet;
    problems.push(read.refusals[0]);
    return null;
  };
  const ofFiles = found.map(({ file, report }): KnownShot => {
    const stored = all.find(({ record }) => isReportOf(report, record)) ?? null;
    return { id: file, file, report, stored, sheet: stored === null ? null : sheetOf(stored, report) };
  });
  const told = new Set(ofFiles.flatMap(({ stored }) => stored?.record.id ?? []));
  const ofStores = stores
    .filter(({ file }) => given.includes(file))
    .flatMap(({ shots }) => shots)
    .flatMap((stored): KnownShot[] => {
      const { record, report } = stored;
      if (report === null || told.has(record.id)) return [];
      told.add(record.id);
      return [{ id: record.id, file: null, report, stored, sheet: sheetOf(stored, report) }];
    });
  for (const { file, shots } of stores.filter((one) => given.includes(one.file)))
    if (shots.every(({ report }) => report === null)) problems.push(`${file} has no report in it`);
  return {
    shots: [...ofFiles, ...ofStores],
    stores,
    files: [...found.map(({ file }) => file), ...stores.map(({ file }) => file)],
    problems,
  };
};
