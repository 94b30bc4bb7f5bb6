/** Words that only began with a capital because they began a name. */
const common = /^(Left|Right|Upper|Lower|Front|Back|Middle|Inner|Outer|The)\b/u;

/** A part's name as it stands in a sentence: "Left hand" becomes "left hand", "Oda's hat" stays. */
export const inSentence = (name: string): string =>
  common.test(name) || /^[A-Z][a-z]+$/u.test(name) ? name.charAt(0).toLowerCase() + name.slice(1) : name;
