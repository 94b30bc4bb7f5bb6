import { carriedBy, type Chain, type Link } from "./chain.ts";
import { GRAVITY, jointLoads, momentAt } from "./moments.ts";

// How to bring the load at a joint down to what it is known to hold, or the joint up to the load: each way by itself.

/** Ball diameters that are commonly turned or bought, mm. Common practice, no source. */
export const ballSizesMm = [4, 5, 6, 7, 8, 9, 10, 12, 14, 16] as const;

export type WayOut =
  /** Take so many grams off a link. */
  | { readonly way: "lighten"; readonly link: string; readonly grams: number; readonly ofGrams: number }
  /** Bring a link's own weight and all beyond it nearer to its joint. */
  | { readonly way: "shorten"; readonly link: string; readonly mm: number; readonly ofMm: number }
  /** Hold it from below, or from above, at the link's centre. */
  | { readonly way: "support"; readonly link: string; readonly carriesGrams: number; readonly fromJointMm: number }
  /** A larger ball at the same screw force, whose friction has the longer lever. */
  | { readonly way: "larger-ball"; readonly mm: number | null; readonly atLeastMm: number }
  /** So many times the holding power that the proven load shows. */
  | { readonly way: "tension"; readonly times: number };

/** Where between 0 and `most` a moment that falls with `by` reaches the target; null where it doesn't. */
function untilTarget(momentBy: (by: number) => number, target: number, most: number): number | null {
  if (momentBy(most) > target) {
    // The moment may fall and rise again when a link is taken past the joint: the best place in between counts.
    const places = Array.from({ length: 40 }, (_, i) => ((i + 1) * most) / 40);
    const first = places.find((by) => momentBy(by) <= target);
    return first === undefined ? null : untilTarget(momentBy, target, first);
  }
  let [low, high] = [0, most];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (momentBy(middle) > target) low = middle;
    else high = middle;
  }
  return high;
}

const withLinks = (chain: Chain, links: readonly Link[]): Chain => ({ ...chain, links });

/** The chain with a link drawn in by a length towards its joint, and all beyond it carried along. */
function shortened(chain: Chain, id: string, px: number): Chain {
  const link = chain.links.find((each) => each.id === id);
  if (link === undefined || link.joint === null) return chain;
  const [x, y] = [link.centre[0] - link.joint.at[0], link.centre[1] - link.joint.at[1]];
  const length = Math.hypot(x, y);
  if (length === 0) return chain;
  const beyond = new Set(carriedBy(chain.links, id).map((each) => each.id));
  const by = (share: number) => (at: readonly [number, number]) =>
    [at[0] - (x / length) * px * share, at[1] - (y / length) * px * share] as const;
  return withLinks(
    chain,
    chain.links.map((each) => {
      if (!beyond.has(each.id)) return each;
      // A link that is cut shorter brings its own middle in by half of what its end comes in by.
      if (each.id === id) return { ...each, centre: by(0.5)(each.centre) };
      return {
        ...each,
        centre: by(1)(each.centre),
        joint: each.joint === null ? null : { ...each.joint, at: by(1)(each.joint.at) },
      };
    }),
  );
}

/** Room to shorten: a limb can lose a third before it looks like another puppet. Common practice, no source. */
const MOST_SHORTENED = 1 / 3;

/**
 * Ways to bring the moment at a link's joint down to a target, N mm. Each alone is enough; those that can't be are left out.
 *
 * @param ballMm the ball that is there now; null where there is none
 */
export function waysOut(chain: Chain, linkId: string, targetNmm: number, ballMm: number | null): readonly WayOut[] {
  const now = momentAt(chain, linkId);
  if (!(now > targetNmm) || !(targetNmm >= 0)) return [];
  const beyond = carriedBy(chain.links, linkId);
  const ways: WayOut[] = [];
  for (const { id, massGrams } of beyond) {
    if (massGrams === null || massGrams === 0) continue;
    const lightened = (by: number) =>
      momentAt(
        withLinks(
          chain,
          chain.links.map((link) => (link.id === id ? { ...link, massGrams: massGrams - by } : link)),
        ),
        linkId,
      );
    const grams = untilTarget(lightened, targetNmm, massGrams);
    if (grams !== null) ways.push({ way: "lighten", link: id, grams, ofGrams: massGrams });
  }
  for (const link of beyond) {
    if (link.joint === null) continue;
    const next = beyond.find((other) => other.on === link.id && other.joint !== null);
    const end = next?.joint?.at ?? [2 * link.centre[0] - link.joint.at[0], 2 * link.centre[1] - link.joint.at[1]];
    const lengthPx = Math.hypot(end[0] - link.joint.at[0], end[1] - link.joint.at[1]);
    const px = untilTarget(
      (by) => momentAt(shortened(chain, link.id, by), linkId),
      targetNmm,
      MOST_SHORTENED * lengthPx,
    );
    if (px !== null) {
      ways.push({ way: "shorten", link: link.id, mm: px / link.pxPerMm, ofMm: lengthPx / link.pxPerMm });
    }
  }
  for (const { id } of beyond) {
    // Where all weight beyond the joint sat at this link's centre, its arm is the moment over that weight.
    const alone = withLinks(
      chain,
      chain.links.map((link) => ({ ...link, massGrams: link.id === id ? 1 : 0 })),
    );
    const armMm = (momentAt(alone, linkId) * 1000) / GRAVITY;
    if (armMm < 1) continue;
    ways.push({
      way: "support",
      link: id,
      carriesGrams: ((now - targetNmm) * 1000) / (GRAVITY * armMm),
      fromJointMm: armMm,
    });
  }
  if (targetNmm > 0) {
    const times = now / targetNmm;
    if (ballMm !== null && ballMm > 0) {
      const atLeastMm = ballMm * times;
      ways.push({ way: "larger-ball", atLeastMm, mm: ballSizesMm.find((size) => size >= atLeastMm) ?? null });
    }
    ways.push({ way: "tension", times });
  }
  return ways;
}

/** Joints in the order in which to tension them: firmest first, by the load that each bears. */
export const tensionOrder = (
  chain: Chain,
): readonly { readonly linkId: string; readonly joint: string; readonly momentNmm: number }[] => {
  const told = jointLoads(chain).flatMap(({ linkId, jointName, momentNmm }) =>
    momentNmm === null ? [] : [{ linkId, joint: jointName, momentNmm: momentNmm.value }],
  );
  return told.sort((a, b) => b.momentNmm - a.momentNmm);
};
