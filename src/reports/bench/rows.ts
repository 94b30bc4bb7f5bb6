import type { PartKind } from "../../model/index.ts";
import {
  type BenchHold,
  type BenchShot,
  type Family,
  families,
  isFlagged,
  isSeating,
  speedOf,
  type SpeedUnit,
  whyNoSpeed,
} from "./holds.ts";
import { meanOf, type Mean, share, type Share } from "./intervals.ts";

// The bench's list: how often and how fast, by puppet, copy, part, joint or kind of part, over all shots.

export const levels = ["puppet", "copy", "part", "joint", "kind"] as const;
export type Level = (typeof levels)[number];

/** What a row of the list is about; null where it takes in all of them, or there is none. */
export interface Subject {
  readonly level: Level;
  readonly puppet: string | null;
  readonly copy: string | null;
  readonly part: string | null;
  readonly joint: string | null;
  readonly kind: PartKind | null;
}

/** A speed over all holds that have one, or why there is none. */
export type Speed = { readonly mean: Mean } | { readonly reason: string };

export interface BenchRow extends Subject {
  /** Different for every subject, the same from one gathering to the next. */
  readonly key: string;
  /** Of the part, as its sheets have it. */
  readonly partName: string | null;
  /** In the order of capture times, those without at the end. */
  readonly holds: readonly BenchHold[];
  readonly shots: number;
  /** Holds with a flag of each family, and of any. */
  readonly often: Readonly<Record<Family | "any", Share>>;
  readonly speed: Readonly<Record<SpeedUnit, Speed>>;
}

const NOBODY = "";

const subjectsOf = (
  { hold }: BenchHold,
  level: Level,
  jointsOf: ReadonlyMap<string, ReadonlySet<string>>,
): Subject[] => {
  const { puppet, copy, part, kind } = hold;
  const base = { level, puppet, copy: null, part: null, joint: null, kind: null };
  switch (level) {
    case "puppet":
      return [base];
    case "copy":
      return [{ ...base, copy }];
    case "part":
      return [{ ...base, copy, part, kind }];
    case "joint":
      return [...(jointsOf.get(partKey(hold)) ?? [])].map((joint) => ({ ...base, copy, joint }));
    case "kind":
      return [{ ...base, puppet: null, kind }];
  }
};

const partKey = ({ puppet, part }: BenchHold["hold"]): string => [puppet ?? NOBODY, part].join("\u0000");

export const keyOf = ({ level, puppet, copy, part, joint, kind }: Subject): string =>
  [level, puppet ?? NOBODY, copy ?? NOBODY, part ?? NOBODY, joint ?? NOBODY, level === "kind" ? kind : NOBODY].join(
    "|",
  );

const byTime = (a: BenchHold, b: BenchHold): number =>
  (a.hold.time ?? "~") < (b.hold.time ?? "~")
    ? -1
    : (a.hold.time ?? "~") > (b.hold.time ?? "~")
      ? 1
      : a.hold.from - b.hold.from;

/** The mean speed over holds; where there is none, the commonest reason. */
export const speedOver = (holds: readonly BenchHold[], unit: SpeedUnit): Speed => {
  const mean = meanOf(holds.flatMap((one) => speedOf(one, unit) ?? []));
  if (mean !== null) return { mean };
  const reasons = holds.map((one) => whyNoSpeed(one, unit));
  const count = (reason: string) => reasons.filter((other) => other === reason).length;
  const [reason] = [...new Set(reasons)].toSorted((a, b) => count(b) - count(a));
  return { reason: reason ?? "there is no hold" };
};

/** How often holds of each family are flagged. A joint's are those that name it. */
export const oftenOver = (holds: readonly BenchHold[], joint: string | null = null): BenchRow["often"] => {
  const counts = (family: Family | null): Share =>
    share(
      holds.filter((one) => isFlagged(one, family) && (joint === null || namesJoint(one, joint))).length,
      holds.length,
    );
  const [sags, crawls, shifts] = families.map(counts);
  return { any: counts(null), sags, crawls, shifts };
};

const namesJoint = ({ hold }: BenchHold, joint: string): boolean => hold.flags.some((flag) => flag.joint === joint);

