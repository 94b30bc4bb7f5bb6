import { count, name, text, z } from "../../model/schema.ts";
import type { Kind, Records } from "../port.ts";

// The export: one zip. Sheets and reports are their own standard files, everything else is records as JSON. What is
// made from something else (holds) and what only this browser can read (the way to the frames) is not in it.

export const ARCHIVE_FORMAT = "holdfast-store";
/** The latest version of the format that is read; it is the one that is written. */
export const ARCHIVE_VERSION = 1;
export const MANIFEST = "holdfast-store.json";

export const manifestSchema = z.looseObject({
  format: z.literal(ARCHIVE_FORMAT),
  version: z.literal(ARCHIVE_VERSION),
  /** UTC. */
  made: z.iso.datetime(),
  holdfast: text,
  /** Id of the one shot that it holds, or null: everything. */
  shot: name.nullable().default(null),
  /** Every file in it with its size in bytes and its CRC-32, so that a damaged one is told by its name. */
  entries: z.array(z.looseObject({ path: name, bytes: z.int().nonnegative(), crc: z.int().nonnegative() })),
});

/** Lists of records that belong to no shot, by their file. */
export const listFiles = {
  "productions.json": "production",
  "puppets.json": "puppet",
  "repairs.json": "repair",
  "shots-to-come.json": "coming",
  "workshop.json": "workshop",
} as const satisfies Readonly<Record<string, Kind>>;

/** Beside the record of a shot: what its sheet's and report's files don't say of themselves. */
export const asideSchema = z.looseObject({
  sheet: z
    .looseObject({ from: text.nullable().default(null), edited: z.boolean().default(false), changed: z.iso.datetime() })
    .nullable()
    .default(null),
  report: z.looseObject({ changed: z.iso.datetime() }).nullable().default(null),
});

/** A picture of pictures.json; its bytes are the file of its name beside it. */
export const pictureSchema = z.looseObject({
  frame: z.int().nonnegative(),
  width: count,
  height: count,
  type: z.string().startsWith("image/"),
  file: name,
  changed: z.iso.datetime(),
});

/** Kinds that are in an export. */
export const exported = [
  "production",
  "shot",
  "puppet",
  "sheet",
  "report",
  "verdict",
  "note",
  "repair",
  "coming",
  "thumbnail",
  "workshop",
] as const satisfies readonly Kind[];
export type ExportedKind = (typeof exported)[number];

/** Records by kind, as they come out of an export. */
export type Collected = { readonly [K in ExportedKind]: readonly Records[K][] };

export const collectedNone = (): { -readonly [K in ExportedKind]: Records[K][] } => ({
  production: [],
  shot: [],
  puppet: [],
  sheet: [],
  report: [],
  verdict: [],
  note: [],
  repair: [],
  coming: [],
  thumbnail: [],
  workshop: [],
});
