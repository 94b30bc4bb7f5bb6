import type { Answer, FrameFile } from "../protocol/index.ts";
import { createPool } from "../pool/pool.ts";
import type {
  CameraPair,
  ColourPicture,
  Comparison,
  FlowField,
  LumaPicture,
  PictureWindow,
  Ring,
} from "../protocol/pictures.ts";
import { createBitmapCache } from "./bitmap-cache.ts";
import { clock, spawn } from "./spawn.ts";

/** Decoded pictures that are kept, bytes: 55 frames at 1440 x 810, 30 at 1920 x 1080. */
export const PICTURE_BUDGET = 256e6;
/** Width, px, at which the dense field of the arrows is found. */
const FLOW_WIDTH = 640;
const FLOW_STEP = 20;
/** Longer side, px, of the piece of a frame in which an edge is looked for: it takes a second or so. */
const CUT_SIDE = 420;
/** Room around the loop that is looked at, as a share of its longer side. */
const CUT_ROOM = 0.25;
const SILENCE_MS = 60_000;

/** Pictures of the shot for the table: asked for by address, decoded in a worker, a fixed budget of them kept. */
export interface Pictures {
  /** The picture if it is there already. */
  kept(key: string): ImageBitmap | null;
  /** @param plays true where it is played, and may come from a small copy of a large frame */
  frame(file: FrameFile, width: number, plays?: boolean): Promise<Answer<ImageBitmap>>;
  compare(
    kind: Comparison,
    anchor: FrameFile,
    current: FrameFile,
    width: number,
    gain: number,
    camera: CameraPair | null,
  ): Promise<Answer<ImageBitmap>>;
  /** The dense field between two frames, in px of a picture `FLOW_WIDTH` wide; loads opencv.js the first time. */
  flow(anchor: FrameFile, current: FrameFile): Promise<Answer<FlowField & { readonly width: number }>>;
  /** The edge of what lies within a rough loop, px of the frame of `size`; loads opencv.js the first time. */
  cutOut(
    file: FrameFile,
    size: { readonly width: number; readonly height: number },
    loop: Ring,
  ): Promise<Answer<{ readonly outline: Ring; readonly holes: readonly Ring[] }>>;
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
  camera: CameraPair | null,
): string =>
  `${kind}:${anchor.file}:${current.file}@${width}x${kind === "over" ? 1 : gain}${camera === null ? "" : " steady"}`;

function windowAround(loop: Ring, size: { readonly width: number; readonly height: number }): PictureWindow {
  const xs = loop.map(([x]) => x);
  const ys = loop.map(([, y]) => y);
  const [left, top, right, bottom] = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  const room = CUT_ROOM * Math.max(right - left, bottom - top) + 8;
  const x = Math.max(0, Math.floor(left - room));
  const y = Math.max(0, Math.floor(top - room));
  return {
    left: x,
    top: y,
    width: Math.max(1, Math.min(size.width, Math.ceil(right + room)) - x),
    height: Math.max(1, Math.min(size.height, Math.ceil(bottom + room)) - y),
  };
}

export function createPictures(): Pictures {
  const cache = createBitmapCache<{ readonly bitmap: ImageBitmap }>(PICTURE_BUDGET);
  let pictures = createPool({ size: 1, spawn: () => spawn("picture"), clock, silenceMs: SILENCE_MS });
  const flows = createPool({ size: 1, spawn: () => spawn("opencv"), clock, silenceMs: SILENCE_MS });

  /** What a worker answers comes inside the pool's own answer, which has the same shape. */
  const ask = <T>(method: string, ...args: readonly unknown[]) => pictures.run<T>({ method, args: () => args });

  const bitmap = (key: string, method: string, ...args: readonly unknown[]): Promise<Answer<ImageBitmap>> =>
    cache
      .get(key, async () => {
        const made = await ask<ImageBitmap>(method, ...args);
        return made.ok ? { ok: true, value: { bitmap: made.value } } : made;
      })
      .then((made) => (made.ok ? { ok: true, value: made.value.bitmap } : made));

  return {
    kept: (key) => cache.kept(key)?.bitmap ?? null,
    frame: (file, width, plays = false) => bitmap(frameKey(file, width), "frame", file, width, plays),
    compare(kind, anchor, current, width, gain, camera) {
      const key = comparisonKey(kind, anchor, current, width, gain, camera);
      return bitmap(key, "compare", kind, anchor, current, width, gain, camera);
    },
    async flow(anchor, current) {
      const before = await ask<LumaPicture>("luma", anchor, FLOW_WIDTH);
      if (!before.ok) return before;
      const now = await ask<LumaPicture>("luma", current, FLOW_WIDTH);
      if (!now.ok) return now;
      const args = [before.value, now.value, FLOW_STEP];
      const field = await flows.run<FlowField>({ method: "field", args: () => args });
      return field.ok ? { ok: true, value: { ...field.value, width: before.value.width } } : field;
    },
    async cutOut(file, size, loop) {
      const window = windowAround(loop, size);
      const piece = await ask<ColourPicture>("piece", file, window, CUT_SIDE);
      if (!piece.ok) return piece;
      const scale = piece.value.width / window.width;
      const into = ([x, y]: Ring[number]) => [(x - window.left) * scale, (y - window.top) * scale] as const;
      const back = ([x, y]: Ring[number]) => [x / scale + window.left, y / scale + window.top] as const;
      const args = [piece.value, loop.map(into)];
      const cut = await flows.run<{ outline: Ring; holes: readonly Ring[] }>({ method: "cutOut", args: () => args });
      if (!cut.ok) return cut;
      const { outline, holes } = cut.value;
      return { ok: true, value: { outline: outline.map(back), holes: holes.map((hole) => hole.map(back)) } };
    },
    clear() {
      cache.clear();
      // Ends the worker and with it what it keeps.
      pictures.close();
      pictures = createPool({ size: 1, spawn: () => spawn("picture"), clock, silenceMs: SILENCE_MS });
    },
  };
}
