import type { ComingShot, PartKind, Puppet, Repair, Verdict } from "../../model/index.ts";
import { counted, titled } from "../words.ts";
import { type BenchHold, type BenchShot, type Family } from "./holds.ts";
import { share, type Share } from "./intervals.ts";
import { heldHolds, oftenOver } from "./rows.ts";
import { puppetWords, shareWords } from "./words.ts";

// What has to be mended before which shot, and which copy to send.

/**
 * A part needs the bench where it surely (97.5 %) drifts in more than this share of its holds since it was last mended.
 * Common practice, no source: one hold in ten spoils more than one shot in ten.
 */
export const NEEDS_SHARE = 0.1;

export interface BenchFacts {
  readonly shots: readonly BenchShot[];
  readonly repairs: readonly Repair[];
  readonly puppets: readonly Puppet[];
  /** Verdicts of all shots; those that send something to the bench count. */
  readonly verdicts: readonly Verdict[];
}

export interface WorkItem {
  readonly key: string;
  readonly puppet: string | null;
  readonly copy: string | null;
  readonly part: string;
  readonly partName: string;
  readonly kind: PartKind;
  /** Joints that the flags named, the commonest first. */
  readonly joints: readonly string[];
  /** Holds since the last repair, and how many of them drifted. */
  readonly since: Share;
  readonly worstFamily: Family;
  /** Flags that somebody sent to the bench and that no repair came after. */
  readonly sent: readonly Verdict[];
  readonly lastRepair: Repair | null;
  /** The first shot to come that needs it; null where none does. */
  readonly before: ComingShot | null;
  /** A sentence each. */
  readonly why: readonly string[];
}

export interface CopyChoice {
  readonly puppet: string;
  /** Null: there is one only. */
  readonly copy: string | null;
  /** What is to be done to it first. */
  readonly items: readonly WorkItem[];
  /** All holds of all of its parts since their repairs. */
  readonly since: Share;
}

export interface ComingNeed {
  readonly puppet: string;
  /** The copy that is asked for, or the one to send; null where nothing tells them apart or there is one. */
  readonly copy: string | null;
  readonly isAsked: boolean;
  readonly choices: readonly CopyChoice[];
  readonly items: readonly WorkItem[];
  readonly sentence: string;
}

export interface ComingPlan {
  readonly shot: ComingShot;
  readonly needs: readonly ComingNeed[];
}

const clock = (time: string): number => Date.parse(`${time}Z`);

const isOf = (repair: Repair, puppet: string | null, copy: string | null, part: string): boolean =>
  repair.part === part &&
  (repair.puppet === null || repair.puppet === puppet) &&
  (repair.copy === null || repair.copy === copy);

const lastRepairOf = (
  repairs: readonly Repair[],
  puppet: string | null,
  copy: string | null,
  part: string,
): Repair | null =>
  repairs
    .filter((repair) => isOf(repair, puppet, copy, part))
    .reduce<Repair | null>((last, one) => (last === null || one.done > last.done ? one : last), null);

/** A hold without a capture time can't be put after a repair: it counts as before. */
const isSince = ({ hold }: BenchHold, repair: Repair | null): boolean =>
  repair === null || (hold.time !== null && clock(hold.time) >= clock(repair.done));

interface PartGroup {
  readonly puppet: string | null;
  readonly copy: string | null;
  readonly part: string;
  readonly holds: BenchHold[];
}

const groupParts = (shots: readonly BenchShot[]): readonly PartGroup[] => {
  const groups = new Map<string, PartGroup>();
  for (const one of heldHolds(shots)) {
    const { puppet, copy, part } = one.hold;
    const key = partKey(puppet, copy, part);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, { puppet, copy, part, holds: [one] });
    else group.holds.push(one);
  }
  return [...groups.values()];
};

const partKey = (puppet: string | null, copy: string | null, part: string): string =>
  [puppet ?? "", copy ?? "", part].join("|");

const commonest = (names: readonly string[]): readonly string[] => {
  const counts = new Map<string, number>();
  for (const name of names) counts.set(name, (counts.get(name) ?? 0) + 1);
  return [...counts].toSorted((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1)).map(([name]) => name);
};

