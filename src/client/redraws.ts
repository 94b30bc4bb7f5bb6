import { createPool } from "../pool/pool.ts";
import type { Answer } from "../protocol/index.ts";
import type { RedrawChoice, RedrawnPicture, RedrawShot } from "../protocol/pictures.ts";
import { createBitmapCache } from "./bitmap-cache.ts";
import { clock, spawn } from "./spawn.ts";

/** Redrawn pictures that are kept, bytes. */
const BUDGET = 160e6;
const SILENCE_MS = 120_000;

export type Redrawn = RedrawnPicture<ImageBitmap>;

/** Frames with their drift drawn larger or taken out, made in a worker, a fixed budget of them kept. */
export interface Redraws {
  kept(key: string): Redrawn | null;
  /** @param shot the same object as long as it is the same shot */
  frame(shot: RedrawShot, frame: number, width: number, choice: RedrawChoice): Promise<Answer<Redrawn>>;
  /** Drops every picture and ends the worker. */
  clear(): void;
}

export const redrawKey = (frame: number, width: number, { times, parts, camera }: RedrawChoice): string =>
  `${frame}@${width}x${times}:${parts?.join("+") ?? "all"}:${camera ?? "as it is"}`;

export function createRedraws(): Redraws {
  const cache = createBitmapCache<Redrawn>(BUDGET);
  const open = () => createPool({ size: 1, spawn: () => spawn("redraw"), clock, silenceMs: SILENCE_MS });
  let pool = open();
  let of: RedrawShot | null = null;

  return {
    kept: (key) => cache.kept(key),
    frame(shot, frame, width, choice) {
      if (of !== shot) {
        cache.clear();
        of = shot;
      }
      return cache.get(redrawKey(frame, width, choice), () =>
        pool.run<Redrawn>({
          method: "frame",
          args: () => [frame, width, choice],
          prepare: { key: shot, method: "shot", args: [shot] },
        }),
      );
    },
    clear() {
      cache.clear();
      of = null;
      pool.close();
      pool = open();
    },
  };
}
