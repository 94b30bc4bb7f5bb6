import {
  carrierChain,
  centroidOf,
  outlineKeyFor,
  type Part,
  partsCarriedBy,
  pxPerMmOf,
  type Sheet,
} from "../../model/index.ts";
import { type Chain, type Link, usualSigmas } from "./chain.ts";

/** Weight of a part is written to the gram: it is taken for right within half a gram or 3 %, whatever is more. Common practice, no source. */
const sigmaOfMass = (grams: number | null): number => (grams === null ? 0 : Math.max(0.5, 0.03 * grams));

function linkOf(sheet: Sheet, part: Part, scale: number): Link {
  const joint = part.joints[0];
  const outline = joint === undefined ? part.outlines[0] : outlineKeyFor(part, joint.frame);
  return {
    id: part.id,
    name: part.name,
    on: part.carrier,
    joint: joint === undefined ? null : { id: joint.id, name: joint.name, at: joint.at },
    centre: centroidOf(outline),
    massGrams: part.massGrams,
    massSigmaGrams: sigmaOfMass(part.massGrams),
    intoPictureDegrees: part.intoPictureDegrees,
    pxPerMm: pxPerMmOf(sheet, part) ?? scale,
  };
}

export type SheetChain = { readonly chain: Chain; readonly root: string } | { readonly why: string };

/**
 * The chain that a part belongs to, as its sheet has it: everything that hangs together with it, centres of mass at the
 * centroids of the outlines. Refused where there is no scale or no joint.
 */
export function chainOfSheet(sheet: Sheet, partId: string): SheetChain {
  const chain = carrierChain(sheet, partId);
  const root = chain.at(-1);
  if (root === undefined) return { why: `The sheet has no part '${partId}'.` };
  const parts = [root, ...partsCarriedBy(sheet, root.id)];
  const scale = parts.map((part) => pxPerMmOf(sheet, part)).find((each) => each !== null);
  if (scale === undefined || scale === null) {
    return { why: "The sheet has no scale (pixels for a millimetre), so lengths can't be told." };
  }
  if (parts.every((part) => part.joints.length === 0))
    return { why: `The sheet has no joint on ${root.name} or what it carries.` };
  return {
    root: root.id,
    chain: {
      links: parts.map((part) => linkOf(sheet, part, scale)),
      down: sheet.down,
      downIntoPictureDegrees: sheet.downIntoPicture,
      sigmas: usualSigmas,
    },
  };
}
