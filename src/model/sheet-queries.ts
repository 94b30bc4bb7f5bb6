import type { FrameNumber } from "../units/index.ts";
import { parseJson } from "./json.ts";
import { isObject } from "./refusal.ts";
import type { CameraIntent, Intent, Outline, Part, Sheet } from "./sheet.ts";

// Questions that are asked of a sheet again and again. Sheets are those of parseSheet: references hold,
// there are no loops, lists are in the order of their frames.

/** What a part is meant to do at a frame; null where the sheet doesn't say. */
export const intentAt = (part: Part, frame: FrameNumber): Intent | null =>
  part.intents.find(({ from, to }) => from <= frame && frame <= to) ?? null;

/** What the camera is meant to do at a frame. It holds where the sheet doesn't say. */
export const cameraIntentAt = (sheet: Sheet, frame: FrameNumber): CameraIntent["intent"] =>
  sheet.camera.find(({ from, to }) => from <= frame && frame <= to)?.intent ?? "holds";

/** The part, its carrier, the carrier's carrier, and so on to the root. Empty for an id that isn't there. */
export const carrierChain = (sheet: Pick<Sheet, "parts">, partId: string): readonly Part[] => {
  const chain: Part[] = [];
  let id: string | null = partId;
  while (id !== null) {
    const part: Part | undefined = sheet.parts.find((candidate) => candidate.id === id);
    if (part === undefined || chain.includes(part)) break;
    chain.push(part);
    id = part.carrier;
  }
  return chain;
};

/** All parts that ride on a part, at first or second hand, in the order of the sheet. The part itself is not among them. */
export const partsCarriedBy = (sheet: Sheet, partId: string): readonly Part[] =>
  sheet.parts.filter((part) => part.id !== partId && carrierChain(sheet, part.id).some(({ id }) => id === partId));

/** The outline that counts at a frame: the last one drawn at or before it, else the first one. */
export const outlineKeyFor = (part: Part, frame: FrameNumber): Outline =>
  part.outlines.findLast((outline) => outline.frame <= frame) ?? part.outlines[0];

/** Pixels of the original frame for a millimetre at a part; null where neither part nor sheet has a scale. */
export const pxPerMmOf = (sheet: Sheet, part: Part): number | null => part.pxPerMm ?? sheet.scale?.pxPerMm ?? null;

/** The pass that a sheet's text says it is for, looked up before the sheet is read in full; null where it says none. */
export const passOfSheet = (text: string): string | null => {
  const json = parseJson(text);
  if ("fault" in json || !isObject(json.value) || !isObject(json.value.shot)) return null;
  const { pass } = json.value.shot;
  return typeof pass === "string" && pass.trim() !== "" ? pass : null;
};
