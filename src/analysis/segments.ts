import { intentAt, type IntentName, type Mark, type Part } from "../model/index.ts";
import type { FrameNumber } from "../units/index.ts";

/** A stretch of frames in which one part has one intent and, where it is held, one anchor: its first frame. */
export interface Segment {
  readonly part: Part;
  /** "found": nobody said, and the pictures show that it holds. */
  readonly intent: IntentName | "found";
  readonly frames: readonly FrameNumber[];
  /** The part moved right before it. */
  readonly afterMove: boolean;
  readonly wears: string | null;
  /** Where a reset cuts it off from a hold that follows: that hold's first frames. */
  readonly resetTo?: readonly FrameNumber[];
  /** Of a swapped part: the piece that is worn. */
  readonly piece?: Piece;
}

/** A replacement piece: it is measured against itself alone, wherever it is worn. */
export interface Piece {
  /** First frame in which it is worn, that all others are measured against. */
  readonly anchor: FrameNumber;
  /** All frames in which it is worn. */
  readonly frames: readonly FrameNumber[];
  /** Frames of the last time that it was worn before this one; empty for the first time. */
  readonly before: readonly FrameNumber[];
}

/** Intents in which a part is measured against an anchor. */
export const isHeld = (intent: Segment["intent"]): boolean => intent !== "moves" && intent !== "hidden";

/** Longest run of frames with motion, between two holds, that is still a bump (a knock, a pop) and no animation. */
const BUMP = 2;
/** Frames a hold must have on each side of a bump. */
const BUMP_SIDE = 4;

/** What a part did in frames for which nobody said: moving runs that are only a bump count as held. */
export function withoutBumps(moves: readonly boolean[]): boolean[] {
  const out = moves.slice();
  let i = 0;
  while (i < out.length) {
    if (!out[i]) {
      i++;
      continue;
    }
    let end = i;
    while (end < out.length && out[end]) end++;
    const heldBefore = runBefore(out, i);
    const heldAfter = runAfter(moves, end);
    if (end - i <= BUMP && heldBefore >= BUMP_SIDE && heldAfter >= BUMP_SIDE) out.fill(false, i, end);
    i = end;
  }
  return out;
}

function runBefore(moves: readonly boolean[], end: number): number {
  let n = 0;
  for (let i = end - 1; i >= 0 && !moves[i]; i--) n++;
  return n;
}

function runAfter(moves: readonly boolean[], start: number): number {
  let n = 0;
  for (let i = start; i < moves.length && !moves[i]; i++) n++;
  return n;
}

/**
 * Cuts a part's frames into segments.
 * @param frames the shot's readable frames, rising
 * @param moves for each of them: whether the pictures show that the part moved since the frame before; used only where
 * the sheet gives no intent
 */
export function segmentsOf(
  part: Part,
  frames: readonly FrameNumber[],
  moves: readonly boolean[],
  marks: readonly Mark[],
): Segment[] {
  const still = withoutBumps(moves);
  const cuts = new Set(
    marks
      .filter(
        (mark) => (mark.kind === "reset" || mark.kind === "anchor") && (mark.part === null || mark.part === part.id),
      )
      // At a frame that could not be read it counts for the next one that could.
      .map((mark) => frames.find((frame) => frame >= mark.frame)),
  );
  const out: Segment[] = [];
  let open: {
    key: string;
    intent: Segment["intent"];
    wears: string | null;
    frames: FrameNumber[];
    afterMove: boolean;
  } | null = null;
  const close = (): void => {
    if (open !== null)
      out.push({ part, intent: open.intent, frames: open.frames, afterMove: open.afterMove, wears: open.wears });
  };
  frames.forEach((frame, i) => {
    const declared = intentAt(part, frame);
    const intent = declared?.intent ?? (still[i] ? "moves" : "found");
    const key = declared === null ? intent : `${declared.intent} ${declared.from}`;
    if (open !== null && open.key === key && !cuts.has(frame)) {
      open.frames.push(frame);
      return;
    }
    const before: Segment["intent"] | null = open === null ? null : open.intent;
    close();
    // Where nobody said, a hold begins with the frame that moved last: that frame shows the new pose.
    open = {
      key,
      intent,
      wears: declared?.wears ?? null,
      frames: [frame],
      afterMove: before === "moves" && !cuts.has(frame),
    };
    if (intent === "found" && before === "moves") {
      const moved = out.at(-1);
      const last = moved?.frames.at(-1);
      if (moved !== undefined && last !== undefined && intentAt(part, last) === null) {
        out.pop();
        if (moved.frames.length > 1) out.push({ ...moved, frames: moved.frames.slice(0, -1) });
        open.frames.unshift(last);
      }
    }
  });
  close();
  return withPieces(withResets(out, part, marks));
}

/** Frames after a reset in which the part is looked for, until one shows it. */
const AFTER_RESET = 4;

function withPieces(segments: readonly Segment[]): Segment[] {
  return segments.map((segment, i) => {
    if (segment.intent !== "swapped") return segment;
    const isSame = (other: Segment) => other.intent === "swapped" && other.wears === segment.wears;
    const frames = segments.filter(isSame).flatMap((other) => other.frames);
    const before = segments.slice(0, i).findLast(isSame)?.frames ?? [];
    return { ...segment, piece: { anchor: frames[0], frames, before } };
  });
}

/** Held segments that a reset cuts off from the next one know its first frames: the two are compared. */
function withResets(segments: readonly Segment[], part: Part, marks: readonly Mark[]): Segment[] {
  const resets = marks.filter(({ kind, part: of }) => kind === "reset" && (of === null || of === part.id));
  return segments.map((segment, i) => {
    const next = segments.at(i + 1);
    const last = segment.frames.at(-1);
    if (next === undefined || last === undefined || !isHeld(segment.intent) || !isHeld(next.intent)) return segment;
    const isReset = resets.some(({ frame }) => last < frame && frame <= next.frames[0]);
    return isReset ? { ...segment, resetTo: next.frames.slice(0, AFTER_RESET) } : segment;
  });
}
