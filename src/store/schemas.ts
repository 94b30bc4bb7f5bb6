import {
  comingShotSchema,
  noteSchema,
  productionSchema,
  puppetSchema,
  repairSchema,
  shotRecordSchema,
  verdictSchema,
} from "../model/records.ts";
import { name, orNull, text, z } from "../model/schema.ts";
import type { Kind, Records } from "./port.ts";

// What is read is checked, whether it comes from the store or from a file. Reports and what is made of them are
// not among these: a report file has a check of its own, and what was packed says its version.

const moment = z.iso.datetime();

export const sheetRecordSchema = z.looseObject({
  id: name,
  shot: name,
  text,
  from: orNull(text),
  edited: z.boolean().default(false),
  changed: moment,
});

export const thumbnailSchema = z.looseObject({
  id: name,
  shot: name,
  frame: z.int().nonnegative(),
  width: z.int().positive(),
  height: z.int().positive(),
  type: z.string().startsWith("image/"),
  bytes: z.custom<Uint8Array<ArrayBuffer>>((value) => value instanceof Uint8Array && value.length > 0, "is no picture"),
  changed: moment,
});

export const workshopRecordSchema = z.looseObject({
  id: name,
  own: text,
  fields: z.record(z.string(), z.string()),
  units: text,
  changed: moment,
});

const placeSchema = z.looseObject({ id: name, shot: name, folder: text, handle: z.unknown(), changed: moment });

const schemas = {
  production: productionSchema,
  shot: shotRecordSchema,
  puppet: puppetSchema,
  sheet: sheetRecordSchema,
  verdict: verdictSchema,
  note: noteSchema,
  repair: repairSchema,
  coming: comingShotSchema,
  thumbnail: thumbnailSchema,
  workshop: workshopRecordSchema,
  place: placeSchema,
} as const;
export type CheckedKind = keyof typeof schemas;

export const isChecked = (kind: Kind): kind is CheckedKind => Object.hasOwn(schemas, kind);

/** The record, or why it is none. */
export function readRecord<K extends CheckedKind>(
  kind: K,
  value: unknown,
): { readonly value: Records[K] } | { readonly fault: string } {
  const parsed = schemas[kind].safeParse(value);
  if (parsed.success) return { value: parsed.data as unknown as Records[K] };
  const [issue] = parsed.error.issues;
  return { fault: `${issue.path.join(".") || "the record"}: ${issue.message}` };
}