/** The joints that flags of each part have named: all of that part's holds are chances for them. */
const namedJoints = (holds: readonly BenchHold[]): ReadonlyMap<string, ReadonlySet<string>> => {
  const joints = new Map<string, Set<string>>();
  for (const { hold } of holds)
    for (const { joint } of hold.flags) {
      if (joint === null) continue;
      const key = partKey(hold);
      const own = joints.get(key);
      if (own === undefined) joints.set(key, new Set([joint]));
      else own.add(joint);
    }
  return joints;
};

/** Every hold of these shots that isn't the seating of a swapped piece. */
export const heldHolds = (shots: readonly BenchShot[]): readonly BenchHold[] =>
  shots
    .flatMap(({ shot, shotName, holds }) => holds.map((hold): BenchHold => ({ shot, shotName, hold })))
    .filter((one) => !isSeating(one));

/** The rows of a level, in no order: `ranked` gives them one. */
export const benchRows = (shots: readonly BenchShot[], level: Level): readonly BenchRow[] => {
  const all = heldHolds(shots);
  const joints = namedJoints(all);
  const groups = new Map<string, { readonly subject: Subject; readonly holds: BenchHold[] }>();
  for (const one of all)
    for (const subject of subjectsOf(one, level, joints)) {
      const key = keyOf(subject);
      const group = groups.get(key);
      if (group === undefined) groups.set(key, { subject, holds: [one] });
      else group.holds.push(one);
    }
  return [...groups].map(([key, { subject, holds }]) => ({
    ...subject,
    key,
    partName: subject.part === null ? null : holds[0].hold.name,
    holds: holds.toSorted(byTime),
    shots: new Set(holds.map(({ shot }) => shot)).size,
    often: oftenOver(holds, subject.joint),
    speed: speedsOver(holds),
  }));
};

/** Speeds are worked out where they are asked for: a list of hundreds shows one unit, or none. */
const speedsOver = (holds: readonly BenchHold[]): BenchRow["speed"] => {
  const known = new Map<SpeedUnit, Speed>();
  const of = (unit: SpeedUnit): Speed => {
    const there = known.get(unit) ?? speedOver(holds, unit);
    known.set(unit, there);
    return there;
  };
  return {
    get degrees() {
      return of("degrees");
    },
    get mm() {
      return of("mm");
    },
    get px() {
      return of("px");
    },
  };
};

/** What a list is put in order by. */
export type Order = { readonly by: "often"; readonly family: Family | "any" } | { readonly by: SpeedUnit };

/** The lower bound that a row stands by; null where it can't be told. */
export const lowerBound = (row: BenchRow, order: Order): number | null => {
  if (order.by === "often") return row.often[order.family].of === 0 ? null : row.often[order.family].low;
  const speed = row.speed[order.by];
  return "mean" in speed ? speed.mean.low : null;
};

const midpoint = (row: BenchRow, order: Order): number => {
  if (order.by === "often") return row.often[order.family].count / Math.max(1, row.often[order.family].of);
  const speed = row.speed[order.by];
  return "mean" in speed ? speed.mean.value : 0;
};

/**
 * Rows by the lower bound of their interval, largest first: what is surely bad before what may be. So a part that was
 * seen once can't stand above one that was seen forty times by luck alone. What can't be told comes last.
 */
export const ranked = (rows: readonly BenchRow[], order: Order): readonly BenchRow[] => {
  const keyed = rows.map((row) => ({
    row,
    low: lowerBound(row, order) ?? Number.NEGATIVE_INFINITY,
    at: midpoint(row, order),
  }));
  return keyed
    .toSorted(
      (a, b) =>
        b.low - a.low || b.at - a.at || b.row.holds.length - a.row.holds.length || (a.row.key < b.row.key ? -1 : 1),
    )
    .map(({ row }) => row);
};

/** The hold that surely went fastest, by the lower bound of its own speed; null where none has one. */
export const worstHold = (
  row: BenchRow,
  unit: SpeedUnit,
): { readonly one: BenchHold; readonly value: number; readonly sigma: number } | null => {
  let worst: { one: BenchHold; value: number; sigma: number } | null = null;
  for (const one of row.holds) {
    const speed = speedOf(one, unit);
    if (speed === null) continue;
    if (worst === null || speed.value - 2 * speed.sigma > worst.value - 2 * worst.sigma) worst = { one, ...speed };
  }
  return worst;
};
