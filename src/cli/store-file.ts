import {
  type ComingShot,
  type Note,
  type Puppet,
  type Repair,
  type Report,
  type ShotRecord,
  type Verdict,
} from "../model/index.ts";
import { readBytes } from "../store/adapters/files.ts";
import { readArchive } from "../store/archive/read-archive.ts";
import type { Thumbnail } from "../store/port.ts";

// What the page exported: everything that people decided, for pages that are made without it.

/** A shot of an export, with all that is its own. */
export interface StoredShot {
  readonly record: ShotRecord;
  readonly report: Report | null;
  /** Its sheet's file. */
  readonly sheet: string | null;
  readonly verdicts: readonly Verdict[];
  readonly notes: readonly Note[];
  readonly pictures: readonly Thumbnail[];
}

export interface StoreFile {
  readonly file: string;
  readonly shots: readonly StoredShot[];
  readonly puppets: readonly Puppet[];
  readonly repairs: readonly Repair[];
  readonly coming: readonly ComingShot[];
}

/**
 * An export, and sentences on what in it can't be used, each with the file's name; null where none of it can be. Throws a
 * FileProblem where the file can't be read at all.
 */
export const readStoreFile = async (
  file: string,
): Promise<{ readonly store: StoreFile | null; readonly problems: readonly string[] }> => {
  const archive = await readArchive(await readBytes(file), file);
  if ("refusals" in archive) return { store: null, problems: archive.refusals };
  const { records, refused } = archive;
  const problems = refused.map((line) => `${file}: ${line}`);
  const shots = records.shot.map((record): StoredShot => {
    const own = <T extends { readonly shot: string }>(list: readonly T[]) =>
      list.filter(({ shot }) => shot === record.id);
    return {
      record,
      report: own(records.report)[0]?.report ?? null,
      sheet: own(records.sheet)[0]?.text ?? null,
      verdicts: own(records.verdict),
      notes: own(records.note),
      pictures: own(records.thumbnail),
    };
  });
  const { puppet: puppets, repair: repairs, coming } = records;
  return { store: { file, shots, puppets, repairs, coming }, problems };
};
