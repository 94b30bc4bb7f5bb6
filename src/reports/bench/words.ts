import { counted, decimalsFor, fixed, titled } from "../words.ts";
import { speedWords, type SpeedUnit } from "./holds.ts";
import type { Mean, Share, Spread } from "./intervals.ts";
import type { Speed, Subject } from "./rows.ts";

// The bench's numbers as people read them: always with the interval, or with why there is none.

export const readable = (id: string): string => id.replace(/[-_]/gu, " ");

/** "Oda, copy B"; what belongs to no puppet is set or prop. */
export const puppetWords = (puppet: string | null, copy: string | null): string =>
  puppet === null ? "set and props" : copy === null ? titled(puppet) : `${titled(puppet)}, copy ${copy}`;

/** "Left forearm of Oda, copy B", "Oda's left forearm, copy B"; "Hive, set and props". */
export const partWords = (partName: string, puppet: string | null, copy: string | null): string => {
  if (puppet === null) return `${partName}, ${puppetWords(null, null)}`;
  const isOwned = /^['’]/u.test(partName.slice(puppet.length)) && titled(partName).startsWith(titled(puppet));
  if (!isOwned) return `${partName} of ${puppetWords(puppet, copy)}`;
  return copy === null ? partName : `${partName}, copy ${copy}`;
};

/** "Left forearm of Oda, copy B"; "shoulder left of Oda", "every limb". */
export const subjectWords = (subject: Subject, partName: string | null): string => {
  const owner = puppetWords(subject.puppet, subject.copy);
  const of = subject.puppet === null ? `, ${owner}` : ` of ${owner}`;
  switch (subject.level) {
    case "puppet":
    case "copy":
      return owner;
    case "part":
      return partWords(partName ?? readable(subject.part ?? ""), subject.puppet, subject.copy);
    case "joint":
      return `${readable(subject.joint ?? "")}${of}`;
    case "kind":
      return `every ${subject.kind ?? "part"}`;
  }
};

/** Percent, whole; one place below one. */
const percent = (value: number): string => {
  const hundred = value * 100;
  return hundred > 0 && hundred < 0.95 ? fixed(hundred, 1) : fixed(hundred, 0);
};

/** "12 of 40 holds (18 to 45 %)". */
export const shareWords = ({ count, of, low, high }: Share, noun = "hold"): string =>
  of === 0 ? `no ${noun}` : `${count} of ${counted(of, noun)} (${percent(low)} to ${percent(high)} %)`;

/** A value with as many places as its error deserves. */
export const valueWords = ({ value, error }: Pick<Mean, "value" | "error">): string => fixed(value, decimalsFor(error));

/** "0.90 (0.71 to 1.09) degrees an hour over 8 holds". */
export const meanWords = (mean: Mean, unit: SpeedUnit): string => {
  const decimals = decimalsFor(mean.error);
  const holds = `over ${counted(mean.count, "hold")}`;
  if (mean.low === null || mean.high === null)
    return `${fixed(mean.value, decimals)} ${speedWords[unit]} in 1 hold: an interval takes two`;
  // A way is never negative.
  const low = Math.max(0, mean.low);
  return `${fixed(mean.value, decimals)} (${fixed(low, decimals)} to ${fixed(mean.high, decimals)}) ${speedWords[unit]} ${holds}`;
};

export const speedText = (speed: Speed, unit: SpeedUnit): string =>
  "mean" in speed ? meanWords(speed.mean, unit) : `not told: ${speed.reason}`;

export const spreadWords = ({ value, low, high, count }: Spread, unit: "px" | "mm"): string => {
  const decimals = decimalsFor((high - low) / 4);
  return `${fixed(value, decimals)} (${fixed(low, decimals)} to ${fixed(high, decimals)}) ${unit} over ${counted(count, "seating")}`;
};
