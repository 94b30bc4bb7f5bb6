import { px } from "../units/index.ts";
import { checkSheet, type ShotContext } from "./check-sheet.ts";
import { parseJson } from "./json.ts";
import { formatFault, isNearly, isObject, itemName, refusals, sentenceOf } from "./refusal.ts";
import type { Warning } from "./report.ts";
import {
  intentSchema,
  jointSchema,
  markSchema,
  outlineSchema,
  partSchema,
  type Sheet,
  SHEET_FORMAT,
  SHEET_VERSION,
  sheetSchema,
  sheetShotSchema,
} from "./sheet.ts";

/** `warnings` tells of keys that look like a misspelt one of the format: they are kept and do nothing. */
export type SheetResult =
  | { readonly sheet: Sheet; readonly warnings: readonly Warning[] }
  | { readonly refusals: readonly string[] };

const unit = ([x, y]: Sheet["down"]): Sheet["down"] => {
  const length = Math.hypot(x, y);
  // What already has length 1 stays as it is to the bit, so that writing and reading changes nothing.
  return Math.abs(length - 1) < 1e-12 ? [x, y] : [px(x / length), px(y / length)];
};

const byFrame = (a: { readonly frame: number }, b: { readonly frame: number }) => a.frame - b.frame;
const byFrom = (a: { readonly from: number }, b: { readonly from: number }) => a.from - b.from;

const normalise = (sheet: Sheet): Sheet => ({
  ...sheet,
  down: unit(sheet.down),
  camera: sheet.camera.toSorted(byFrom),
  marks: sheet.marks.toSorted(byFrame),
  parts: sheet.parts.map((part) => ({
    ...part,
    outlines: part.outlines.toSorted(byFrame),
    intents: part.intents.toSorted(byFrom),
  })),
});

/** Unknown keys that are one slip away from a known one that isn't there. */
const slips = (place: string, item: unknown, schema: { readonly shape: object }): string[] => {
  if (!isObject(item)) return [];
  const known = Object.keys(schema.shape);
  return Object.keys(item)
    .filter((key) => !known.includes(key))
    .flatMap((key) => {
      const meant = known.find((word) => isNearly(key, word) && !Object.hasOwn(item, word));
      return meant === undefined ? [] : [`${place} has "${key}", which does nothing: perhaps "${meant}" was meant`];
    });
};

const list = (value: unknown): readonly unknown[] => (Array.isArray(value) ? value : []);

const allSlips = (root: Readonly<Record<string, unknown>>): string[] => [
  ...slips("the sheet", root, sheetSchema),
  ...slips("shot", root.shot, sheetShotSchema),
  ...list(root.marks).flatMap((mark, i) => slips(`mark ${i + 1}`, mark, markSchema)),
  ...list(root.parts).flatMap((part, i) => {
    const place = itemName("part", part, i);
    if (!isObject(part)) return [];
    return [
      ...slips(place, part, partSchema),
      ...list(part.outlines).flatMap((item, k) => slips(`${place}: outline ${k + 1}`, item, outlineSchema)),
      ...list(part.joints).flatMap((item, k) => slips(`${place}: ${itemName("joint", item, k)}`, item, jointSchema)),
      ...list(part.intents).flatMap((item, k) => slips(`${place}: intent ${k + 1}`, item, intentSchema)),
    ];
  }),
];

/** The same for a sheet that is no text: as a file holds it, or as it was edited. The reasons do not name a file. */
export const readSheet = (
  value: Readonly<Record<string, unknown>>,
  context: ShotContext,
): { readonly sheet: Sheet } | { readonly reasons: readonly string[] } => {
  const parsed = sheetSchema.safeParse(value);
  const reasons = [
    ...(parsed.error?.issues ?? []).map((issue) => sentenceOf(issue, value, "the sheet")),
    ...checkSheet(value, context),
  ];
  return parsed.data === undefined || reasons.length > 0 ? { reasons } : { sheet: normalise(parsed.data) };
};

/**
 * The sheet in a file's text, with every default filled in, outlines, intents and marks in the order of their frames
 * and `down` of length 1; or every reason why it is refused, each a sentence that names the file, the place and what
 * stood there. `file` is only quoted. Never throws.
 */
export const parseSheet = (text: string, file: string, context: ShotContext): SheetResult => {
  const json = parseJson(text);
  if ("fault" in json) return refusals(file, [json.fault]);
  const fault = formatFault(json.value, SHEET_FORMAT, SHEET_VERSION);
  if (fault !== null || !isObject(json.value)) return refusals(file, [fault ?? ""]);
  const read = readSheet(json.value, context);
  if ("reasons" in read) return refusals(file, read.reasons);
  const warnings = allSlips(json.value).map((slip) => ({ code: "sheet-key", detail: `${file}: ${slip}` }));
  return { sheet: read.sheet, warnings };
};
