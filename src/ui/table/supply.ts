import { comparisonKey, frameKey, PICTURE_BUDGET } from "../../client/pictures.ts";
import { type Redrawn, redrawKey } from "../../client/redraws.ts";
import type { Answer, FrameFile } from "../../protocol/index.ts";
import { framesNow, otherNow } from "../state/looking.ts";
import { pictures } from "../state/pictures.ts";
import { framesToPlay, played } from "../state/playing.ts";
import { redrawChoice, redraws, redrawShot } from "../state/redraws.ts";
import { addNotice, session } from "../state/session.ts";
import { createStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import { cameraFor } from "./arrows.ts";

// Which picture the table needs, and getting it there: one request at a time, the latest wish first, so that
// scrubbing never queues up frames that nobody waits for any more.

/** Of a picture, for its width squared: four bytes, and no picture here is higher than it is wide. */
const BYTES_A_PIXEL = 4;

/** Frames that are fetched ahead while playing. */
const AHEAD = Array.from({ length: 12 }, (_, i) => i + 1);
/** Pictures that are asked for at the same time: while playing several, since decoding is not done by the worker alone. */
const AT_ONCE = 3;

interface Wish {
  readonly key: string;
  readonly kept: () => ImageBitmap | null;
  /** What else is known of a redrawn picture that is there. */
  readonly told?: () => Redrawn | null;
  readonly get: () => Promise<Answer<unknown>>;
}

const fileOf = (frame: number | null): FrameFile | null =>
  frame === null ? null : (session.get().files?.get(frame) ?? null);

function wishOf(file: FrameFile | null, width: number): Wish | null {
  if (!file) return null;
  const key = frameKey(file, width);
  return { key, kept: () => pictures.kept(key), get: () => pictures.frame(file, width, view.get().playing) };
}

/** A frame as it is, whatever the view. */
export const plainWish = (frame: number, width: number): Wish | null => wishOf(fileOf(frame), width);

/** What the chosen view shows of a frame. */
function viewWish(frame: number, width: number): Wish | null {
  const { picture, flipped, gain, peek, steady } = view.get();
  const current = fileOf(frame);
  const other = fileOf(otherNow());
  if (peek && other) return wishOf(other, width);
  if (!current) return null;
  if ((picture === "over" || picture === "difference") && other) {
    const camera = steady ? cameraFor(otherNow(), frame) : null;
    const key = comparisonKey(picture, other, current, width, gain, camera);
    return {
      key,
      kept: () => pictures.kept(key),
      get: () => pictures.compare(picture, other, current, width, gain, camera),
    };
  }
  const shot = picture === "exaggerate" || picture === "held" ? redrawShot() : null;
  if (shot && (picture === "exaggerate" || picture === "held")) {
    const choice = redrawChoice(picture);
    const key = redrawKey(frame, width, choice);
    return {
      key,
      kept: () => redraws.kept(key)?.bitmap ?? null,
      told: () => redraws.kept(key),
      get: () => redraws.frame(shot, frame, width, choice),
    };
  }
  return wishOf(picture === "flip" && flipped && other ? other : current, width);
}

/** The pictures that will be wanted next: the other side of the flip, and the frames beside this one. */
function wishesAfter(wishFor: WishFor, width: number): readonly Wish[] {
  const { picture, frame, flipped, playing } = view.get();
  const frames = playing ? framesToPlay() : framesNow();
  const at = frames.indexOf(frame);
  const wishes: (Wish | null)[] = [];
  if (picture === "flip" && wishFor === viewWish) {
    wishes.push(wishOf(fileOf(flipped ? frame : otherNow()), width));
  }
  for (const by of playing ? AHEAD : [1, -1]) {
    // Playing goes round.
    const next = frames[playing ? (at + by) % frames.length : at + by];
    if (next !== undefined) wishes.push(wishFor(next, width));
  }
  // With nothing else to do the rest of what would be played, so that its first pass has no gaps either.
  if (!playing && session.get().phase === "checked" && (picture === "plain" || picture === "flip"))
    for (const each of framesToPlay()) wishes.push(wishFor(each, width));
  // What is fetched ahead must not push out what is up.
  const room = Math.floor(PICTURE_BUDGET / (BYTES_A_PIXEL * width * width)) - 2;
  return wishes.filter((wish) => wish !== null).slice(0, Math.max(0, room));
}

/** What the redrawn picture that is up shows, for words about it. */
export const redrawState = createStore<{
  readonly frame: number;
  readonly parts: readonly string[];
  readonly guessed: number;
  readonly doubts: readonly string[];
  readonly working: boolean;
}>({ frame: -1, parts: [], guessed: 0, doubts: [], working: false });

type WishFor = (frame: number, width: number) => Wish | null;

export interface Supply {
  /** The picture for now, or the last one there was: never nothing in between. */
  current(width: number): ImageBitmap | null;
  end(): void;
}

/** @param wishFor which picture of a frame is wanted, at a width in px */
export function createSupply(onPicture: () => void, wishFor: WishFor = viewWish): Supply {
  let shown: ImageBitmap | null = null;
  let ended = false;
  let width = 0;
  /** The frame that was last counted while playing. */
  let counted = -1;
  const asked = new Set<string>();
  const refused = new Set<string>();
  let shot = session.get().files;

  const bring = async (wish: Wish) => {
    asked.add(wish.key);
    const answer = await wish.get();
    asked.delete(wish.key);
    if (ended) return;
    if (!answer.ok && answer.code !== "cancelled") {
      refused.add(wish.key);
      addNotice("A frame can't be shown", [answer.detail]);
    }
    if (wish.key === wishFor(view.get().frame, width)?.key) onPicture();
    pump();
  };
  const pump = () => {
    if (ended) return;
    if (shot !== session.get().files) {
      // Another shot may have files of the same names.
      shot = session.get().files;
      refused.clear();
    }
    const most = view.get().playing ? AT_ONCE : 1;
    for (const each of [wishFor(view.get().frame, width), ...wishesAfter(wishFor, width)]) {
      if (asked.size >= most) return;
      if (each !== null && !each.kept() && !refused.has(each.key) && !asked.has(each.key)) void bring(each);
    }
  };

  return {
    current(wanted) {
      width = wanted;
      const wish = wishFor(view.get().frame, width);
      const there = wish?.kept() ?? null;
      if (there) shown = there;
      const { playing, frame } = view.get();
      if (playing && frame !== counted && wishFor === viewWish) {
        counted = frame;
        const { due, late } = played.get();
        played.set({ due: due + 1, late: late + (there ? 0 : 1) });
      }
      if (wish?.told) {
        const told = wish.told();
        redrawState.set(
          told
            ? { frame: view.get().frame, parts: told.parts, guessed: told.guessed, doubts: told.doubts, working: false }
            : { working: true },
        );
      }
      pump();
      // A picture that fell out of the budget is closed, and has no width any more.
      return session.get().files && shown && shown.width > 0 ? shown : null;
    },
    end() {
      ended = true;
    },
  };
}
