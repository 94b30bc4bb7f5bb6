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
  let told: RedrawShot | null = null;

  const tell = async (shot: RedrawShot): Promise<Answer<true>> => {
    told = shot;
    return pool.run<true>({ method: "shot", args: () => [shot] });
  };
  return {
    kept: (key) => cache.kept(key),
    async frame(shot, frame, width, choice) {
      if (told?.report !== shot.report || told.sheet !== shot.sheet || told.files !== shot.files) {
        cache.clear();
        const ready = await tell(shot);
        if (!ready.ok) return ready;
      }
      return cache.get(redrawKey(frame, width, choice), async () => {
        const ask = () => pool.run<Redrawn>({ method: "frame", args: () => [frame, width, choice] });
        const answer = await ask();
        if (answer.ok || answer.code !== "worker-died") return answer;
        // The next one knows nothing of the shot.
        const ready = await tell(shot);
        return ready.ok ? ask() : ready;
      });
    },
    clear() {
      cache.clear();
      told = null;
      pool.close();
      pool = open();
    },
  };
}
