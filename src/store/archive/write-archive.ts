import { strToU8, Zip, ZipDeflate, ZipPassThrough } from "fflate";
import { writeJson } from "../../model/json.ts";
import { serialiseReport } from "../../model/index.ts";
import type { Store } from "../port.ts";
import { crc32 } from "./crc32.ts";
import { ARCHIVE_FORMAT, ARCHIVE_VERSION, listFiles, MANIFEST } from "./format.ts";

export interface WriteOptions {
  /** The version of the tool, to be written down. */
  readonly holdfast: string;
  /** Moment of the export, UTC. */
  readonly made: string;
  /** One shot alone, with the production and the puppets it belongs to; null: everything. */
  readonly shot: string | null;
  /** Waited for between files, so that a page stays alive. */
  readonly pause?: () => Promise<void>;
  readonly onProgress?: (done: number, total: number) => void;
}

const WIDTH = 120;
const DEPTH = 3;
const json = (value: unknown) => strToU8(writeJson(value, WIDTH, DEPTH));

const LEVEL = 6;

/** The zip's bytes, in pieces. */
export async function writeArchive(store: Store, options: WriteOptions): Promise<readonly Uint8Array<ArrayBuffer>[]> {
  const { holdfast, made, shot: only, pause = () => Promise.resolve(), onProgress } = options;
  const pieces: Uint8Array<ArrayBuffer>[] = [];
  let failure: Error | null = null;
  const zip = new Zip((error, piece) => {
    if (error) failure = error;
    else pieces.push(piece as Uint8Array<ArrayBuffer>);
  });
  const entries: { readonly path: string; readonly bytes: number; readonly crc: number }[] = [];
  const add = async (path: string, bytes: Uint8Array, isPacked = false) => {
    // Pictures are packed already.
    const entry = isPacked ? new ZipPassThrough(path) : new ZipDeflate(path, { level: LEVEL });
    zip.add(entry);
    entry.push(bytes, true);
    entries.push({ path, bytes: bytes.length, crc: crc32(bytes) });
    await pause();
  };

  const shots = (await store.list("shot")).map(({ value }) => value).filter(({ id }) => only === null || id === only);
  const production = only === null ? null : (shots[0]?.production ?? null);
  for (const [file, kind] of Object.entries(listFiles)) {
    // One shot takes along what it belongs to, and nothing of the rest of the workshop.
    if (only !== null && kind !== "production" && kind !== "puppet") continue;
    const list = (await store.list(kind)).map(({ value }) => value);
    const own =
      only === null
        ? list
        : list.filter((each) => each.id === production || ("production" in each && each.production === production));
    if (own.length > 0) await add(file, json(own));
  }
  for (const [done, shot] of shots.entries()) {
    onProgress?.(done, shots.length);
    const folder = `shots/${shot.id}`;
    const of = { shot: shot.id };
    const [sheet, report] = [await store.read("sheet", shot.id), await store.read("report", shot.id)];
    const aside = {
      sheet: sheet && { from: sheet.value.from, edited: sheet.value.edited, changed: sheet.value.changed },
      report: report && { changed: report.value.changed },
    };
    await add(`${folder}/shot.json`, json({ ...shot, aside }));
    if (sheet) await add(`${folder}/sheet.json`, strToU8(sheet.value.text));
    if (report) await add(`${folder}/report.json`, strToU8(serialiseReport(report.value.report)));
    for (const kind of ["verdict", "note"] as const) {
      const list = (await store.list(kind, of)).map(({ value }) => value);
      if (list.length > 0) await add(`${folder}/${kind}s.json`, json(list));
    }
    const pictures = (await store.list("thumbnail", of)).map(({ value }) => value);
    if (pictures.length > 0) {
      const files = pictures.map(({ frame, width, height, type, changed }) => {
        const file = `${String(frame).padStart(4, "0")}.${type === "image/jpeg" ? "jpg" : type.replace("image/", "")}`;
        return { frame, width, height, type, file, changed };
      });
      await add(`${folder}/pictures.json`, json(files));
      for (const [i, { bytes }] of pictures.entries()) await add(`${folder}/pictures/${files[i].file}`, bytes, true);
    }
  }
  onProgress?.(shots.length, shots.length);
  const manifest = { format: ARCHIVE_FORMAT, version: ARCHIVE_VERSION, made, holdfast, shot: only, entries };
  const last = new ZipDeflate(MANIFEST, { level: LEVEL });
  zip.add(last);
  last.push(json(manifest), true);
  zip.end();
  if (failure) throw failure;
  return pieces;
}
