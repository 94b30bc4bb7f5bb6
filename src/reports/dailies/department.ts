import type { Flag, FlagKind, PartKind } from "../../model/index.ts";

// Whose work a finding is, by its kind and by the kind of its part. Common practice, no source: workshops cut their
// departments in many ways, so this is a first sorting and no order to anyone.

export const departments = [
  "armature",
  "mould-and-silicone",
  "costume",
  "hair-and-face-kits",
  "camera",
  "lighting",
  "set",
  "not-told",
] as const;
export type Department = (typeof departments)[number];

export const departmentLabels: Readonly<Record<Department, string>> = {
  armature: "armature",
  "mould-and-silicone": "mould and silicone",
  costume: "costume",
  "hair-and-face-kits": "hair and face kits",
  camera: "camera",
  lighting: "lighting",
  set: "set",
  "not-told": "not told",
};

/** What is wrong whichever part it is on. */
const byKind: Readonly<Partial<Record<FlagKind, Department>>> = {
  "camera-shift": "camera",
  soft: "camera",
  repeat: "camera",
  light: "lighting",
  "set-shift": "set",
  stray: "set",
  "skin-shift": "mould-and-silicone",
};

const byPart: Readonly<Record<PartKind, Department>> = {
  limb: "armature",
  head: "armature",
  hand: "armature",
  body: "armature",
  costume: "costume",
  skin: "mould-and-silicone",
  hair: "hair-and-face-kits",
  face: "hair-and-face-kits",
  eye: "hair-and-face-kits",
  prop: "set",
  set: "set",
  support: "set",
  found: "not-told",
};

/**
 * The department that a finding goes to. A face that sits elsewhere is the face kit's, whatever kind of part wears it;
 * what is found without an outline, or on a piece that nobody has named, is "not told" unless its kind says more.
 */
export const departmentOf = ({ kind }: Pick<Flag, "kind">, part: { readonly kind: PartKind } | null): Department => {
  if (kind === "seating") return "hair-and-face-kits";
  return byKind[kind] ?? (part === null ? "not-told" : byPart[part.kind]);
};
