import { expose } from "comlink";
import { redrawn } from "../../src/analysis/redraw/redrawn.ts";
import { applyPatch } from "../../src/measure/redraw/redraw.ts";
import type { Raster } from "../../src/measure/redraw/raster.ts";
import type { RedrawShot, RedrawWorker } from "../../src/protocol/pictures.ts";
import { answered } from "./answered.ts";
import { previewPixels } from "./previews.ts";

// Draws frames with their measured drift larger, or taken out.

/** Decoded frames that are kept, bytes: the anchor and a few others are asked for again and again. */
const BUDGET = 80e6;

let shot: RedrawShot | null = null;
const decoded = new Map<string, ImageData>();

async function pixelsOf(frame: number, width: number): Promise<ImageData> {
  const file = shot?.files.find((each) => each.frame === frame);
  if (file === undefined) throw new Error(`frame ${frame} is not in the folder`);
  const key = `${frame}@${width}`;
  const there = decoded.get(key) ?? (await previewPixels(file, width));
  decoded.delete(key);
  decoded.set(key, there);
  let bytes = 0;
  for (const each of decoded.values()) bytes += each.data.length;
  for (const [old, each] of decoded) {
    if (bytes <= BUDGET || decoded.size <= 2) break;
    bytes -= each.data.length;
    decoded.delete(old);
  }
  return there;
}

const rasterOf = ({ width, height, data }: ImageData): Raster => ({ width, height, channels: 4, data });

const worker: RedrawWorker<ImageBitmap> = {
  shot(given) {
    shot = given;
    decoded.clear();
    return Promise.resolve({ ok: true, value: true });
  },
  frame: (frame, width, choice) =>
    answered(
      `Frame ${frame}`,
      async () => {
        if (shot === null) throw new Error("no shot is open");
        const picture = await pixelsOf(frame, width);
        const { patch, parts } = await redrawn(shot.report, shot.sheet, frame, choice, rasterOf(picture), (other) =>
          pixelsOf(other, width).then(rasterOf, () => null),
        );
        if (patch === null) return { bitmap: await createImageBitmap(picture), parts, guessed: 0 };
        const copy = new ImageData(picture.data.slice(), picture.width, picture.height);
        applyPatch(rasterOf(copy), patch);
        return { bitmap: await createImageBitmap(copy), parts, guessed: patch.guessed };
      },
      ({ bitmap }) => [bitmap],
    ),
};

expose(worker);
