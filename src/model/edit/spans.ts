// Ranges of frames of one row of the sheet: they never share a frame. What is put over others takes their frames.

interface Span {
  readonly from: number;
  readonly to: number;
}

/** What is left of the ranges outside from..to: cut short, split, or gone. */
export const withoutRange = <T extends Span>(spans: readonly T[], from: T["from"], to: T["to"]): T[] =>
  spans.flatMap((span) => {
    if (span.to < from || span.from > to) return [span];
    return [
      ...(span.from < from ? [{ ...span, to: (from - 1) as T["to"] }] : []),
      ...(span.to > to ? [{ ...span, from: (to + 1) as T["from"] }] : []),
    ];
  });

/**
 * Puts a range over the others. Neighbours that say the same and touch it become one with it: a hold that goes on is
 * one hold, with one anchor.
 * @param frames the numbers of the frames there are: two ranges touch where no frame lies between them
 */
export const withRange = <T extends Span>(
  spans: readonly T[],
  span: T,
  says: (one: T) => string,
  frames: readonly number[],
): T[] => {
  const touches = (a: Span, b: Span) => {
    const [first, second] = a.from <= b.from ? [a, b] : [b, a];
    return second.from <= first.to + 1 || !frames.some((frame) => frame > first.to && frame < second.from);
  };
  const joined = spans.filter((one) => says(one) === says(span) && touches(one, span));
  const from = Math.min(span.from, ...joined.map((one) => one.from)) as T["from"];
  const to = Math.max(span.to, ...joined.map((one) => one.to)) as T["to"];
  const others = spans.filter((one) => !joined.includes(one));
  return [...withoutRange(others, span.from, span.to), { ...span, from, to }].toSorted((a, b) => a.from - b.from);
};

/**
 * Moves one end of a range. A neighbour that touches it there goes along; what lies in the way is cut short. An end
 * stays within its own range: it can't pass the other one.
 */
export const withEdge = <T extends Span>(
  spans: readonly T[],
  index: number,
  edge: "from" | "to",
  frame: number,
  frames: readonly number[],
): T[] => {
  const span = spans[index];
  if (span === undefined) return [...spans];
  const [from, to] = edge === "from" ? [Math.min(frame, span.to), span.to] : [span.from, Math.max(frame, span.from)];
  const before = frames.findLast((each) => each < from) ?? from - 1;
  const after = frames.find((each) => each > to) ?? to + 1;
  const isNext = (one: T) =>
    one !== span &&
    (edge === "from"
      ? one.to < span.from && !frames.some((each) => each > one.to && each < span.from)
      : one.from > span.to && !frames.some((each) => each > span.to && each < one.from));
  const others = spans
    .filter((one) => one !== span)
    .map((one) => {
      if (!isNext(one)) return one;
      return edge === "from" ? { ...one, to: before as T["to"] } : { ...one, from: after as T["from"] };
    })
    .filter((one) => one.from <= one.to);
  return [
    ...withoutRange(others, from as T["from"], to as T["to"]),
    { ...span, from: from as T["from"], to: to as T["to"] },
  ].toSorted((a, b) => a.from - b.from);
};
