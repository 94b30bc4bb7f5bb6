import type { FaultScore } from "./score.ts";
import type { ShotResult } from "./run-shot.ts";
import { FOUND_BY_ANYONE } from "./what-anyone-can-see.ts";

// Counts over many shots.

/** Share with its 95 % interval (Wilson 1927). */
export interface Share {
  readonly count: number;
  readonly of: number;
  readonly share: number;
  readonly low: number;
  readonly high: number;
}

/** Standard normal: 97.5 % lie below. */
const Z = 1.959964;

export function shareOf(count: number, of: number): Share {
  if (of === 0) return { count, of, share: Number.NaN, low: 0, high: 1 };
  const share = count / of;
  const middle = (share + (Z * Z) / (2 * of)) / (1 + (Z * Z) / of);
  const reach = (Z * Math.sqrt((share * (1 - share)) / of + (Z * Z) / (4 * of * of))) / (1 + (Z * Z) / of);
  return { count, of, share, low: Math.max(0, middle - reach), high: Math.min(1, middle + reach) };
}

/** A fault with the shot that it is in. */
export interface Case extends FaultScore {
  readonly seed: number;
  readonly noise: number;
}

export interface FaultRow {
  readonly name: string;
  readonly judged: boolean;
  readonly recall: Share;
  /** Of those alone that a perfect judge would find. */
  readonly visible: Share;
  readonly kind: Share;
  /** Found on its own part, or missed and not found on another. */
  readonly part: Share;
  readonly onset: Share;
  /** Median size of the error of the told size, px. */
  readonly pxError: number;
  readonly notMeasured: number;
  /** Shots of those that a perfect judge would find and that were missed. */
  readonly missed: readonly number[];
}

const median = (values: readonly number[]): number =>
  values.length === 0 ? Number.NaN : values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)];
const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

/** Frames that a flag may begin off. */
export const ONSET_FRAMES = 3;

export const casesOf = (results: readonly ShotResult[]): Case[] =>
  results.flatMap(({ seed, noise, open }) => open.faults.map((fault) => ({ ...fault, seed, noise })));

export function rowOf(name: string, cases: readonly Case[]): FaultRow {
  const found = cases.filter((one) => one.found);
  const visible = cases.filter(({ perfect }) => perfect === null || perfect >= FOUND_BY_ANYONE);
  const told = found.filter(({ onset }) => onset !== null);
  const sized = found.flatMap(({ pxError }) => (pxError === null ? [] : [Math.abs(pxError)]));
  return {
    name,
    judged: cases.some(({ judged }) => judged),
    recall: shareOf(found.length, cases.length),
    visible: shareOf(visible.filter((one) => one.found).length, visible.length),
    kind: shareOf(found.filter(({ rightKind }) => rightKind).length, found.length),
    part: shareOf(found.length, found.length + cases.filter(({ elsewhere }) => elsewhere).length),
    onset: shareOf(told.filter(({ onset }) => Math.abs(onset ?? 0) <= ONSET_FRAMES).length, told.length),
    pxError: median(sized),
    notMeasured: mean(cases.map((one) => one.notMeasured)),
    missed: visible.filter((one) => !one.found).map(({ seed }) => seed),
  };
}

/** In the order in which the keys come up. */
export function grouped<T>(items: readonly T[], keyOf: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) groups.set(keyOf(item), [...(groups.get(keyOf(item)) ?? []), item]);
  return groups;
}

/** Rows by a key, in the order in which the keys come up. */
export function rowsBy(cases: readonly Case[], keyOf: (one: Case) => string): FaultRow[] {
  return [...grouped(cases, keyOf)].map(([name, group]) => rowOf(name, group));
}

export interface CleanTally {
  readonly name: string;
  readonly holds: number;
  readonly open: number;
  readonly usual: number;
  /** Shots with a false flag. */
  readonly seeds: readonly number[];
}

export function cleanTally(name: string, results: readonly ShotResult[]): CleanTally {
  const count = (key: "open" | "usual"): number => results.reduce((sum, one) => sum + one[key].wrong.length, 0);
  return {
    name,
    holds: results.reduce((sum, one) => sum + one.stillHolds, 0),
    open: count("open"),
    usual: count("usual"),
    seeds: results.filter(({ open, usual }) => open.wrong.length + usual.wrong.length > 0).map(({ seed }) => seed),
  };
}
