// Numbers as they stand in the files that are written: rounded, and nothing that is no number.

/** Smallest step that is written: a millionth of a px, mm or stop. */
const DECIMALS = 6;
/** Of a turn, radians, or a scale: at 1,000 px from the pivot it is a millionth of a px as well. */
const FINE_DECIMALS = 9;

const STEPS = 10 ** DECIMALS;

const rounded = (value: number, decimals: number): number | null => {
  if (!Number.isFinite(value)) return null;
  const steps = decimals === DECIMALS ? STEPS : 10 ** decimals;
  const scaled = Math.round(value * steps);
  // Past 2^53 steps there is nothing left to round.
  return Math.abs(scaled) < Number.MAX_SAFE_INTEGER ? scaled / steps + 0 : value;
};

const fineKeys = new Set(["turn", "sigmaTurn", "scale"]);
/** What a person set, not what was measured, is written to the last digit. */
const wholeKeys = new Set(["fps", "pxPerMm"]);

/** Decimals of the numbers under a key; null: all of them. For whoever rounds many under one key. */
export const decimalsUnder = (key: string): number | null =>
  wholeKeys.has(key) ? null : fineKeys.has(key) ? FINE_DECIMALS : DECIMALS;

/** One number with so many decimals, or all of them; null for what is no number. */
export const tidyNumber = (value: number, decimals: number | null): number | null =>
  decimals === null ? value : rounded(value, decimals);

export const isBroken = (value: unknown): boolean => typeof value === "number" && !Number.isFinite(value);

/**
 * The value with every number rounded by the key it stands under, and null for what is no number: a vector that
 * lacks a coordinate is no vector.
 */
export const tidy = (value: unknown, key = ""): unknown => {
  if (typeof value === "number") return tidyNumber(value, decimalsUnder(key));
  if (wholeKeys.has(key)) return value;
  if (Array.isArray(value) && value.some(isBroken)) return null;
  if (Array.isArray(value)) return value.map((item: unknown) => tidy(item, key));
  if (typeof value !== "object" || value === null) return value;
  const tidied: Record<string, unknown> = {};
  for (const [own, item] of Object.entries(value)) tidied[own] = tidy(item, own);
  return tidied;
};
