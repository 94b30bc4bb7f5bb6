import type { Answer, FrameFile } from "../protocol/index.ts";
import { createPool } from "../pool/pool.ts";
import type { Comparison, FlowField, LumaPicture } from "../protocol/pictures.ts";
import { clock, spawn } from "./spawn.ts";

/** Decoded pictures that are kept, bytes: about 40 frames at the size of a usual screen. */
export const PICTURE_BUDGET = 160e6;
/** Width, px, at which the dense field of the arrows is found. */
const FLOW_WIDTH = 640;
const FLOW_STEP = 20;
const SILENCE_MS = 60_000;

/** Pictures of the shot for the table: asked for by address, decoded in a worker, a fixed budget of them kept. */
export interface Pictures {
  /** The picture if it is there already. */
  kept(key: string): ImageBitmap | null;
  frame(file: FrameFile, width: number): Promise<Answer<ImageBitmap>>;
  compare(
    kind: Comparison,
    anchor: FrameFile,
    current: FrameFile,
    width: number,
    gain: number,
  ): Promise<Answer<ImageBitmap>>;
  /** The dense field between two frames, in px of a picture `FLOW_WIDTH` wide; loads opencv.js the first time. */
  flow(anchor: FrameFile, current: FrameFile): Promise<Answer<FlowField & { readonly width: number }>>;
  /** Drops every picture, as when another shot is opened. */
  clear(): void;
}

export const frameKey = (file: FrameFile, width: number): string => `${file.file}@${width}`;
export const comparisonKey = (
  kind: Comparison,
  anchor: FrameFile,
  current: FrameFile,
  width: number,
  gain: number,
): string => `${kind}:${anchor.file}:${current.file}@${width}x${kind === "over" ? 1 : gain}`;

export function createPictures(): Pictures {
  const kept = new Map<string, ImageBitmap>();
  const asked = new Map<string, Promise<Answer<ImageBitmap>>>();
  let generation = 0;
  let pictures = createPool({ size: 1, spawn: () => spawn("picture"), clock, silenceMs: SILENCE_MS });
  const flows = createPool({ size: 1, spawn: () => spawn("opencv"), clock, silenceMs: SILENCE_MS });

  /** What a worker answers comes inside the pool's own answer, which has the same shape. */
  const ask = <T>(method: string, ...args: readonly unknown[]) => pictures.run<T>({ method, args: () => args });

  const keep = (key: string, bitmap: ImageBitmap) => {
    kept.get(key)?.close();
    kept.delete(key);
    kept.set(key, bitmap);
    let bytes = 0;
    for (const each of kept.values()) bytes += each.width * each.height * 4;
    for (const [old, each] of kept) {
      if (bytes <= PICTURE_BUDGET || kept.size <= 2) break;
      bytes -= each.width * each.height * 4;
      each.close();
      kept.delete(old);
    }
  };

  const bitmap = (key: string, method: string, ...args: readonly unknown[]): Promise<Answer<ImageBitmap>> => {
    const there = kept.get(key);
    if (there) {
      kept.delete(key);
      kept.set(key, there);
      return Promise.resolve({ ok: true, value: there });
    }
    const running = asked.get(key);
    if (running) return running;
    const of = generation;
    const answer = ask<ImageBitmap>(method, ...args).then((made): Answer<ImageBitmap> => {
      if (asked.get(key) === answer) asked.delete(key);
      if (!made.ok) return made;
      if (of !== generation) {
        made.value.close();
        return { ok: false, code: "cancelled", detail: "Another shot was opened." };
      }
      keep(key, made.value);
      return made;
    });
    asked.set(key, answer);
    return answer;
  };

  return {
    kept: (key) => kept.get(key) ?? null,
    frame: (file, width) => bitmap(frameKey(file, width), "frame", file, width),
    compare: (kind, anchor, current, width, gain) =>
      bitmap(comparisonKey(kind, anchor, current, width, gain), "compare", kind, anchor, current, width, gain),
    async flow(anchor, current) {
      const before = await ask<LumaPicture>("luma", anchor, FLOW_WIDTH);
      if (!before.ok) return before;
      const now = await ask<LumaPicture>("luma", current, FLOW_WIDTH);
      if (!now.ok) return now;
      const args = [before.value, now.value, FLOW_STEP];
      const field = await flows.run<FlowField>({ method: "field", args: () => args });
      return field.ok ? { ok: true, value: { ...field.value, width: before.value.width } } : field;
    },
    clear() {
      generation += 1;
      for (const each of kept.values()) each.close();
      kept.clear();
      asked.clear();
      // Ends the worker and with it what it keeps.
      pictures.close();
      pictures = createPool({ size: 1, spawn: () => spawn("picture"), clock, silenceMs: SILENCE_MS });
    },
  };
}
