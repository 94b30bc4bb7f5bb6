import type { FlagKind, HoldFlag, HoldSummary } from "../../model/index.ts";
import type { Measured } from "./intervals.ts";

// One hold of one part, as the bench looks at it.

/** A hold, and the shot that it belongs to. */
export interface BenchHold {
  readonly hold: HoldSummary;
  /** Id of the shot in the store, or its file. */
  readonly shot: string;
  /** "hive_010", "hive_010, take 2". */
  readonly shotName: string;
}

/** A shot with its holds. */
export interface BenchShot {
  readonly shot: string;
  readonly shotName: string;
  readonly holds: readonly HoldSummary[];
}

/** What a part can do wrong, three ways: slowly, as cloth, at once. */
export const families = ["sags", "crawls", "shifts"] as const;
export type Family = (typeof families)[number];

const familyOf: Readonly<Partial<Record<FlagKind, Family>>> = {
  sag: "sags",
  "spring-back": "sags",
  crawl: "crawls",
  boil: "crawls",
  knock: "shifts",
  pop: "shifts",
  "skin-shift": "shifts",
  "set-shift": "shifts",
};

/** True where a hold has a flag of this family; null: of any. */
export const isFlagged = ({ hold }: BenchHold, family: Family | null = null): boolean =>
  hold.flags.some(({ kind }) => (family === null ? familyOf[kind] !== undefined : familyOf[kind] === family));

/** Pieces that are put on anew are judged by where they sit, not by how they hold. */
export const isSeating = ({ hold }: BenchHold): boolean => hold.intent === "swapped";

export const speedUnits = ["degrees", "mm", "px"] as const;
/** Units of a speed: each an hour. */
export type SpeedUnit = (typeof speedUnits)[number];

export const speedWords: Readonly<Record<SpeedUnit, string>> = {
  degrees: "degrees an hour",
  mm: "mm an hour",
  px: "px an hour",
};

/** A step is no speed: what was knocked within a hold says nothing of how fast it sags. */
const hasStep = ({ hold }: BenchHold): boolean => hold.flags.some(({ kind }) => familyOf[kind] === "shifts");

/** A cloth that crept over its carrier: what the part did as a whole doesn't tell how fast. */
const crawlOf = ({ hold }: BenchHold): HoldFlag | null => hold.flags.find(({ kind }) => kind === "crawl") ?? null;

/** Why a hold has no speed in this unit; empty where it has one. */
export const whyNoSpeed = (one: BenchHold, unit: SpeedUnit): string => {
  const { minutes, mm, degrees } = one.hold;
  const crawl = crawlOf(one);
  if (crawl !== null) {
    if (unit === "degrees") return "a crawl is a shift, no turn";
    if (crawl.perMinutePx === null) return "its report doesn't tell how fast it crept";
    if (unit === "mm" && crawl.mm === null) return "the shot has no scale";
    return "";
  }
  if (isSeating(one)) return "a piece that is put on anew has no speed";
  if (one.hold.carriedBy !== null) return "it was carried along by what it hangs on";
  if (hasStep(one)) return "it was knocked or shifted within the hold";
  if (minutes === null || !(minutes > 0)) return "its frames carry no capture times";
  if (unit === "mm" && mm === null) return "the shot has no scale";
  if (unit === "degrees" && degrees === null) return "its turn could not be told";
  return "";
};

const sizeIn = ({ hold }: BenchHold, unit: SpeedUnit): readonly [number, number, number] => {
  switch (unit) {
    case "px":
      return [hold.px, hold.sigma, 2];
    case "mm":
      return [hold.mm ?? 0, hold.sigmaMm ?? 0, 2];
    case "degrees":
      return [Math.abs(hold.degrees ?? 0), hold.sigmaDegrees ?? 0, 1];
  }
};

/** The flag's own speed, an hour. Where it says none, its uncertainty is taken for the share that the size's is. */
const crawlSpeed = ({ px, mm, sigma, perMinutePx, perMinuteSigma }: HoldFlag, unit: SpeedUnit): Measured | null => {
  if (perMinutePx === null) return null;
  const ratio = unit === "mm" ? (mm ?? 0) / (px ?? 1) : 1;
  const spread = perMinuteSigma ?? (px === null || sigma === null || px === 0 ? 0 : (perMinutePx * sigma) / px);
  return { value: perMinutePx * 60 * ratio, sigma: spread * 60 * ratio };
};

/**
 * How fast a held part went, an hour, whichever way: the way it went over the hold by the hold's length. A way is never
 * negative, so that noise alone makes one; its expected square is taken off (two axes of it for a shift, one for a turn).
 * Null where there is none: `whyNoSpeed` says why.
 */
export const speedOf = (one: BenchHold, unit: SpeedUnit): Measured | null => {
  const { minutes } = one.hold;
  if (whyNoSpeed(one, unit) !== "") return null;
  const crawl = crawlOf(one);
  if (crawl !== null) return crawlSpeed(crawl, unit);
  if (minutes === null) return null;
  const [size, sigma, axes] = sizeIn(one, unit);
  const hours = minutes / 60;
  return { value: Math.sqrt(Math.max(0, size * size - axes * sigma * sigma)) / hours, sigma: sigma / hours };
};
