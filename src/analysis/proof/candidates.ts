import type { HoldPlan } from "../contract.ts";
import type { Segment } from "../segments.ts";
import type { AnalysedPart } from "../shot-tracker.ts";
import { LEAST_FRAMES } from "./drift-shape.ts";

// Into which hold of a part a drift is put: its longest one that was measured against an anchor.

const judged: ReadonlySet<Segment["intent"]> = new Set(["holds", "alive", "found"]);

export type Candidate =
  | { readonly segment: Segment; readonly plan: HoldPlan }
  /** Why nothing is put into the part. */
  | { readonly reason: string };

export function candidateOf(
  analysed: AnalysedPart,
  segments: readonly Segment[],
  holds: Iterable<HoldPlan>,
  isMeasured: (hold: string) => boolean,
): Candidate {
  const { id } = analysed.part;
  const held = segments.filter((segment) => judged.has(segment.intent));
  if (held.length === 0) {
    const intents = [...new Set(segments.map(({ intent }) => intent))];
    if (intents.includes("rides")) return { reason: "it rides on its carrier and is not held by itself" };
    if (intents.length === 1 && intents[0] === "hidden") return { reason: "it is hidden in all frames" };
    return { reason: "it is never held" };
  }
  const longest = held.reduce((a, b) => (b.frames.length > a.frames.length ? b : a));
  const { length } = longest.frames;
  if (length < LEAST_FRAMES)
    return {
      reason: `it is held for ${length} ${length === 1 ? "frame" : "frames"} at most, and a slow drift takes ${LEAST_FRAMES}`,
    };
  const plan = [...holds].find(
    (hold) => hold.part === id && longest.frames.includes(hold.anchor) && isMeasured(hold.id),
  );
  return plan === undefined ? { reason: "its hold could not be measured" } : { segment: longest, plan };
}

/** How far apart the outlines of parts must be that get a drift in the same frames, px: the reach of what measures them. */
const APART = 24;
/** With more parts moved at once than this the background would be told from less of the set than it is. */
const MOST_AT_ONCE = 4;

type Box = readonly [number, number, number, number];

const boxOf = ({ outline }: HoldPlan): Box => {
  const xs = outline.map(([x]) => x);
  const ys = outline.map(([, y]) => y);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
};

/** Parts in groups that can be moved at once, in their own order. `reach`: how far the largest drift goes, px. */
export function grouped<T extends { readonly plan: HoldPlan }>(parts: readonly T[], reach: number): T[][] {
  const gap = APART + reach;
  const apart = (a: Box, b: Box): boolean =>
    a[2] + gap < b[0] || b[2] + gap < a[0] || a[3] + gap < b[1] || b[3] + gap < a[1];
  const groups: T[][] = [];
  for (const part of parts) {
    const box = boxOf(part.plan);
    const place = groups.find(
      (group) => group.length < MOST_AT_ONCE && group.every((other) => apart(box, boxOf(other.plan))),
    );
    if (place === undefined) groups.push([part]);
    else place.push(part);
  }
  return groups;
}