const familyWords: Readonly<Record<Family, string>> = {
  sags: "sags",
  crawls: "crawls",
  shifts: "is knocked or shifts",
};

/** Times of verdicts are UTC and those of repairs local: within a day nobody can tell which came first, so it stays open. */
const DAY_MS = 86_400_000;
const isAfter = (verdict: Verdict, repair: Repair | null): boolean =>
  repair === null || Date.parse(verdict.changed) > clock(repair.done) - DAY_MS / 2;

const itemOf = (
  { puppet, copy, part, holds }: PartGroup,
  { repairs, verdicts }: BenchFacts,
): Omit<WorkItem, "before"> | null => {
  const lastRepair = lastRepairOf(repairs, puppet, copy, part);
  const since = holds.filter((one) => isSince(one, lastRepair));
  const often = oftenOver(since);
  const shots = new Set(holds.map(({ shot }) => shot));
  const sent = verdicts.filter(
    (verdict) =>
      verdict.choice === "to-the-bench" &&
      verdict.flag.part === part &&
      shots.has(verdict.shot) &&
      isAfter(verdict, lastRepair),
  );
  const drifts = often.any.of > 0 && often.any.low > NEEDS_SHARE;
  if (!drifts && sent.length === 0) return null;
  const families: readonly Family[] = ["sags", "crawls", "shifts"];
  const worstFamily = families.toSorted((a, b) => often[b].low - often[a].low)[0];
  const [example] = since.length > 0 ? since : holds;
  const why = [
    ...(drifts
      ? [
          `${familyWords[worstFamily]} in ${shareWords(often[worstFamily])}${lastRepair === null ? "" : " since it was last mended"}`,
        ]
      : []),
    ...sent.map(
      ({ note, who }) => `sent to the bench${who === "" ? "" : ` by ${who}`}${note === "" ? "" : `: ${note}`}`,
    ),
  ];
  return {
    key: partKey(puppet, copy, part),
    puppet,
    copy,
    part,
    partName: example.hold.name,
    kind: example.hold.kind,
    joints: commonest(since.flatMap(({ hold }) => hold.flags.flatMap(({ joint }) => joint ?? []))),
    since: often.any,
    worstFamily,
    sent,
    lastRepair,
    why,
  };
};

const byDay = (a: ComingShot, b: ComingShot): number =>
  (a.day ?? "~") < (b.day ?? "~")
    ? -1
    : (a.day ?? "~") > (b.day ?? "~")
      ? 1
      : a.name.localeCompare(b.name, "en", { numeric: true });

/** The copies of a puppet that are known of: those it is said to have, and those that were seen. */
const copiesOf = (puppet: string, { puppets, shots }: BenchFacts): readonly (string | null)[] => {
  const said = puppets.filter(({ name }) => name === puppet).flatMap(({ copies }) => copies);
  const seen = shots.flatMap(({ holds }) => holds.flatMap((hold) => (hold.puppet === puppet ? [hold.copy] : [])));
  const all = [...new Set([...said, ...seen])];
  const named = all.filter((copy) => copy !== null);
  return named.length > 0 ? named.toSorted() : [null];
};

/** The name as sheets write it, of a puppet that people write with a capital or without one. */
const knownName = (said: string, { puppets, shots }: BenchFacts): string => {
  const names = [
    ...puppets.map(({ name }) => name),
    ...shots.flatMap(({ holds }) => holds.flatMap(({ puppet }) => puppet ?? [])),
  ];
  return names.find((name) => name === said) ?? names.find((name) => titled(name) === titled(said)) ?? said;
};

const choiceOf = (puppet: string, copy: string | null, facts: BenchFacts, items: readonly WorkItem[]): CopyChoice => {
  const own = heldHolds(facts.shots).filter(
    ({ hold }) => hold.puppet === puppet && (copy === null || hold.copy === copy),
  );
  const since = own.filter((one) =>
    isSince(one, lastRepairOf(facts.repairs, one.hold.puppet, one.hold.copy, one.hold.part)),
  );
  return {
    puppet,
    copy,
    items: items.filter((item) => item.puppet === puppet && (copy === null || item.copy === copy)),
    since: since.length === 0 ? share(0, 0) : oftenOver(since).any,
  };
};

