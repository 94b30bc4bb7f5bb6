import type { FrameFile } from "../../src/protocol/index.ts";
import type { PictureWindow } from "../../src/protocol/pictures.ts";

// Frames at the size of the screen, to be looked at: nothing is measured on these.

export const blobOf = async (source: unknown): Promise<Blob> =>
  source instanceof Blob ? source : (source as FileSystemFileHandle).getFile();

/** Small copies of large frames that are kept, bytes: some 500 at the size of a usual screen. */
const COPIES = 160e6;
/** A frame this many times as wide as what is shown of it takes long to decode: a small copy of it is worth its making. */
const WORTH = 1.5;
/** Of the copies' JPEG: what it changes is less than what making the picture smaller did. */
const QUALITY = 0.95;

const copies = new Map<string, Blob>();
let copied = 0;

async function keepCopy(key: string, bitmap: ImageBitmap): Promise<void> {
  const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
  canvas.getContext("2d")?.drawImage(bitmap, 0, 0);
  const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: QUALITY });
  if (copies.has(key) || copied + blob.size > COPIES) return;
  copies.set(key, blob);
  copied += blob.size;
}

/**
 * The oriented frame for playing: from a small copy of it, once there is one, so that a second pass over a long shot of
 * large frames keeps up.
 */
export async function playedPreview(file: FrameFile, width: number): Promise<ImageBitmap> {
  const key = `${file.file}@${width}`;
  const copy = copies.get(key);
  if (copy) return createImageBitmap(copy, { colorSpaceConversion: "none" });
  const whole = await createImageBitmap(await blobOf(file.source), { colorSpaceConversion: "none" });
  const isLarge = whole.width >= WORTH * width;
  const bitmap = await reduced(whole, width);
  if (isLarge) await keepCopy(key, bitmap);
  return bitmap;
}

async function reduced(whole: ImageBitmap, width: number): Promise<ImageBitmap> {
  if (whole.width <= width) return whole;
  try {
    return await createImageBitmap(whole, {
      resizeWidth: width,
      resizeHeight: Math.round((whole.height * width) / whole.width),
      resizeQuality: "high",
    });
  } finally {
    whole.close();
  }
}

/** The oriented frame, at most `width` px wide. */
export async function previewOf(file: FrameFile, width: number): Promise<ImageBitmap> {
  // Profiles are not applied, here as in the measuring, so that what is shown is what was compared.
  const whole = await createImageBitmap(await blobOf(file.source), { colorSpaceConversion: "none" });
  return reduced(whole, width);
}

/** Its pixels, red, green, blue, alpha. */
export async function previewPixels(file: FrameFile, width: number): Promise<ImageData> {
  const bitmap = await previewOf(file, width);
  const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!context) throw new Error("the browser gives no canvas");
  context.drawImage(bitmap, 0, 0);
  bitmap.close();
  return context.getImageData(0, 0, canvas.width, canvas.height);
}

/** Pixels of a piece of the frame, at most `most` px wide and high. */
export async function piecePixels(file: FrameFile, window: PictureWindow, most: number): Promise<ImageData> {
  const whole = await createImageBitmap(await blobOf(file.source), { colorSpaceConversion: "none" });
  const scale = Math.min(1, most / Math.max(window.width, window.height));
  const canvas = new OffscreenCanvas(
    Math.max(1, Math.round(window.width * scale)),
    Math.max(1, Math.round(window.height * scale)),
  );
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!context) throw new Error("the browser gives no canvas");
  context.imageSmoothingQuality = "high";
  const { left, top, width, height } = window;
  context.drawImage(whole, left, top, width, height, 0, 0, canvas.width, canvas.height);
  whole.close();
  return context.getImageData(0, 0, canvas.width, canvas.height);
}
