import { framesOfTimecode } from "../../model/index.ts";

/** Something that can be found by its words and done at once. */
export interface Findable {
  readonly id: string;
  readonly kind: "action" | "finding" | "part" | "frame" | "screen";
  /** Heading that it stands under. */
  readonly section: string;
  readonly words: string;
  /** Further words that find it and stand small beside it. */
  readonly more: string;
  readonly keys: readonly string[];
  readonly perform: () => void;
}

/** More say no more. */
const MOST = 40;

const plain = (text: string) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();

/** How well a query's words are found in a text: 0 not at all, 3 where the text begins with them. */
function fit(query: readonly string[], words: string, more: string): number {
  const text = plain(words);
  const all = ` ${text} ${plain(more)}`;
  if (!query.every((word) => all.includes(word))) return 0;
  if (text.startsWith(query.join(" "))) return 3;
  return query.every((word) => all.includes(` ${word}`)) ? 2 : 1;
}

/** What a query finds, best first; all of it in its own order where nothing is asked for. */
export function find<T extends Pick<Findable, "words" | "more">>(query: string, among: readonly T[]): readonly T[] {
  const words = plain(query)
    .split(/\s+/u)
    .filter((word) => word !== "");
  if (words.length === 0) return among.slice(0, MOST);
  return among
    .map((each, place) => ({ each, place, fit: fit(words, each.words, each.more) }))
    .filter((each) => each.fit > 0)
    .sort((a, b) => b.fit - a.fit || a.place - b.place)
    .slice(0, MOST)
    .map(({ each }) => each);
}

/** Frames of 35 mm film to a foot. */
const FOOT = 16;

/**
 * The frame that a query names: "17", "frame 17", "f17", "1+08" (feet and frames), "01:00:00:17" (timecode); null where
 * it names none that the shot has.
 */
export function frameNamed(
  query: string,
  frames: readonly number[],
  fps: number,
  timecodeStart: string | null,
): number | null {
  const text = query.trim();
  const number = /^(?:f|fr|frame)?\s*(\d{1,7})$/iu.exec(text);
  const feet = /^(\d{1,5})\+(\d{1,2})$/u.exec(text);
  const frame = number
    ? Number(number[1])
    : feet
      ? FOOT * Number(feet[1]) + Number(feet[2])
      : text.includes(":")
        ? timecodeFrame(text, fps, timecodeStart)
        : null;
  return frame !== null && frames.includes(frame) ? frame : null;
}

function timecodeFrame(text: string, fps: number, start: string | null): number | null {
  const at = framesOfTimecode(text, fps);
  const zero = start === null ? 0 : framesOfTimecode(start, fps);
  return at === null || zero === null ? null : at - zero;
}
