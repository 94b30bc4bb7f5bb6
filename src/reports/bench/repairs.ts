import type { PartKind, Repair } from "../../model/index.ts";
import { counted, decimalsFor, fixed } from "../words.ts";
import { type BenchHold, type BenchShot, isSeating, speedOf, type SpeedUnit, speedWords } from "./holds.ts";
import {
  differenceOf,
  type Difference,
  type Mean,
  meanOf,
  type Share,
  type Spread,
  spreadOfSteps,
} from "./intervals.ts";
import { oftenOver } from "./rows.ts";
import { valueWords } from "./words.ts";

// Did the repair hold? Holds of the part before and after it, by their capture times.

export type Outcome = "held" | "slower" | "worse" | "not-told" | "too-early" | "nothing-before" | "no-number";

/** What was compared, before and after. */
export type Compared =
  | {
      readonly by: SpeedUnit;
      readonly before: Mean | null;
      readonly after: Mean | null;
      /** Before minus after: what the repair gained. Null with fewer than two holds on a side. */
      readonly gain: Difference | null;
    }
  | { readonly by: "seating"; readonly before: Spread | null; readonly after: Spread | null };

export interface RepairStory {
  readonly repair: Repair;
  /** Name of the part as its sheets have it; its id where no hold of it is known. */
  readonly partName: string;
  /** Between the repair before and this one, and from this one to the next. */
  readonly before: readonly BenchHold[];
  readonly after: readonly BenchHold[];
  /** Holds that can't be put before or after: they have no capture time, or went on across the repair. */
  readonly leftOut: number;
  readonly flagged: { readonly before: Share; readonly after: Share };
  readonly compared: Compared | null;
  readonly outcome: Outcome;
  /** "after the new elbow ball: 0.9 → 0.05 degrees an hour over 6 holds; it held". */
  readonly sentence: string;
}

const matches = (repair: Repair, { hold }: BenchHold): boolean =>
  hold.part === repair.part &&
  (repair.puppet === null || repair.puppet === hold.puppet) &&
  (repair.copy === null || repair.copy === hold.copy);

/** Two repairs that can be of one and the same piece. */
const samePlace = (a: Repair, b: Repair): boolean =>
  a.part === b.part &&
  (a.puppet === null || b.puppet === null || a.puppet === b.puppet) &&
  (a.copy === null || b.copy === null || a.copy === b.copy);

/** The camera's own local time, as a number: only order counts. */
const clock = (time: string): number => Date.parse(`${time}Z`);

const timesOf = ({ hold }: BenchHold): readonly [number, number] | null => {
  if (hold.time === null) return null;
  const start = clock(hold.time);
  return [start, start + (hold.minutes ?? 0) * 60_000];
};

/** Cloth, hair and skin don't turn as one: their way in the picture is what can be told of them. */
const bend: ReadonlySet<PartKind> = new Set([
  "costume",
  "skin",
  "hair",
  "face",
  "eye",
  "set",
  "prop",
  "support",
  "found",
]);

const unitsFor = (kind: PartKind): readonly SpeedUnit[] => (bend.has(kind) ? ["mm", "px"] : ["degrees", "mm", "px"]);

/** The first unit in which both sides have enough holds; else the first in which any has one. */
const compareSpeeds = (before: readonly BenchHold[], after: readonly BenchHold[], kind: PartKind): Compared | null => {
  const tried = unitsFor(kind).map((by) => {
    const mean = (holds: readonly BenchHold[]) => meanOf(holds.flatMap((one) => speedOf(one, by) ?? []));
    const [was, is] = [mean(before), mean(after)];
    return { by, before: was, after: is, gain: was === null || is === null ? null : differenceOf(was, is) };
  });
  return (
    tried.find(({ gain }) => gain !== null) ?? tried.find((one) => one.before !== null || one.after !== null) ?? null
  );
};

const seatingSpread = (holds: readonly BenchHold[]): Spread | null =>
  spreadOfSteps(
    holds.map(({ hold }) => ({ dx: hold.px * hold.direction[0], dy: hold.px * hold.direction[1] })),
    holds.reduce((sum, { hold }) => sum + hold.sigma ** 2, 0) / Math.max(1, holds.length),
  );

const outcomeOf = (
  compared: Compared | null,
  flagged: RepairStory["flagged"],
  before: number,
  after: number,
): Outcome => {
  if (after < 2) return "too-early";
  if (before < 2) return "nothing-before";
  if (compared === null) {
    return flagged.after.high < flagged.before.low
      ? "held"
      : flagged.after.low > flagged.before.high
        ? "worse"
        : "no-number";
  }
  if (compared.by === "seating") {
    if (compared.before === null || compared.after === null) return "no-number";
    // Two intervals that don't meet: stricter than it need be.
    if (compared.after.high < compared.before.low) return flagged.after.count > 0 ? "slower" : "held";
    return compared.after.low > compared.before.high ? "worse" : "not-told";
  }
  if (compared.gain === null) return (compared.after?.count ?? 0) < 2 ? "too-early" : "nothing-before";
  if (compared.gain.low > 0) return flagged.after.count > 0 ? "slower" : "held";
  return compared.gain.high < 0 ? "worse" : "not-told";
};

