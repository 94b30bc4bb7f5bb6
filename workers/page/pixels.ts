import { decodeFrame } from "../../src/decode/frame.ts";
import type { NativeDecoder } from "../../src/decode/frame.ts";
import type { Header } from "../../src/decode/header.ts";
import type { Pixels, Problem } from "../../src/decode/pixels.ts";

const OPTIONS: ImageBitmapOptions = { colorSpaceConversion: "none", premultiplyAlpha: "none" };

/** Reads an opaque bitmap's pixels: red, green, blue and a fourth byte that means nothing. */
type ReadBack = (bitmap: ImageBitmap) => Promise<Uint8Array<ArrayBuffer>>;

/** Takes half the time of a canvas and none of its memory. */
const byVideoFrame: ReadBack = async (bitmap) => {
  const frame = new VideoFrame(bitmap, { timestamp: 0, alpha: "discard" });
  try {
    const data = new Uint8Array(4 * bitmap.width * bitmap.height);
    await frame.copyTo(data, { format: "RGBX", layout: [{ offset: 0, stride: 4 * bitmap.width }] });
    return data;
  } finally {
    frame.close();
  }
};

/** Rows that are drawn at a time: a canvas as large as the frame would hold it twice more. */
const STRIP = 256;

const byCanvas: ReadBack = async (bitmap) => {
  const { width, height } = bitmap;
  const canvas = new OffscreenCanvas(width, Math.min(height, STRIP));
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!context) throw new Error("the browser gives no canvas");
  const data = new Uint8Array(4 * width * height);
  for (let y = 0; y < height; y += STRIP) {
    const rows = Math.min(STRIP, height - y);
    context.drawImage(bitmap, 0, y, width, rows, 0, 0, width, rows);
    data.set(context.getImageData(0, 0, width, rows).data, 4 * width * y);
  }
  return data;
};

/**
 * Reads back a card that has every value in every channel. Some browsers convert colours on the way or add noise to
 * what a page reads, against tracking; a measurement must not be made on that.
 */
const isTrue = async (read: ReadBack): Promise<boolean> => {
  const card = new ImageData(256, 3);
  for (let i = 0; i < 256 * 3; i++)
    card.data.set(
      [i, i * 7, 255 - i, 255].map((value) => value & 255),
      4 * i,
    );
  try {
    const bitmap = await createImageBitmap(card, OPTIONS);
    try {
      const back = await read(bitmap);
      return card.data.every((value, i) => i % 4 === 3 || value === back[i]);
    } finally {
      bitmap.close();
    }
  } catch {
    return false;
  }
};

const chooseReadBack = async (): Promise<ReadBack | null> => {
  for (const read of [byVideoFrame, byCanvas]) if (await isTrue(read)) return read;
  return null;
};

let chosen: Promise<ReadBack | null> | null = null;

const byBrowser =
  (file: string): NativeDecoder =>
  async (parts, format) => {
    chosen ??= chooseReadBack();
    const read = await chosen;
    if (!read)
      return {
        problem: `${file} can't be measured: this browser changes the pixels that a page reads, perhaps against tracking`,
      };
    const bitmap = await createImageBitmap(new Blob(parts, { type: `image/${format}` }), OPTIONS);
    try {
      return { width: bitmap.width, height: bitmap.height, channels: 4, bits: 8, data: await read(bitmap) };
    } finally {
      bitmap.close();
    }
  };

/** Decodes a whole frame to oriented pixels, the same to the bit as on the command line, or says in a sentence why it can't. */
export const decodeInPage = (bytes: Uint8Array<ArrayBuffer>, header: Header, file: string): Promise<Pixels | Problem> =>
  decodeFrame(bytes, header, file, byBrowser(file));
