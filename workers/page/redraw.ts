import { expose } from "comlink";
import { encode } from "fast-png";
import { doubtsOf } from "../../src/analysis/redraw/doubts.ts";
import { paintOut, redrawn } from "../../src/analysis/redraw/redrawn.ts";
import { readHeader } from "../../src/decode/header.ts";
import type { Pixels } from "../../src/decode/pixels.ts";
import { applyPatch } from "../../src/measure/redraw/redraw.ts";
import type { Raster } from "../../src/measure/redraw/raster.ts";
import type { RedrawShot, RedrawWorker } from "../../src/protocol/pictures.ts";
import { answered } from "./answered.ts";
import { decodeInPage } from "./pixels.ts";
import { blobOf, previewPixels } from "./previews.ts";

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

/** Original frames that are kept, bytes: one of 24 megapixels beside the one that is worked on. */
const ORIGINALS = 200e6;
const originals = new Map<number, Pixels>();

/** A frame as its file has it, at full size, 16 bit where it has them: the same pixels as are measured. */
async function originalOf(frame: number): Promise<Pixels> {
  const there = originals.get(frame);
  if (there) return there;
  const file = shot?.files.find((each) => each.frame === frame);
  if (file === undefined) throw new Error(`frame ${frame} is not in the folder`);
  const bytes = new Uint8Array(await (await blobOf(file.source)).arrayBuffer());
  const header = readHeader(bytes, file.file);
  const pixels = "problem" in header ? header : await decodeInPage(bytes, header, file.file);
  if ("problem" in pixels) throw new Error(pixels.problem);
  originals.set(frame, pixels);
  let kept = 0;
  for (const each of originals.values()) kept += each.data.byteLength;
  for (const [old, each] of originals) {
    if (kept <= ORIGINALS || originals.size <= 2) break;
    kept -= each.data.byteLength;
    originals.delete(old);
  }
  return pixels;
}

const rasterOf = ({ width, height, data }: ImageData): Raster => ({ width, height, channels: 4, data });

const worker: RedrawWorker<ImageBitmap> = {
  shot(given) {
    shot = given;
    originals.clear();
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
        const guessed = patch?.guessed ?? 0;
        const told = { parts, guessed, doubts: doubtsOf(shot.report, shot.sheet, frame, choice, guessed) };
        if (patch === null) return { bitmap: await createImageBitmap(picture), ...told };
        const copy = new ImageData(picture.data.slice(), picture.width, picture.height);
        applyPatch(rasterOf(copy), patch);
        return { bitmap: await createImageBitmap(copy), ...told };
      },
      ({ bitmap }) => [bitmap],
    ),
  paintOut: (frame, choice) =>
    answered(
      `Frame ${frame}`,
      async () => {
        if (shot === null) throw new Error("no shot is open");
        const { report, sheet } = shot;
        const whole = await originalOf(frame);
        const made = await paintOut(report, sheet, frame, choice, whole, (other) =>
          originalOf(other).catch(() => null),
        );
        const { width, height, data, parts, guessed } = made;
        const png = encode({ width, height, data, channels: 4, depth: data instanceof Uint16Array ? 16 : 8 });
        return { png: new Uint8Array(png), parts, doubts: doubtsOf(report, sheet, frame, choice, guessed) };
      },
      ({ png }) => [png.buffer],
    ),
};

expose(worker);
