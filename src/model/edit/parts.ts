import type { FrameNumber } from "../../units/index.ts";
import type { ShotContext } from "../check-sheet.ts";
import { carrierChain } from "../sheet-queries.ts";
import { createPart, type Outline, type Part, type Polygon, type Sheet } from "../sheet.ts";
import { accepted, type Edited, refused, withPart } from "./edited.ts";
import { idFor, nameFor } from "./ids.ts";

/** What a person can say of a part beside its outlines, joints and intents. */
export type PartFields = Partial<
  Pick<
    Part,
    | "name"
    | "kind"
    | "puppet"
    | "copy"
    | "carrier"
    | "build"
    | "massGrams"
    | "pxPerMm"
    | "intoPictureDegrees"
    | "bandPx"
  >
>;

/** A new part with the outline that was drawn at a frame; it has no intent yet, which is then found from the pictures. */
export const addPart = (
  sheet: Sheet,
  frame: FrameNumber,
  points: Polygon,
  context: ShotContext,
  fields: PartFields = {},
  holes: readonly Polygon[] = [],
): Edited & { readonly id?: string } => {
  const name = nameFor(
    fields.name ?? "Part",
    sheet.parts.map((part) => part.name),
  );
  const id = idFor(
    name,
    sheet.parts.map((part) => part.id),
    "part",
  );
  const part = createPart({ kind: "limb", ...fields, id, name, outlines: [{ frame, points, holes }] });
  const edited = accepted({ ...sheet, parts: [...sheet.parts, part] }, context);
  return "sheet" in edited ? { ...edited, id } : edited;
};

/** @param fields as a person gave them: what no sheet may hold (a text for a number) is refused, quoting it */
export const changePart = (
  sheet: Sheet,
  id: string,
  fields: Readonly<Partial<Record<keyof PartFields, unknown>>>,
  context: ShotContext,
): Edited => withPart(sheet, id, context, (part) => ({ ...part, ...(fields as PartFields) }));

/** Says what a part rides on; null: on nothing. Parts can't carry each other in a ring. */
export const carryPart = (sheet: Sheet, id: string, carrier: string | null, context: ShotContext): Edited => {
  const name = nameOf(sheet, id);
  if (carrier === id) return refused(`${name} can't ride on itself`);
  const chain = carrier === null ? [] : carrierChain(sheet, carrier);
  const at = chain.findIndex((link) => link.id === id);
  if (at < 0) return changePart(sheet, id, { carrier }, context);
  const [on, ...between] = chain.slice(0, at).map((link) => link.name);
  const way = between.length === 0 ? "" : ` (by way of ${between.join(", ")})`;
  return refused(`${name} can't ride on ${on}: ${on} rides on ${name} already${way}`);
};

const nameOf = (sheet: Sheet, id: string): string => sheet.parts.find((part) => part.id === id)?.name ?? id;

/** What rode on the part rides on the part's own carrier from then on; where it has none, nothing is said of those frames. */
const withoutCarrier = (part: Part, gone: Part): Part => {
  if (part.carrier !== gone.id) return part;
  const intents = gone.carrier === null ? part.intents.filter(({ intent }) => intent !== "rides") : part.intents;
  return { ...part, carrier: gone.carrier, intents };
};

/** Takes a part out of the sheet, with the marks that were for it alone. */
export const removePart = (sheet: Sheet, id: string, context: ShotContext): Edited => {
  const gone = sheet.parts.find((part) => part.id === id);
  if (gone === undefined) return refused(`there is no part '${id}' in this sheet`);
  return accepted(
    {
      ...sheet,
      parts: sheet.parts.filter((part) => part !== gone).map((part) => withoutCarrier(part, gone)),
      marks: sheet.marks.filter((mark) => mark.part !== id),
    },
    context,
  );
};

/** Puts parts that were proposed into the sheet; ids and names that are taken get a number. */
export const takeParts = (sheet: Sheet, proposed: readonly Part[], context: ShotContext): Edited => {
  const parts = [...sheet.parts];
  for (const part of proposed) {
    const name = nameFor(
      part.name,
      parts.map((each) => each.name),
    );
    const id = idFor(
      part.id,
      parts.map((each) => each.id),
      "part",
    );
    parts.push({ ...part, id, name });
  }
  return accepted({ ...sheet, parts }, context);
};

/** The outline that is drawn at this very frame; null where none is. */
export const outlineDrawnAt = (part: Part, frame: number): Outline | null =>
  part.outlines.find((outline) => outline.frame === frame) ?? null;

/** Draws the part anew at a frame, in place of an outline that is there already. */
export const putOutline = (sheet: Sheet, id: string, outline: Outline, context: ShotContext): Edited =>
  withPart(sheet, id, context, (part) => ({
    ...part,
    outlines: [...part.outlines.filter(({ frame }) => frame !== outline.frame), outline].toSorted(
      (a, b) => a.frame - b.frame,
    ),
  }));

export const removeOutline = (sheet: Sheet, id: string, frame: number, context: ShotContext): Edited =>
  withPart(sheet, id, context, (part) => {
    const left = part.outlines.filter((outline) => outline.frame !== frame);
    if (left.length === part.outlines.length) return `${part.name} has no outline at frame ${frame}`;
    return left.length === 0
      ? `${part.name} has no other outline: remove the part instead`
      : { ...part, outlines: left };
  });
