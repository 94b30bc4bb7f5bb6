import { comparisonKey, frameKey, PICTURE_BUDGET } from "../../client/pictures.ts";
import type { FrameFile } from "../../protocol/index.ts";
import { anchorNow, framesNow } from "../state/looking.ts";
import { pictures } from "../state/pictures.ts";
import { addNotice, session } from "../state/session.ts";
import { view } from "../state/view.ts";

// Which picture the table needs, and getting it there: one request at a time, the latest wish first, so that
// scrubbing never queues up frames that nobody waits for any more.

/** Of a picture, for its width squared: four bytes, and no picture here is higher than it is wide. */
const BYTES_A_PIXEL = 4;

interface Wish {
  readonly key: string;
  readonly get: () => ReturnType<typeof pictures.frame>;
}

const fileOf = (frame: number | null): FrameFile | null =>
  frame === null ? null : (session.get().files?.get(frame) ?? null);

function wishFor(frame: number, width: number): Wish | null {
  const { picture, flipped, gain } = view.get();
  const current = fileOf(frame);
  const anchor = fileOf(anchorNow());
  if (!current) return null;
  if ((picture === "over" || picture === "difference") && anchor) {
    return {
      key: comparisonKey(picture, anchor, current, width, gain),
      get: () => pictures.compare(picture, anchor, current, width, gain),
    };
  }
  const file = picture === "flip" && flipped && anchor ? anchor : current;
  return { key: frameKey(file, width), get: () => pictures.frame(file, width) };
}

/** The pictures that will be wanted next: the other side of the flip, and the frames beside this one. */
function wishesAfter(width: number): readonly Wish[] {
  const { picture, frame, flipped, playing } = view.get();
  const frames = framesNow();
  const at = frames.indexOf(frame);
  const wishes: (Wish | null)[] = [];
  if (picture === "flip") {
    const other = fileOf(flipped ? frame : anchorNow());
    if (other) wishes.push({ key: frameKey(other, width), get: () => pictures.frame(other, width) });
  }
  for (const by of playing ? [1, 2, 3, 4] : [1, -1]) {
    const next = frames[at + by];
    if (next !== undefined) wishes.push(wishFor(next, width));
  }
  // What is fetched ahead must not push out what is up.
  const room = Math.floor(PICTURE_BUDGET / (BYTES_A_PIXEL * width * width)) - 2;
  return wishes.filter((wish) => wish !== null).slice(0, Math.max(0, room));
}

export interface Supply {
  /** The picture for now, or the last one there was: never nothing in between. */
  current(width: number): ImageBitmap | null;
  end(): void;
}

export function createSupply(onPicture: () => void): Supply {
  let shown: ImageBitmap | null = null;
  let busy = false;
  let ended = false;
  let width = 0;
  const refused = new Set<string>();
  let shot = session.get().files;

  const pump = async () => {
    if (busy || ended) return;
    if (shot !== session.get().files) {
      // Another shot may have files of the same names.
      shot = session.get().files;
      refused.clear();
    }
    const first = wishFor(view.get().frame, width);
    const wish = [first, ...wishesAfter(width)].find(
      (each) => each !== null && !pictures.kept(each.key) && !refused.has(each.key),
    );
    if (!wish) return;
    busy = true;
    const answer = await wish.get();
    busy = false;
    if (ended) return;
    if (!answer.ok && answer.code !== "cancelled") {
      refused.add(wish.key);
      addNotice("A frame can't be shown", [answer.detail]);
    }
    if (wish.key === wishFor(view.get().frame, width)?.key) onPicture();
    void pump();
  };

  return {
    current(wanted) {
      width = wanted;
      const wish = wishFor(view.get().frame, width);
      const there = wish ? pictures.kept(wish.key) : null;
      if (there) shown = there;
      void pump();
      // A picture that fell out of the budget is closed, and has no width any more.
      return session.get().files && shown && shown.width > 0 ? shown : null;
    },
    end() {
      ended = true;
    },
  };
}
