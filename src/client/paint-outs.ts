import { createPool } from "../pool/pool.ts";
import type { Answer } from "../protocol/index.ts";
import type { PaintOutFile, RedrawChoice, RedrawShot } from "../protocol/pictures.ts";
import { clock, spawn } from "./spawn.ts";

/** A frame of 24 megapixels takes some seconds to draw and pack. */
const SILENCE_MS = 180_000;

/**
 * The layers that hold frames still, one after the other, each handed over before the next is begun, so that no more
 * than one is in memory. The worker is ended with the last one.
 */
export async function eachPaintOut(
  shot: RedrawShot,
  frames: readonly number[],
  choice: RedrawChoice,
  signal: AbortSignal,
  take: (frame: number, file: PaintOutFile) => Promise<void>,
): Promise<Answer<true>> {
  const pool = createPool({ size: 1, spawn: () => spawn("redraw"), clock, silenceMs: SILENCE_MS });
  try {
    for (const frame of frames) {
      const answer = await pool.run<PaintOutFile>({
        method: "paintOut",
        args: () => [frame, choice],
        prepare: { key: shot, method: "shot", args: [shot] },
        signal,
      });
      if (!answer.ok) return answer;
      await take(frame, answer.value);
    }
    return { ok: true, value: true };
  } finally {
    pool.close();
  }
}
