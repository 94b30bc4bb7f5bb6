import { boundsOf } from "./geometry.ts";
import type { JudgedFlag, Verdict } from "./records.ts";
import type { Flag } from "./report.ts";

// What was decided about a flag stays decided when the shot is measured again. Flags have no identity of their own: a
// new report's flag is the one that was judged where kind, part and frames agree.

/** A flag has grown where it is larger by more than this many sigma of the difference of both sizes ... */
const WORSE_SIGMAS = 3;
/** ... and by more than this share of the size that was judged: a drift that goes on as it did is no news every frame. */
const WORSE_SHARE = 0.25;
/** px around two regions that are taken for one. */
const REGION_AIR = 12;

/** A verdict on a flag of the report that is shown. */
export interface Judged {
  readonly verdict: Verdict;
  /** "worse": it was judged, and has grown since beyond its uncertainty: it is open again, with what was said then. */
  readonly state: "settled" | "worse";
}

/** A flag as a verdict remembers it. */
export const judgedFlagOf = (flag: Flag): JudgedFlag => ({
  id: flag.id,
  kind: flag.kind,
  part: flag.part,
  from: flag.from,
  to: flag.to,
  px: flag.px,
  sigma: flag.sigma,
  stops: flag.stops,
  ...(flag.region === null ? {} : { region: flag.region }),
});

/** The number that grows: px, or stops for light, as a size; null for kinds without one. */
const sizeOfJudged = (flag: Pick<JudgedFlag, "px" | "stops">): number | null => {
  const size = flag.px ?? flag.stops;
  return size === null ? null : Math.abs(size);
};

const overlap = (a: Pick<Flag, "from" | "to">, b: Pick<Flag, "from" | "to">): number =>
  Math.min(a.to, b.to) - Math.max(a.from, b.from) + 1;

function regionsMeet(a: JudgedFlag["region"], b: Flag["region"]): boolean {
  if (a == null || b === null) return true;
  const [left, top, right, bottom] = boundsOf(a);
  const [l, t, r, d] = boundsOf(b);
  return Math.min(right, r) - Math.max(left, l) > -REGION_AIR && Math.min(bottom, d) - Math.max(top, t) > -REGION_AIR;
}

/** How surely it is the flag that was judged: frames in common; 0, it is not. */
function likeness(verdict: Verdict, flag: Flag): number {
  const { flag: judged, untilFrame } = verdict;
  if (judged.kind !== flag.kind || judged.part !== flag.part) return 0;
  // After the hold for which it was known it is another one, as it would be told for the first time.
  if (untilFrame !== null && flag.from > untilFrame) return 0;
  if (flag.part === null && !regionsMeet(judged.region, flag.region)) return 0;
  return Math.max(0, overlap(judged, flag));
}

function isWorse(verdict: Verdict, flag: Flag): boolean {
  // Known until the hold ends: said to be quiet whatever it does until then.
  if (verdict.untilFrame !== null && flag.to <= verdict.untilFrame) return false;
  const [before, after] = [sizeOfJudged(verdict.flag), sizeOfJudged(flag)];
  if (before === null || after === null) return false;
  const sigma = Math.hypot(verdict.flag.sigma ?? 0, flag.sigma ?? 0);
  return after - before > Math.max(WORSE_SIGMAS * sigma, WORSE_SHARE * before);
}

/**
 * The verdicts that stand for the flags of a report, by the flag's id. Each verdict goes to one flag and each flag has
 * one at most: those with most frames in common first, of equal ones the later verdict.
 *
 * A flag is worse, and open again, where it is larger than when it was judged by more than 3 sigma of the difference and
 * by more than a quarter; not before the end of a hold until which it was known.
 */
export function carryVerdicts(flags: readonly Flag[], verdicts: readonly Verdict[]): ReadonlyMap<string, Judged> {
  const pairs = flags
    .flatMap((flag) => verdicts.map((verdict) => ({ flag, verdict, like: likeness(verdict, flag) })))
    .filter(({ like }) => like > 0)
    .toSorted((a, b) => b.like - a.like || (a.verdict.changed < b.verdict.changed ? 1 : -1));
  const judged = new Map<string, Judged>();
  const used = new Set<string>();
  for (const { flag, verdict } of pairs) {
    if (judged.has(flag.id) || used.has(verdict.id)) continue;
    used.add(verdict.id);
    judged.set(flag.id, { verdict, state: isWorse(verdict, flag) ? "worse" : "settled" });
  }
  return judged;
}

/** Ids of the flags that the report before did not have: none of the same kind and part over any of its frames. */
export const freshFlags = (flags: readonly Flag[], before: readonly Flag[]): readonly string[] =>
  flags
    .filter(
      (flag) =>
        !before.some(
          (old) =>
            old.kind === flag.kind &&
            old.part === flag.part &&
            overlap(old, flag) > 0 &&
            (flag.part !== null || regionsMeet(old.region, flag.region)),
        ),
    )
    .map(({ id }) => id);
