import { type Fault, faultsOf } from "../../workshop/faults.ts";
import type { Flag, Report, Sheet } from "../../model/index.ts";
import { type Chain, chainFaults, type Link, usualSigmas } from "../../workshop/joint-load/chain.ts";
import { chainOfSheet, type SheetChain } from "../../workshop/joint-load/chain-of-sheet.ts";
import { type FrameLoads, loadsByFrame } from "../../workshop/joint-load/poses.ts";
import { typedNumber } from "../../workshop/quantities.ts";

// The chain that the joint-load sum works on: the sheet's with what was typed over it, or one by hand.

type Fields = Readonly<Record<string, string>>;

/** Before the name of a link's field: what is typed over a sheet holds for its shot alone, another puppet may have links of the same name. */
const scopeOf = (sheet: Sheet | null): string => (sheet === null ? "" : `${sheet.shot.name}.`);

/** Name of a link's field. */
export const linkField = (link: string, what: "mass" | "centre" | "tilt" | "massSigma", scope: string): string =>
  `load.${scope}${link}.${what}`;

/** A field's number, or what stands for it where nothing was typed. An emptied field counts as not known. */
function typed<Missing>(fields: Fields, name: string, otherwise: Missing): number | Missing | null {
  const text = fields[name];
  if (text === undefined) return otherwise;
  return text.trim() === "" ? null : typedNumber(text);
}

/** A link with what a person typed for it. The centre is told by its distance from the joint, mm, along the link. */
function withTyped(link: Link, fields: Fields, scope: string): Link {
  const mass = typed(fields, linkField(link.id, "mass", scope), link.massGrams);
  const sigma = typed(fields, linkField(link.id, "massSigma", scope), link.massSigmaGrams);
  const tilt = typed(fields, linkField(link.id, "tilt", scope), link.intoPictureDegrees);
  const centreMm = typed(fields, linkField(link.id, "centre", scope), null);
  let { centre } = link;
  if (centreMm !== null && link.joint !== null) {
    const [x, y] = [centre[0] - link.joint.at[0], centre[1] - link.joint.at[1]];
    const length = Math.hypot(x, y);
    const px = centreMm * link.pxPerMm * Math.cos(((tilt ?? 0) * Math.PI) / 180);
    if (length > 0) centre = [link.joint.at[0] + (x / length) * px, link.joint.at[1] + (y / length) * px];
  }
  return { ...link, massGrams: mass, massSigmaGrams: sigma ?? 0, intoPictureDegrees: tilt ?? 0, centre };
}

/** Distance of a link's centre from its joint, true length, mm. */
export function centreMmOf({ joint, centre, pxPerMm, intoPictureDegrees }: Link): number | null {
  if (joint === null) return null;
  const seen = Math.hypot(centre[0] - joint.at[0], centre[1] - joint.at[1]) / pxPerMm;
  return seen / Math.cos((intoPictureDegrees * Math.PI) / 180);
}

/** The chain of a flag's part with what was typed over it. */
export function chainOfFlag(flag: Flag, sheet: Sheet | null, fields: Fields): SheetChain {
  if (sheet === null) return { why: "There is no sheet open, which would have joints and weights." };
  if (flag.part === null) return { why: "This finding is of no part." };
  const answer = chainOfSheet(sheet, flag.part);
  if ("why" in answer) return answer;
  return {
    ...answer,
    chain: { ...answer.chain, links: answer.chain.links.map((link) => withTyped(link, fields, scopeOf(sheet))) },
  };
}

/** The link that turns at a flag's joint; where no joint is told, the flag's own part. */
export const linkOfFlag = (flag: Flag, chain: Chain): Link | null =>
  chain.links.find(({ joint }) => joint !== null && joint.id === flag.joint) ??
  chain.links.find(({ id, joint }) => id === flag.part && joint !== null) ??
  null;

/** Links by hand, in the order in which they hang on each other to begin with: a level arm. */
export const handLinks = [
  { id: "hand-1", name: "Upper arm", on: "", length: "60", centre: "30", slope: "0", mass: "24" },
  { id: "hand-2", name: "Forearm", on: "hand-1", length: "55", centre: "25", slope: "0", mass: "18" },
  { id: "hand-3", name: "Hand", on: "hand-2", length: "25", centre: "12", slope: "0", mass: "11" },
  { id: "hand-4", name: "Prop", on: "hand-3", length: "20", centre: "10", slope: "0", mass: "0" },
] as const;
const handJoints = ["Shoulder", "Elbow", "Wrist", "Grip"] as const;

export const handField = (link: string, what: "on" | "length" | "centre" | "slope" | "tilt" | "mass"): string =>
  `load.${link}.${what}`;

