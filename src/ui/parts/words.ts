import type { Build, PartKind } from "../../model/index.ts";

export const kindWords: Readonly<Record<PartKind, string>> = {
  limb: "limb",
  head: "head",
  hand: "hand",
  body: "body",
  costume: "costume",
  skin: "skin",
  hair: "hair or fur",
  face: "face, a replacement",
  eye: "eye",
  prop: "prop",
  set: "set",
  support: "support, painted out later",
  found: "not told yet",
};

export const buildWords: Readonly<Record<Build, string>> = { ball: "ball joints", wire: "wire", other: "other" };
