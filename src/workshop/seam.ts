import type { Build, FlagKind, PartKind } from "../model/index.ts";
import { builtIn } from "./built-in.ts";
import { rankCauses } from "./rank.ts";
import type { Signs } from "./signs.ts";

export interface LikelyCauses {
  readonly causes: readonly string[];
  readonly fixes: readonly string[];
}

/**
 * Causes and fixes in the order in which to look, as ids: what a flag carries. The fixes are the usual one of each cause.
 *
 * @param partKind null for what concerns the whole frame
 * @param build of the armature at the part; where it isn't known no cause that needs a build is ruled out
 * @param signs what was measured of the drift
 */
export function likelyCauses(
  kind: FlagKind,
  partKind: PartKind | null,
  build: Build | null,
  signs: Signs = {},
): LikelyCauses {
  const { ranked } = rankCauses(builtIn, { kind, part: partKind, build, signs });
  return {
    causes: ranked.map(({ cause }) => cause.id),
    fixes: [...new Set(ranked.map(({ fixes }) => fixes[0].id))],
  };
}
