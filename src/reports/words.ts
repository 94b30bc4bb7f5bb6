// Numbers and lists as they stand in sentences.

/** A real minus sign, which is as wide as a digit in tabular figures. */
const MINUS = "\u2212";

export const fixed = (value: number, decimals: number): string => {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `${MINUS}${text}` : text;
};

/** Decimals that a value with this uncertainty deserves: one figure of the uncertainty, two where it begins with 1. */
export const decimalsFor = (sigma: number): number => {
  if (!(sigma > 0)) return 2;
  const power = Math.floor(Math.log10(sigma));
  const leading = sigma / 10 ** power;
  return Math.min(4, Math.max(0, -power + (leading < 1.95 ? 1 : 0)));
};

/** px; no band is smaller. */
const SMALL = 0.095;

/** Units of sizes; all others are speeds. */
const sizes: ReadonlySet<string> = new Set(["px", "mm", "stops"]);

/**
 * "1.93 ± 0.01 px"; without an uncertainty "1.93 px". Sizes have the decimals that the sentences of findings have, so that
 * one number doesn't stand there twice in two lengths; speeds as many as their uncertainty deserves. An uncertainty is
 * never told as zero: below the last digit it is that digit.
 */
export const measured = (value: number, sigma: number | null, unit: string): string => {
  if (sigma === null || !(sigma > 0)) return `${fixed(value, 2)} ${unit}`.trimEnd();
  // Less than any finding has: nothing stands beside it, and a second decimal would tell nothing.
  const isSmall = unit === "px" && Math.abs(value) < SMALL && sigma < SMALL;
  const decimals = !sizes.has(unit) ? decimalsFor(sigma) : sigma < 0.005 || isSmall ? 3 : 2;
  return `${fixed(value, decimals)} ± ${fixed(Math.max(sigma, 10 ** -decimals), decimals)} ${unit}`.trimEnd();
};

/** Slower than this, px a minute, is told by the hour: nobody reads "0.0007 px a minute". */
const SLOW = 0.01;

/** "0.050 ± 0.002 px a minute", "0.04 ± 0.01 px an hour"; null where it isn't known. */
export const rateWords = (perMinute: number | null, sigma: number | null): string | null => {
  if (perMinute === null) return null;
  const [times, unit] = perMinute < SLOW ? [60, "px an hour"] : [1, "px a minute"];
  if (sigma === null) return `${fixed(perMinute * times, 3)} ${unit}`;
  return measured(perMinute * times, sigma * times, unit);
};

/** An id as a name: "oda" becomes "Oda", "old_crow" "Old crow". */
export const titled = (id: string): string => id.charAt(0).toUpperCase() + id.slice(1).replace(/[-_]/gu, " ");

/** A sentence in which a number, its uncertainty and its unit stay on one line. */
export const together = (sentence: string): string =>
  sentence.replace(/ (?=±|px\b|mm\b|stops\b|%)/gu, "\u00a0").replace(/(?<=±) /gu, "\u00a0");

/** "frame 3", "frames 3 to 9". */
export const framesFrom = ({ from, to }: { readonly from: number; readonly to: number }): string =>
  from === to ? `frame ${from}` : `frames ${from} to ${to}`;

/** "1 frame", "24 frames". */
export const counted = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`;

/** "4 s", "2 min 10 s", "1 h 5 min". */
export const duration = (seconds: number): string => {
  const whole = Math.max(0, Math.round(seconds));
  if (whole < 60) return `${whole} s`;
  if (whole < 3600) return `${Math.floor(whole / 60)} min ${whole % 60} s`;
  const minutes = Math.round(whole / 60);
  return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
};

/** "frame 3", "frames 3, 5 to 9 and 12"; neighbours are those next to each other in `every`, or whose numbers follow. */
export const frameList = (frames: readonly number[], every: readonly number[] = []): string => {
  const places = new Map(every.map((frame, place) => [frame, place] as const));
  const runs: [number, number][] = [];
  for (const frame of frames) {
    const last = runs.at(-1);
    const place = places.get(frame);
    const next = last !== undefined && (frame === last[1] + 1 || (place !== undefined && every[place - 1] === last[1]));
    if (next) last[1] = frame;
    else runs.push([frame, frame]);
  }
  const texts = runs.map(([from, to]) => (from === to ? `${from}` : `${from} to ${to}`));
  const last = texts.pop() ?? "none";
  return `${frames.length === 1 ? "frame" : "frames"} ${texts.length > 0 ? `${texts.join(", ")} and ${last}` : last}`;
};
