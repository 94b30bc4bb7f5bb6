import { strFromU8, unzipSync } from "fflate";
import { parseJson } from "../../model/json.ts";
import { parseReport } from "../../model/index.ts";
import { formatFault, isObject } from "../../model/refusal.ts";
import type { Kind, Records } from "../port.ts";
import { type CheckedKind, readRecord } from "../schemas.ts";
import { crc32 } from "./crc32.ts";
import {
  ARCHIVE_FORMAT,
  ARCHIVE_VERSION,
  asideSchema,
  type Collected,
  collectedNone,
  listFiles,
  MANIFEST,
  manifestSchema,
  pictureSchema,
} from "./format.ts";

export interface Archive {
  readonly records: Collected;
  /** Sentences that name the file in the export and the reason why it, or a record in it, is left out. */
  readonly refused: readonly string[];
  readonly made: string;
  /** Id of the one shot that it is of; null: everything. */
  readonly shot: string | null;
}

export interface ReadOptions {
  readonly pause?: () => Promise<void>;
}

/** Files of the zip that were read so far, each when it is asked for: a broken one breaks no other. */
class Files {
  readonly names: ReadonlySet<string>;
  private readonly zip: Uint8Array;

  /** @throws where it is no zip */
  constructor(zip: Uint8Array) {
    const names: string[] = [];
    unzipSync(zip, { filter: ({ name }) => names.push(name) === 0 });
    this.names = new Set(names);
    this.zip = zip;
  }

  /** @throws where the file can't be unpacked */
  bytes(path: string): Uint8Array<ArrayBuffer> {
    const bytes = unzipSync(this.zip, { filter: ({ name }) => name === path })[path];
    if (bytes === undefined) throw new Error("it is not in the file");
    return bytes as Uint8Array<ArrayBuffer>;
  }
}

const said = (error: unknown) => (error instanceof Error ? error.message : String(error));

/**
 * What is in an export. A damaged file in it is refused by its name and the reason, and the rest is kept; where the whole
 * can't be read there is nothing but refusals. Never throws.
 *
 * @param name of the file, only quoted
 */
