import { type Fault, faultsOf } from "../faults.ts";

// A puppet as a chain of rigid links that hang on each other by joints, as it stands in the picture.

export type Place = readonly [x: number, y: number];

/** One link: a part with its weight, and the joint by which it hangs on the link nearer to the ground. */
export interface Link {
  readonly id: string;
  readonly name: string;
  /** The link that carries it; null for the root, which stands by itself. */
  readonly on: string | null;
  /** Where it turns, px of the picture; null where it is fast on its carrier (a hat on a head). */
  readonly joint: { readonly id: string; readonly name: string; readonly at: Place } | null;
  /** Centre of mass, px. */
  readonly centre: Place;
  /** Null where nobody weighed it: loads that need it are not told. */
  readonly massGrams: number | null;
  /** 1 sigma, g. */
  readonly massSigmaGrams: number;
  /** Tilt of the line from joint to centre out of the picture's plane, degrees, away from the lens positive. */
  readonly intoPictureDegrees: number;
  /** Pixels for a millimetre at this link. */
  readonly pxPerMm: number;
}

export interface Chain {
  readonly links: readonly Link[];
  /** Gravity in the picture; any length but zero. */
  readonly down: Place;
  /** How far gravity leans into the picture: 0 where the camera looks level. */
  readonly downIntoPictureDegrees: number;
  readonly sigmas: ChainSigmas;
}

/** How exactly the chain is known, 1 sigma. */
export interface ChainSigmas {
  /** Place of a joint, px: what a person can point at. */
  readonly jointPx: number;
  /** Place of a centre of mass as a share of its distance from the joint: an outline doesn't show what is heavy. */
  readonly centreShare: number;
  /** Scale, as a share. */
  readonly scaleShare: number;
  readonly angleDegrees: number;
}

/** Joint about 5 px, centre 10 % along, scale 2 %, tilt 5 degrees. Common practice, no source. */
export const usualSigmas: ChainSigmas = { jointPx: 5, centreShare: 0.1, scaleShare: 0.02, angleDegrees: 5 };

/** Steepest tilt out of the picture that is believed: beyond it the length can't be told from what is left of it. */
const STEEPEST = 80;

const loopFrom = (links: readonly Link[], start: Link): readonly Link[] | null => {
  const path: Link[] = [start];
  for (;;) {
    const next = links.find((link) => link.id === path[path.length - 1].on);
    if (next === undefined) return null;
    if (path.includes(next)) return next === start ? path : null;
    path.push(next);
  }
};

function linkFaults(links: readonly Link[], link: Link): Fault[] {
  const field = (name: string) => `links.${link.id}.${name}`;
  const faults = faultsOf([
    ...(link.massGrams === null
      ? []
      : [[field("mass"), link.massGrams, { what: `The mass of ${link.name}`, unit: "g", least: 0 }] as const]),
    [
      field("massSigma"),
      link.massSigmaGrams,
      { what: `The uncertainty of the mass of ${link.name}`, unit: "g", least: 0 },
    ],
    [
      field("tilt"),
      link.intoPictureDegrees,
      { what: `The tilt of ${link.name} out of the picture`, unit: "degrees", least: -STEEPEST, most: STEEPEST },
    ],
    [field("scale"), link.pxPerMm, { what: `The scale at ${link.name}`, unit: "px a mm", above: 0 }],
  ]);
  if (links.some((other) => other !== link && other.id === link.id)) {
    faults.push({ field: field("on"), sentence: `Two links are called '${link.id}'; each needs a name of its own.` });
  }
  if (link.on !== null && !links.some((other) => other.id === link.on)) {
    faults.push({
      field: field("on"),
      sentence: `${link.name} hangs on '${link.on}', which is no link of this chain.`,
    });
  }
  const loop = loopFrom(links, link);
  if (loop !== null) {
    const names = [...loop, link].map(({ name }) => name).join(" on ");
    faults.push({
      field: field("on"),
      sentence: `The chain goes in a circle: ${names}. One of them must stand by itself.`,
    });
  }
  return faults;
}

/** Everything about a chain that can't be, each at its field. */
export function chainFaults(chain: Chain): readonly Fault[] {
  const faults = chain.links.flatMap((link) => linkFaults(chain.links, link));
  if (!(Math.hypot(...chain.down) > 0)) {
    faults.push({ field: "down", sentence: "Gravity has no direction: one of the two numbers must not be 0." });
  }
  return [
    ...faults,
    ...faultsOf([
      [
        "downIntoPicture",
        chain.downIntoPictureDegrees,
        { what: "The lean of gravity into the picture", unit: "degrees", least: -90, most: 90 },
      ],
    ]),
  ];
}

/** The links that carry a link, up to the root, and all that hang on it: what is of one limb. Itself among them. */
export function branchOf(links: readonly Link[], id: string): ReadonlySet<string> {
  const branch = new Set(carriedBy(links, id).map((link) => link.id));
  let at = links.find((link) => link.id === id);
  while (at !== undefined) {
    branch.add(at.id);
    const on: string | null = at.on;
    at = links.find((link) => link.id === on && !branch.has(link.id));
  }
  return branch;
}

/** The link and all that hang on it, at first or second hand, in the order of the chain. */
export const carriedBy = (links: readonly Link[], id: string): readonly Link[] => {
  const ids = new Set([id]);
  for (let grown = true; grown; ) {
    grown = false;
    for (const link of links) {
      if (link.on === null || ids.has(link.id) || !ids.has(link.on)) continue;
      ids.add(link.id);
      grown = true;
    }
  }
  return links.filter((link) => ids.has(link.id));
};