/** The chain by hand: lengths and centres in mm, slopes in degrees below level. One px is one mm. */
function chainByHand(fields: Fields): Chain {
  const textOf = (link: (typeof handLinks)[number], what: "on" | "length" | "centre" | "slope" | "mass") =>
    fields[handField(link.id, what)] ?? link[what];
  const end = (id: string, seen: readonly string[]): readonly [number, number] => {
    const link = handLinks.find((each) => each.id === id);
    if (link === undefined || seen.includes(id)) return [0, 0];
    return along(link, typedNumber(textOf(link, "length")), [...seen, id]);
  };
  /** A point of a link, mm from its joint. */
  const along = (link: (typeof handLinks)[number], mm: number, seen: readonly string[]): readonly [number, number] => {
    const [x, y] = end(textOf(link, "on"), seen);
    const slope = (typedNumber(textOf(link, "slope")) * Math.PI) / 180;
    const tilt = (typedNumber(fields[handField(link.id, "tilt")] ?? "0") * Math.PI) / 180;
    const shown = mm * Math.cos(tilt);
    return [x + shown * Math.cos(slope), y + shown * Math.sin(slope)];
  };
  return {
    links: handLinks.map((link, i): Link => {
      const on = textOf(link, "on");
      const mass = textOf(link, "mass");
      return {
        id: link.id,
        name: link.name,
        on: on === "" ? null : on,
        joint: { id: `${link.id}-joint`, name: handJoints[i], at: end(on, [link.id]) },
        centre: along(link, typedNumber(textOf(link, "centre")), [link.id]),
        massGrams: mass.trim() === "" ? null : typedNumber(mass),
        massSigmaGrams: 0.5,
        intoPictureDegrees: typedNumber(fields[handField(link.id, "tilt")] ?? "0"),
        pxPerMm: 1,
      };
    }),
    down: [0, 1],
    downIntoPictureDegrees: 0,
    sigmas: { ...usualSigmas, jointPx: 2 },
  };
}

/** Lengths, centres and slopes that were typed and can't be; each at its field. */
function typedFaults(chain: Chain, fields: Fields, byHand: boolean, scope: string): readonly Fault[] {
  return chain.links.flatMap(({ id, name }) => {
    const hand = handLinks.find((each) => each.id === id);
    const numbers = (what: "centre" | "length" | "slope") => {
      const text = fields[`load.${scope}${id}.${what}`] ?? (byHand ? hand?.[what] : undefined);
      return text === undefined ? null : typedNumber(text);
    };
    const [centre, length, slope] = [
      numbers("centre"),
      byHand ? numbers("length") : null,
      byHand ? numbers("slope") : null,
    ];
    const own = name.toLowerCase();
    return faultsOf([
      ...(centre === null
        ? []
        : [
            [
              linkField(id, "centre", scope),
              centre,
              { what: `The centre of mass of the ${own}`, unit: "mm", least: 0 },
            ] as const,
          ]),
      ...(length === null
        ? []
        : [[`load.${id}.length`, length, { what: `The length of the ${own}`, unit: "mm", above: 0 }] as const]),
      ...(slope === null
        ? []
        : [
            [
              `load.${id}.slope`,
              slope,
              { what: `The slope of the ${own}`, unit: "degrees", least: -180, most: 180 },
            ] as const,
          ]),
    ]);
  });
}

/** Value of the field "load.source" where the chain is one by hand. */
export const BY_HAND = "by-hand";

interface LoadSum {
  /** Findings that a chain can be taken from. */
  readonly flags: readonly Flag[];
  /** The finding that the chain is of; null: it is by hand. */
  readonly flag: Flag | null;
  /** Null where there is none to tell, with the reason. */
  readonly chain: Chain | null;
  readonly why: string;
  /** Of the names of the links' fields. */
  readonly scope: string;
  readonly faults: readonly Fault[];
  readonly frames: readonly FrameLoads[];
}

/** Everything that the joint-load sum shows, from what is open and what was typed. */
export function loadSum(report: Report | null, sheet: Sheet | null, chosen: string | null, fields: Fields): LoadSum {
  const flags = report?.flags.filter(({ part }) => part !== null) ?? [];
  const likely = sheet === null ? undefined : flags.find(({ joint }) => joint !== null);
  const flag = fields["load.source"] === BY_HAND ? null : (flags.find(({ id }) => id === chosen) ?? likely ?? null);
  const scope = flag === null ? "" : scopeOf(sheet);
  const answer = flag === null ? { chain: chainByHand(fields) } : chainOfFlag(flag, sheet, fields);
  if ("why" in answer) return { flags, flag, chain: null, why: answer.why, scope, faults: [], frames: [] };
  const { chain } = answer;
  const faults = [...chainFaults(chain), ...typedFaults(chain, fields, flag === null, scope)];
  const frames = flag === null || report === null || faults.length > 0 ? [] : loadsByFrame(chain, report);
  return { flags, flag, chain, why: "", scope, faults, frames };
}
