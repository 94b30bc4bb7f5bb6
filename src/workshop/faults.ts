/** Why something that was typed can't be: `field` is the path of the field it stands at, `sentence` is for people. */
export interface Fault {
  readonly field: string;
  readonly sentence: string;
}

export interface Limits {
  /** As it stands in the sentence: "The mass of the left hand". */
  readonly what: string;
  readonly unit: string;
  /** Lowest value; with `above`, only what is greater. */
  readonly least?: number;
  readonly above?: number;
  readonly most?: number;
}

const shown = (value: number): string => String(Math.round(value * 1e6) / 1e6).replace("-", "\u2212");

/** The sentence that refuses a number, or null where it is allowed. */
export function numberFault(value: number, { what, unit, least, above, most }: Limits): string | null {
  const withUnit = (number: number) =>
    unit === "" || unit === "%" ? `${shown(number)}${unit && ` ${unit}`}` : `${shown(number)} ${unit}`;
  if (!Number.isFinite(value)) return `${what} is not a number.`;
  if (above !== undefined && !(value > above))
    return `${what} is ${withUnit(value)}; it must be more than ${withUnit(above)}.`;
  if (least !== undefined && value < least)
    return `${what} is ${withUnit(value)}; it can't be less than ${withUnit(least)}.`;
  if (most !== undefined && value > most)
    return `${what} is ${withUnit(value)}; it can't be more than ${withUnit(most)}.`;
  return null;
}

/** Faults of several fields, those without one left out. */
export const faultsOf = (checks: readonly (readonly [field: string, value: number, limits: Limits])[]): Fault[] =>
  checks.flatMap(([field, value, limits]) => {
    const sentence = numberFault(value, limits);
    return sentence === null ? [] : [{ field, sentence }];
  });

/** A value between two ends, with what is likely; ends are what is thinkable, not 1 sigma. */
export interface Range {
  readonly low: number;
  readonly high: number;
}

/** A value with its standard uncertainty (1 sigma), in the same unit. */
export interface Uncertain {
  readonly value: number;
  readonly sigma: number;
}
