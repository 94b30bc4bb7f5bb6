import type { Build, FlagKind, PartKind } from "../model/index.ts";
import { type Cause, type Fix, type Knowledge } from "./knowledge.ts";
import { groupOf, type Sign, signs as everySign, type Signs } from "./signs.ts";

/** What is asked: a flag, and what is known and was measured of it. */
export interface Question {
  readonly kind: FlagKind;
  /** Null for what concerns the whole frame, or lies outside every outline. */
  readonly part: PartKind | null;
  /** Null where nobody said: then no cause that needs a build is ruled out. */
  readonly build: Build | null;
  readonly signs: Signs;
}

export interface Reason {
  readonly sign: Sign;
  /** What was measured, in words. */
  readonly measured: string;
  readonly why: string;
  /** Above 0 for the cause, below against it. */
  readonly points: number;
}

export interface RankedCause {
  readonly cause: Cause;
  readonly score: number;
  /** The weightiest first. */
  readonly reasons: readonly Reason[];
  /** Signs that would tell more and were not measured. */
  readonly wouldTell: readonly Sign[];
  readonly fixes: readonly Fix[];
}

export interface RuledOut {
  readonly cause: Cause;
  readonly why: string;
}

export interface Ranking {
  readonly ranked: readonly RankedCause[];
  readonly ruledOut: readonly RuledOut[];
}

/** How well a fix did in this workshop: its mean success, 0.5 where nothing is known. See `experience.ts`. */
export type SuccessOf = (fixId: string) => number;

const buildWords: Readonly<Record<Build, string>> = {
  ball: "ball joints",
  wire: "wire",
  other: "neither ball joints nor wire",
};

/** What lies outside every outline is taken for a piece of the set. */
const isOf = ({ kinds, parts }: Cause, { kind, part }: Question): boolean =>
  kinds.includes(kind) && (parts === null || parts.includes(part ?? "set"));

function ruledOutBy(cause: Cause, { build, signs }: Question): string | null {
  if (cause.builds !== null && build !== null && !cause.builds.includes(build)) {
    const needs = cause.builds.map((each) => buildWords[each]).join(" or ");
    return `It needs ${needs}; the sheet says that this part has ${buildWords[build]}.`;
  }
  return cause.ruledOutBy.find(({ sign }) => signs[sign] !== undefined)?.why ?? null;
}

/** Points for what a fix did here before, from -2 (never stopped the drift) to 2 (always did). */
const experiencePoints = (fixes: readonly string[], successOf: SuccessOf): number =>
  4 * (Math.max(...fixes.map(successOf)) - 0.5);

/** How usual a cause is: in a workshop's own order the first counts 5, the rest evenly down to 1. */
function usualOf(cause: Cause, own: readonly string[]): number {
  const place = own.indexOf(cause.id);
  return place === -1 ? cause.usual : 5 - (4 * place) / Math.max(1, own.length - 1);
}

/**
 * Causes in the order in which to look, each with its reasons, and those that are ruled out with why.
 *
 * A cause's score is how usual it is (0 to 5), plus the points of each sign that was measured (3 to -3 each), plus up to
 * two points either way for what its best fix did in this workshop. Points are a workshop's judgement, not odds: they give
 * an order, no percentage. What is equal stays in the order of the data. The same input gives the same order.
 */
export function rankCauses(knowledge: Knowledge, question: Question, successOf: SuccessOf = () => 0.5): Ranking {
  const own = knowledge.order?.find(({ kind }) => kind === question.kind)?.causes ?? [];
  const ranked: RankedCause[] = [];
  const ruledOut: RuledOut[] = [];
  for (const cause of knowledge.causes) {
    if (!isOf(cause, question)) continue;
    const why = ruledOutBy(cause, question);
    if (why !== null) {
      ruledOut.push({ cause, why });
      continue;
    }
    const reasons = cause.evidence
      .flatMap(({ sign, points, why: reason }): Reason[] => {
        const measured = question.signs[sign];
        return measured === undefined ? [] : [{ sign, measured, why: reason, points }];
      })
      .sort((a, b) => Math.abs(b.points) - Math.abs(a.points));
    const fixes = cause.fixes
      .map((id, place) => ({ fix: knowledge.fixes.find((fix) => fix.id === id), place, success: successOf(id) }))
      .sort((a, b) => b.success - a.success || a.place - b.place)
      .flatMap(({ fix }) => (fix === undefined ? [] : [fix]));
    ranked.push({
      cause,
      score:
        usualOf(cause, own) +
        reasons.reduce((sum, { points }) => sum + points, 0) +
        experiencePoints(cause.fixes, successOf),
      reasons,
      wouldTell: everySign.filter(
        (sign) =>
          cause.evidence.some((each) => each.sign === sign) &&
          groupOf(sign).every((each) => question.signs[each] === undefined) &&
          // One of a group stands for its question.
          groupOf(sign).find((each) => cause.evidence.some((other) => other.sign === each)) === sign,
      ),
      fixes,
    });
  }
  ranked.sort((a, b) => b.score - a.score);
  return { ranked, ruledOut };
}
