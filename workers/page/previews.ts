import type { FrameFile } from "../../src/protocol/index.ts";

// Frames at the size of the screen, to be looked at: nothing is measured on these.

const blobOf = async (source: unknown): Promise<Blob> =>
  source instanceof Blob ? source : (source as FileSystemFileHandle).getFile();

/** The oriented frame, at most `width` px wide. */
export async function previewOf(file: FrameFile, width: number): Promise<ImageBitmap> {
  // Profiles are not applied, here as in the measuring, so that what is shown is what was compared.
  const whole = await createImageBitmap(await blobOf(file.source), { colorSpaceConversion: "none" });
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
