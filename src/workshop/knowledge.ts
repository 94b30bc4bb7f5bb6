import { builds, everyPartKind, type FlagKind, flagKinds } from "../model/kinds.ts";
import { name, text, type Trusted, z } from "../model/schema.ts";
import { cautions } from "./cautions.ts";
import { type Sign, signs } from "./signs.ts";

// What the workshop knows, as data: one schema for what comes with the tool and for what a workshop adds to it.

const sign = z.enum(signs as readonly [Sign, ...Sign[]]);
const lines = z.array(name).min(1);
const cautionIds = z.array(z.enum(Object.keys(cautions) as [keyof typeof cautions, ...(keyof typeof cautions)[]]));

export const causeSchema = z.looseObject({
  id: name,
  /** A short sentence without its full stop: "The ball turns in its socket". */
  title: name,
  kinds: z.array(z.enum(flagKinds)).min(1),
  /** Parts that can have it; null: any, the whole frame too. */
  parts: z.array(z.enum(everyPartKind)).min(1).nullable(),
  /** Builds of armature that can have it; null: any. */
  builds: z.array(z.enum(builds)).min(1).nullable().default(null),
  /** How often it is behind such a flag, 0 to 5: the order in which to look while nothing is measured. */
  usual: z.number().min(0).max(5),
  about: name,
  /** What speaks for it (points above 0) or against it (below), 3 at most, with the reason. */
  evidence: z.array(z.looseObject({ sign, points: z.number().min(-3).max(3), why: name })).default([]),
  ruledOutBy: z.array(z.looseObject({ sign, why: name })).default([]),
  bench: z.looseObject({ steps: lines, confirms: name }),
  /** Ids of fixes, the usual one first. */
  fixes: z.array(name).min(1),
  /** What gets the shot finished, without tools on the puppet. */
  stopgap: name,
  prevent: name,
  cautions: cautionIds.default([]),
  /** Where it is from. */
  basis: text.default("common practice, no source"),
});

export const fixSchema = z.looseObject({
  id: name,
  title: name,
  steps: lines,
  material: z.array(name).default([]),
  tools: z.array(name).default([]),
  /** Shortest and longest, minutes of work; drying and curing come on top. */
  minutes: z.tuple([z.number().positive(), z.number().positive()]),
  /** What it does to how the puppet performs. */
  performance: name,
  cautions: cautionIds.default([]),
  basis: text.default("common practice, no source"),
});

/** What can be behind a flag. */
export type Cause = Trusted<z.output<typeof causeSchema>>;
/** What cures a cause. */
export type Fix = Trusted<z.output<typeof fixSchema>>;

export interface Knowledge {
  readonly causes: readonly Cause[];
  readonly fixes: readonly Fix[];
  /** A workshop's own order of causes for a kind of flag; it stands in for how usual each is. */
  readonly order?: readonly { readonly kind: FlagKind; readonly causes: readonly string[] }[];
}

type CauseData = Omit<Cause, "basis" | "builds" | "cautions"> & Partial<Pick<Cause, "basis" | "builds" | "cautions">>;
type FixData = Omit<Fix, "basis" | "cautions" | "material" | "tools"> &
  Partial<Pick<Fix, "basis" | "cautions" | "material" | "tools">>;

const PRACTICE = "common practice, no source";

/** Causes as they stand in the files of `causes/`, with what goes without saying filled in. */
export const causesOf = (data: readonly CauseData[]): readonly Cause[] =>
  data.map((cause) => ({ builds: null, cautions: [], basis: PRACTICE, ...cause }));

export const fixesOf = (data: readonly FixData[]): readonly Fix[] =>
  data.map((fix) => ({ material: [], tools: [], cautions: [], basis: PRACTICE, ...fix }));
