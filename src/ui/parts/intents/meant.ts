import { intentAt, type Part } from "../../../model/index.ts";
import { frameNumber } from "../../../units/index.ts";
import { framesNow } from "../../state/looking.ts";
import { session } from "../../state/session.ts";
import { view } from "../../state/view.ts";

/** What is said of: one part, or the camera. */
export type Row = { readonly kind: "part"; readonly part: Part } | { readonly kind: "camera" };

/** The row of the sheet that is chosen; null where the strip that is chosen has none. */
export function rowNow(): Row | null {
  const { strip } = view.get();
  if (strip === "camera") return { kind: "camera" };
  const part = session.get().sheet?.parts.find((each) => each.id === strip);
  return part ? { kind: "part", part } : null;
}

interface Range {
  readonly from: number;
  readonly to: number;
}

/** Ranges of a row, of which none may share a frame. */
export const spansOf = (row: Row): readonly (Range & { readonly intent: string })[] =>
  row.kind === "camera" ? (session.get().sheet?.camera ?? []) : row.part.intents;

/**
 * The frames that an intent is meant for: the range that is selected; else the intent at the playhead, or all frames
 * around it of which nothing is said.
 */
export function framesMeant(row: Row): Range | null {
  const { range, frame } = view.get();
  if (range !== null) return range;
  const frames = framesNow();
  const [first, last] = [frames[0], frames.at(-1)];
  if (first === undefined || last === undefined) return null;
  const spans = spansOf(row);
  const here = spans.find((span) => span.from <= frame && frame <= span.to);
  if (here) return { from: here.from, to: here.to };
  const before = spans.filter((span) => span.to < frame).map((span) => span.to);
  const after = spans.filter((span) => span.from > frame).map((span) => span.from);
  const from = frames.find((each) => each > Math.max(Number.NEGATIVE_INFINITY, ...before)) ?? first;
  const to = frames.findLast((each) => each < Math.min(Number.POSITIVE_INFINITY, ...after)) ?? last;
  return { from, to };
}

/** What is said at the playhead; null where nothing is. */
export const saidNow = (row: Row): string | null => {
  const { frame } = view.get();
  if (row.kind === "part") return intentAt(row.part, frameNumber(frame))?.intent ?? null;
  return spansOf(row).find((span) => span.from <= frame && frame <= span.to)?.intent ?? null;
};