const listed = (items: readonly WorkItem[]): string => items.map(({ partName }) => partName).join(", ");

/** Fewest things to mend first, then what is surest to hold; a copy nobody has seen stands last. */
const better = (a: CopyChoice, b: CopyChoice): number =>
  Number(a.since.of === 0) - Number(b.since.of === 0) || a.items.length - b.items.length || a.since.high - b.since.high;

const choiceWords = ({ items, since }: CopyChoice): string => {
  const state = since.of === 0 ? "never seen in a hold" : `drifts in ${shareWords(since)}`;
  return items.length === 0 ? state : `${state}; to mend first: ${listed(items)}`;
};

const needSentence = (choices: readonly CopyChoice[], chosen: CopyChoice, isAsked: boolean): string => {
  const name = puppetWords(chosen.puppet, chosen.copy);
  if (isAsked || choices.length === 1) return `${name}: ${choiceWords(chosen)}`;
  const others = choices.filter((one) => one !== chosen);
  return `send ${name}: ${choiceWords(chosen)}. ${others.map((one) => `Copy ${one.copy}: ${choiceWords(one)}`).join(". ")}`;
};

export interface BenchPlan {
  /** By the first shot that needs them, then by how surely they drift. */
  readonly items: readonly WorkItem[];
  /** In the order of their days. */
  readonly coming: readonly ComingPlan[];
}

/** The work list: what to mend, in the order of the shots that need it, and whom to send. */
export const benchPlan = (facts: BenchFacts, coming: readonly ComingShot[]): BenchPlan => {
  const open = groupParts(facts.shots).flatMap((group) => itemOf(group, facts) ?? []);
  const ordered = coming.toSorted(byDay);
  const bare = open.map((item): WorkItem => ({ ...item, before: null }));
  const chosenFor = ordered.map((shot) => ({
    shot,
    needs: shot.needs.map(({ puppet: said, copy }) => {
      const puppet = knownName(said, facts);
      const choices = (copy === null ? copiesOf(puppet, facts) : [copy])
        .map((each) => choiceOf(puppet, each, facts, bare))
        .toSorted(better);
      return { puppet, isAsked: copy !== null, choices, chosen: choices[0] };
    }),
  }));
  const firstNeed = (item: Omit<WorkItem, "before">): ComingShot | null =>
    chosenFor.find(({ needs }) => needs.some(({ chosen }) => chosen.items.some(({ key }) => key === item.key)))?.shot ??
    null;
  const items = open.map((item): WorkItem => ({ ...item, before: firstNeed(item) }));
  const placeOf = (item: WorkItem) => (item.before === null ? Infinity : ordered.indexOf(item.before));
  const inOrder = items.toSorted(
    (a, b) => placeOf(a) - placeOf(b) || b.since.low - a.since.low || (a.key < b.key ? -1 : 1),
  );
  return {
    items: inOrder,
    coming: chosenFor.map(({ shot, needs }) => ({
      shot,
      needs: needs.map(({ puppet, isAsked, choices, chosen }) => ({
        puppet,
        copy: chosen.copy,
        isAsked,
        choices,
        items: inOrder.filter(({ key }) => chosen.items.some((item) => item.key === key)),
        sentence: needSentence(choices, chosen, isAsked),
      })),
    })),
  };
};

/** "Left forearm, Left hand": what has to be mended before a shot; empty where nothing has. */
export const mendBefore = ({ needs }: ComingPlan): readonly WorkItem[] => needs.flatMap(({ items }) => items);

export const planHeadline = ({ items }: BenchPlan): string => {
  const urgent = items.filter(({ before }) => before !== null).length;
  if (items.length === 0) return "Nothing has to go to the bench.";
  if (items.length === 1)
    return urgent === 0 ? "1 part to mend, for no shot that is listed." : "1 part to mend, before a shot to come.";
  return `${counted(items.length, "part")} to mend, ${urgent === 0 ? "none" : urgent} of them before a shot to come.`;
};
