// Sentences of flags: plain words, a number with its unit and uncertainty.

/** "1.93 ± 0.02 px". A third decimal where the uncertainty needs it. */
export function pxWords(px: number, sigma: number): string {
  const digits = sigma < 0.005 ? 3 : 2;
  return `${px.toFixed(digits)} ± ${Math.max(sigma, 10 ** -digits).toFixed(digits)} px`;
}

/** " (0.483 ± 0.004 mm)", or nothing without a scale. The scale itself is taken as given. */
export function mmWords(mm: number | null, sigma: number): string {
  if (mm === null) return "";
  const digits = sigma < 0.005 ? 3 : 2;
  return ` (${mm.toFixed(digits)} ± ${Math.max(sigma, 10 ** -digits).toFixed(digits)} mm)`;
}

/** Words that only began with a capital because they began a name. */
const common = /^(Left|Right|Upper|Lower|Front|Back|Middle|Inner|Outer|The)\b/u;

/** A name as it stands in a sentence: "Left shoulder" becomes "left shoulder", "Oda's hat" stays. */
export const inSentence = (name: string): string =>
  common.test(name) || /^[A-Z][a-z]+$/u.test(name) ? name.charAt(0).toLowerCase() + name.slice(1) : name;

/** The same with its article: "the left shoulder"; a name that says whose it is has none. */
export const withArticle = (name: string): string =>
  /['’]s\b|s['’]\s/u.test(name) ? name : `the ${inSentence(name).replace(/^the /u, "")}`;

/** "a", "a and b", "a, b and c". */
export function listed(names: readonly string[], last = "and"): string {
  if (names.length < 2) return names.join("");
  return `${names.slice(0, -1).join(", ")} ${last} ${names.at(-1)}`;
}

/** Sine of 22.5 degrees: a direction within that of an axis is told by that axis alone. */
const HALF_OCTANT = Math.sin(Math.PI / 8);

/** A direction in the picture: "down", "up and to the left". */
export function wayWords([x, y]: readonly [number, number]): string {
  const along = Math.abs(y) < HALF_OCTANT ? "" : y > 0 ? "down" : "up";
  const across = Math.abs(x) < HALF_OCTANT ? "" : x > 0 ? "to the right" : "to the left";
  return along === "" || across === "" ? along + across : `${along} and ${across}`;
}

/** First letter as a sentence begins. */
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