const changeWords = (compared: Compared | null, flagged: RepairStory["flagged"], after: number): string => {
  const since = `over ${counted(after, "hold")}`;
  if (compared !== null && compared.by === "seating") {
    const { before, after: now } = compared;
    if (before === null || now === null) return "";
    const text = (spread: Spread) => fixed(spread.value, decimalsFor((spread.high - spread.low) / 4));
    return `${text(before)} → ${text(now)} px from one seating to the next, over ${counted(now.count, "seating")}`;
  }
  if (compared !== null && compared.before !== null && compared.after !== null)
    return `${valueWords(compared.before)} → ${valueWords(compared.after)} ${speedWords[compared.by]} over ${counted(compared.after.count, "hold")}`;
  const part = ({ count, of }: Share) => `${count} of ${of}`;
  return `${part(flagged.before)} → ${part(flagged.after)} holds flagged, ${since}`;
};

const sentenceOf = (story: Omit<RepairStory, "sentence">, what: string): string => {
  const { outcome, compared, flagged, before, after } = story;
  const since = compared !== null && compared.by !== "seating" ? (compared.after?.count ?? after.length) : after.length;
  const earlier =
    compared !== null && compared.by !== "seating" ? (compared.before?.count ?? before.length) : before.length;
  const head = `after ${what}`;
  const change = changeWords(compared, flagged, after.length);
  switch (outcome) {
    case "held":
      return `${head}: ${change}; it held`;
    case "slower":
      return `${head}: ${change}; better, but ${flagged.after.count} of ${counted(flagged.after.of, "hold")} still flagged`;
    case "worse":
      return `${head}: ${change}; it got worse`;
    case "not-told":
      return `${head}: ${change}; no difference can be told yet`;
    case "no-number":
      return `${head}: ${change}; no difference can be told, and there is no speed to compare`;
    case "too-early":
      return `${head}: can't be told yet: ${since === 0 ? "no hold" : counted(since, "hold")} since`;
    case "nothing-before":
      return `${head}: can't be compared: ${earlier === 0 ? "no hold" : counted(earlier, "hold")} before`;
  }
};

const gainSentence = ({ value, low, high }: Difference, unit: SpeedUnit): string => {
  const decimals = decimalsFor((high - low) / 4);
  const way = value < 0 ? "faster" : "slower";
  const [least, most] = value < 0 ? [-high, -low] : [low, high];
  return `${fixed(Math.abs(value), decimals)} ${speedWords[unit]} ${way} (${fixed(least, decimals)} to ${fixed(most, decimals)} at 95 %)`;
};

/** What the repair gained, with its interval; null where it takes more holds. */
export const gainWords = ({ compared }: RepairStory): string | null =>
  compared === null || compared.by === "seating" || compared.gain === null
    ? null
    : gainSentence(compared.gain, compared.by);

/**
 * Before and after each repair, the latest first. What counts as before begins after the repair of the part before this
 * one, and what counts as after ends at the next: nobody's work is judged by someone else's.
 * @param titleOf title of a fix of the workshop, by its id
 */
export const repairStories = (
  shots: readonly BenchShot[],
  repairs: readonly Repair[],
  titleOf: (fix: string) => string | null = () => null,
): readonly RepairStory[] => {
  const all = shots.flatMap(({ shot, shotName, holds }) => holds.map((hold): BenchHold => ({ shot, shotName, hold })));
  const ordered = repairs.toSorted((a, b) => clock(a.done) - clock(b.done));
  const stories = ordered.map((repair, place): RepairStory => {
    const done = clock(repair.done);
    const last = ordered.slice(0, place).findLast((other) => samePlace(other, repair));
    const next = ordered.slice(place + 1).find((other) => samePlace(other, repair));
    const own = all.filter((one) => matches(repair, one));
    const [begins, ends] = [
      last === undefined ? -Infinity : clock(last.done),
      next === undefined ? Infinity : clock(next.done),
    ];
    const before = own.filter((one) => {
      const span = timesOf(one);
      return span !== null && span[0] >= begins && span[1] <= done;
    });
    const after = own.filter((one) => {
      const span = timesOf(one);
      return span !== null && span[0] >= done && span[1] <= ends;
    });
    const leftOut = own.filter((one) => {
      const span = timesOf(one);
      return span === null || (span[0] < done && span[1] > done);
    }).length;
    const example = (after[0] ?? before[0] ?? own[0])?.hold;
    const areSeatings = own.length > 0 && own.every(isSeating);
    const compared: Compared | null = areSeatings
      ? { by: "seating", before: seatingSpread(before), after: seatingSpread(after) }
      : compareSpeeds(before, after, example?.kind ?? "found");
    const flagged = { before: oftenOver(before).any, after: oftenOver(after).any };
    const story = {
      repair,
      partName: example?.name ?? repair.part,
      before,
      after,
      leftOut,
      flagged,
      compared,
      outcome: outcomeOf(compared, flagged, before.length, after.length),
    };
    const title = repair.fix === null ? null : titleOf(repair.fix);
    const what = repair.what.trim() !== "" ? repair.what.trim() : title === null ? "the repair" : `“${title}”`;
    return { ...story, sentence: sentenceOf(story, what) };
  });
  return stories.toReversed();
};