export async function readArchive(
  zip: Uint8Array,
  name: string,
  { pause = () => Promise.resolve() }: ReadOptions = {},
): Promise<Archive | { readonly refusals: readonly string[] }> {
  let files: Files;
  try {
    files = new Files(zip);
  } catch {
    return { refusals: [`${name} is no zip file, or its end is missing`] };
  }
  if (!files.names.has(MANIFEST))
    return { refusals: [`${name} is no export of Holdfast: there is no ${MANIFEST} in it`] };
  let manifestText: string;
  try {
    manifestText = strFromU8(files.bytes(MANIFEST));
  } catch (error) {
    return { refusals: [`${name}: ${MANIFEST} can't be unpacked: ${said(error)}`] };
  }
  const read = parseJson(manifestText);
  if ("fault" in read) return { refusals: [`${name}: ${MANIFEST} ${read.fault}`] };
  const fault = formatFault(read.value, ARCHIVE_FORMAT, ARCHIVE_VERSION);
  if (fault !== null) return { refusals: [`${name}: ${MANIFEST} ${fault}`] };
  const parsed = manifestSchema.safeParse(read.value);
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    return { refusals: [`${name}: ${MANIFEST}: ${issue.path.join(".")}: ${issue.message}`] };
  }
  const manifest = parsed.data;
  const sums = new Map(manifest.entries.map((entry) => [entry.path, entry]));
  const refused: string[] = [];
  const records = collectedNone();

  const bytesOf = (path: string): Uint8Array<ArrayBuffer> | null => {
    try {
      const bytes = files.bytes(path);
      const sum = sums.get(path);
      if (sum !== undefined && (sum.bytes !== bytes.length || sum.crc !== crc32(bytes))) {
        throw new Error("its contents are not what was written: the file was damaged");
      }
      return bytes;
    } catch (error) {
      refused.push(`${path}: ${said(error)}`);
      return null;
    }
  };
  const jsonOf = (path: string): unknown => {
    const bytes = bytesOf(path);
    if (bytes === null) return null;
    const answer = parseJson(strFromU8(bytes));
    if ("value" in answer) return answer.value;
    refused.push(`${path} ${answer.fault}`);
    return null;
  };
  const take = <K extends CheckedKind>(kind: K, value: unknown, path: string): Records[K] | null => {
    const answer = readRecord(kind, value);
    if ("value" in answer) return answer.value;
    const id = isObject(value) && typeof value.id === "string" ? ` ${value.id}` : "";
    refused.push(`${path}: ${kind}${id}: ${answer.fault}`);
    return null;
  };
  const takeList = (kind: CheckedKind & keyof Collected, path: string): void => {
    if (!files.names.has(path)) return;
    const value = jsonOf(path);
    if (value === null) return;
    if (!Array.isArray(value)) {
      refused.push(`${path} is no list`);
      return;
    }
    // What is taken as a kind is a record of it.
    const into = records[kind] as Records[CheckedKind][];
    for (const each of value) {
      const record = take(kind, each, path);
      if (record) into.push(record);
    }
  };

  for (const [file, kind] of Object.entries(listFiles)) takeList(kind, file);
  for (const path of files.names) {
    const [, folder] = /^(shots\/[^/]+)\/shot\.json$/u.exec(path) ?? [];
    if (folder === undefined) continue;
    await pause();
    const value = jsonOf(path);
    if (!isObject(value)) continue;
    const { aside: asideValue, ...record } = value;
    const shot = take("shot", record, path);
    if (shot === null) continue;
    records.shot.push(shot);
    const own = { id: shot.id, shot: shot.id };
    const aside = asideSchema.safeParse(asideValue ?? {});
    if (!aside.success) refused.push(`${path}: aside: ${aside.error.issues[0].message}`);
    const told = aside.data ?? { sheet: null, report: null };

    const sheetPath = `${folder}/sheet.json`;
    const sheet = files.names.has(sheetPath) ? bytesOf(sheetPath) : null;
    if (sheet) {
      const { from = null, edited = false, changed = shot.changed } = told.sheet ?? {};
      records.sheet.push({ ...own, text: strFromU8(sheet), from, edited, changed });
    }
    const reportPath = `${folder}/report.json`;
    const report = files.names.has(reportPath) ? bytesOf(reportPath) : null;
    if (report) {
      const answer = parseReport(strFromU8(report), reportPath);
      if ("refusals" in answer) refused.push(...answer.refusals.slice(0, 3));
      else records.report.push({ ...own, report: answer.report, changed: told.report?.changed ?? shot.changed });
    }
    takeList("verdict", `${folder}/verdicts.json`);
    takeList("note", `${folder}/notes.json`);
    const list = files.names.has(`${folder}/pictures.json`) ? jsonOf(`${folder}/pictures.json`) : null;
    for (const each of Array.isArray(list) ? list : []) {
      const picture = pictureSchema.safeParse(each);
      if (!picture.success) {
        refused.push(
          `${folder}/pictures.json: ${picture.error.issues[0].path.join(".")}: ${picture.error.issues[0].message}`,
        );
        continue;
      }
      const { frame, width, height, type, file, changed } = picture.data;
      const bytes = bytesOf(`${folder}/pictures/${file}`);
      if (bytes === null) continue;
      const thumbnail = { id: `${shot.id}:${frame}`, shot: shot.id, frame, width, height, type, bytes, changed };
      const kept = take("thumbnail", thumbnail, `${folder}/pictures/${file}`);
      if (kept) records.thumbnail.push(kept);
    }
  }
  // What the manifest lists and the zip lacks was lost on the way.
  for (const path of sums.keys()) if (!files.names.has(path)) refused.push(`${path}: it is not in the file`);
  return { records, refused, made: manifest.made, shot: manifest.shot };
}

/** Kinds in the words of people. */
export const kindLabels: Readonly<Record<Kind, readonly [one: string, many: string]>> = {
  production: ["production", "productions"],
  shot: ["shot", "shots"],
  puppet: ["puppet", "puppets"],
  sheet: ["sheet", "sheets"],
  report: ["report", "reports"],
  holds: ["summary of holds", "summaries of holds"],
  verdict: ["verdict", "verdicts"],
  note: ["note", "notes"],
  repair: ["repair", "repairs"],
  coming: ["shot to come", "shots to come"],
  thumbnail: ["small picture", "small pictures"],
  workshop: ["workshop file", "workshop files"],
  place: ["way to frames", "ways to frames"],
};
