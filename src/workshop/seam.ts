import type { Build, FlagKind, PartKind } from "../model/index.ts";

// What usually is behind a flag, and what cures it, as ids; the pages about each come with the workshop. Common practice,
// no source. In the order in which to look.

interface Cause {
  readonly id: string;
  readonly fix: string;
  readonly kinds: readonly FlagKind[];
  readonly parts: readonly PartKind[];
  /** Builds of armature that can have it; left out: any. */
  readonly builds?: readonly Build[];
}

/** Parts with an armature inside. */
const jointed: readonly PartKind[] = ["limb", "head", "hand", "body", "found"];
const soft: readonly PartKind[] = ["costume", "skin", "hair"];

const causes: readonly Cause[] = [
  { id: "ball-turns", fix: "tighten-ball-joint", kinds: ["sag"], parts: jointed, builds: ["ball"] },
  { id: "tired-wire", fix: "replace-wire", kinds: ["sag"], parts: jointed, builds: ["wire"] },
  { id: "load-above-joint", fix: "lighten-or-support", kinds: ["sag"], parts: jointed },
  { id: "wire-springs", fix: "overbend-wire", kinds: ["spring-back"], parts: jointed, builds: ["wire"] },
  { id: "skin-pulls", fix: "relieve-skin-at-joint", kinds: ["spring-back"], parts: jointed },
  { id: "touched-in-passing", fix: "set-back-by-ghost", kinds: ["knock", "pop"], parts: [...jointed, ...soft] },
  { id: "loose-tie-down", fix: "tie-down-feet", kinds: ["knock"], parts: ["body", "limb", "found"] },
  {
    id: "face-piece-loose",
    fix: "seat-with-magnets-or-key",
    kinds: ["knock", "pop", "sag", "seating"],
    parts: ["face", "eye"],
  },
  { id: "cloth-relaxes", fix: "line-or-wire-cloth", kinds: ["sag", "spring-back"], parts: soft },
  { id: "prop-loose", fix: "fix-down-prop", kinds: ["set-shift", "knock", "pop"], parts: ["prop"] },
  { id: "set-loose", fix: "clamp-set-to-table", kinds: ["set-shift", "pop"], parts: ["set"] },
  { id: "support-slips", fix: "lock-support", kinds: ["set-shift", "pop"], parts: ["support"] },
  { id: "set-dries-or-warps", fix: "seal-and-brace-set", kinds: ["set-shift"], parts: ["set", "prop"] },
];

const frameWide: Partial<Readonly<Record<FlagKind, readonly (readonly [cause: string, fix: string])[]>>> = {
  "camera-shift": [
    ["camera-touched", "lock-camera"],
    ["mount-creeps", "weigh-down-mount"],
  ],
  soft: [
    ["focus-ring-crept", "tape-focus-and-iris"],
    ["iris-crept", "tape-focus-and-iris"],
  ],
  repeat: [["exposure-saved-twice", "reshoot-frame"]],
  light: [
    ["lamp-dims", "replace-lamp"],
    ["mains-voltage-drops", "regulate-lamp-supply"],
    ["exposure-varies", "set-camera-to-manual"],
  ],
};

export interface LikelyCauses {
  readonly causes: readonly string[];
  readonly fixes: readonly string[];
}

/**
 * Causes and fixes in the order in which to look.
 *
 * @param partKind null for what concerns the whole frame
 * @param build of the armature at the part; where it isn't known no cause that needs a build is ruled out
 */
export function likelyCauses(kind: FlagKind, partKind: PartKind | null, build: Build | null): LikelyCauses {
  const found =
    partKind === null
      ? (frameWide[kind] ?? []).map(([id, fix]) => ({ id, fix }))
      : causes.filter(
          (cause) =>
            cause.kinds.includes(kind) &&
            cause.parts.includes(partKind) &&
            (cause.builds === undefined || build === null || cause.builds.includes(build)),
        );
  return { causes: found.map(({ id }) => id), fixes: [...new Set(found.map(({ fix }) => fix))] };
}
