// What can be seen of a drift that tells one cause from another. Each comes with the words that stand on a card.

export const signWords = {
  "pivot-on-joint": "it turns about a joint",
  "pivot-off-joint": "it turns about none of its joints",
  "pivot-wanders": "the point that it turns about wanders",
  "pivot-stays": "the point that it turns about stays where it is",
  "at-root": "the figure leans as one about its root or foot",
  down: "it goes along gravity",
  up: "it goes against gravity",
  sideways: "it goes across gravity",
  fast: "it turns by more than a degree an hour",
  slow: "it turns by less than a degree an hour",
  "stick-slip": "it goes in small jumps with rests between",
  smooth: "it goes smoothly",
  slowing: "it slows as it goes",
  steady: "it doesn't slow",
  "after-touch": "it begins right after this or a neighbour was moved",
  untouched: "nothing near it was being moved when it began",
  "over-break": "it happened over a break in shooting",
  "one-area": "one area of it went",
  "all-over": "all of it went",
  "several-parts": "several parts went at the same time",
  "one-part": "nothing else went at that time",
  "with-camera": "the camera shifted at the same frame",
  "with-light": "the light changed at the same frame",
  "comes-back": "it comes back to where it was",
  stays: "it stays where it went",
  carries: "what hangs on it went along",
} as const satisfies Record<string, string>;
export type Sign = keyof typeof signWords;
export const signs = Object.keys(signWords) as readonly Sign[];

/** Signs of which only one can hold: where one was measured, the others are told. */
const exclusive: readonly (readonly Sign[])[] = [
  ["pivot-on-joint", "pivot-off-joint"],
  ["pivot-wanders", "pivot-stays"],
  ["down", "up", "sideways"],
  ["fast", "slow"],
  ["stick-slip", "smooth"],
  ["slowing", "steady"],
  ["after-touch", "untouched"],
  ["one-area", "all-over"],
  ["several-parts", "one-part"],
  ["comes-back", "stays"],
];

/** What a sign shares its answer with, itself among them. */
export const groupOf = (sign: Sign): readonly Sign[] => exclusive.find((group) => group.includes(sign)) ?? [sign];

/** Signs that were measured, each with its figure in words: "within 9 degrees of gravity". */
export type Signs = Partial<Readonly<Record<Sign, string>>>;
