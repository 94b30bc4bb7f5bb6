/** A sentence in which a number, its uncertainty and its unit stay on one line. */
export const together = (sentence: string): string =>
  sentence.replace(/ (?=±|px\b|mm\b|stops\b|%)/gu, "\u00a0").replace(/(?<=±) /gu, "\u00a0");
