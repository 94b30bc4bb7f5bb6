import { mkdir, writeFile } from "node:fs/promises";
import path from "node:path";
import { encode as encodePng } from "fast-png";
import sharp, { type Sharp } from "sharp";
import { lumaPlane, type RenderedFrame, type RenderedShot } from "./render.ts";
import type { SheetFile } from "./sheet.ts";

export interface WriteOptions {
  /** By default as the scene says: JPEG where it has a quality, else PNG. */
  readonly format?: "jpg" | "png";
  /** JPEG quality; the scene's own, or 92, if left out. */
  readonly quality?: number;
  /** Capture time of a frame, "YYYY-MM-DDTHH:MM:SS", written as EXIF into JPEG files; none if left out. */
  readonly exifTimes?: (frame: number) => string;
  /** Written beside the frames as holdfast-sheet.json. */
  readonly sheet?: SheetFile;
  /** Digits of the frame number in file names; 4 if left out. */
  readonly digits?: number;
}

/** Capture times that begin at `start` (local, "YYYY-MM-DDTHH:MM:SS") and go on by so many seconds a frame. */
export const timesFrom =
  (start: string, secondsPerFrame: number) =>
  (frame: number): string =>
    new Date(Date.parse(`${start}Z`) + (frame - 1) * secondsPerFrame * 1000).toISOString().slice(0, 19);

const rawOf = ({ width, height, channels, pixels, bits }: RenderedFrame): Sharp => {
  if (bits !== 8) throw new Error("JPEG holds 8 bits: render the scene with bits 8");
  const image = sharp(pixels, { raw: { width, height, channels } });
  return channels === 1 ? image.toColourspace("b-w") : image;
};

/** The frame after it was saved as JPEG and opened again; grey stays grey. */
export async function jpegRoundTrip(frame: RenderedFrame, quality = 92): Promise<RenderedFrame> {
  const file = await rawOf(frame).jpeg({ quality, chromaSubsampling: "4:4:4" }).toBuffer();
  const decoded = sharp(file, { ignoreIcc: true });
  const raw = await (frame.channels === 1 ? decoded.toColourspace("b-w") : decoded)
    .raw()
    .toBuffer({ resolveWithObject: true });
  if (raw.info.channels !== frame.channels) throw new Error(`JPEG came back with ${raw.info.channels} channels`);
  return { ...frame, pixels: new Uint8Array(raw.data) };
}

/** The shot as its JPEG files hold it. Quality: the scene's own, or 92. */
export async function jpegShot(shot: RenderedShot, quality = shot.scene.jpegQuality ?? 92): Promise<RenderedShot> {
  const frames: RenderedFrame[] = [];
  for (const frame of shot.frames) frames.push(await jpegRoundTrip(frame, quality));
  return { ...shot, frames, planes: frames.map(lumaPlane) };
}

/** One frame as a file's bytes. Grey frames become grey files. */
export async function encodeFrame(frame: RenderedFrame, options: WriteOptions = {}): Promise<Uint8Array> {
  const { width, height, channels, bits: depth } = frame;
  if ((options.format ?? "jpg") === "png") {
    return encodePng({ width, height, channels, depth, data: frame.pixels }, { zlib: { level: 3 } });
  }
  const { quality = 92, exifTimes } = options;
  let image = rawOf(frame);
  if (exifTimes !== undefined) {
    const time = exifTimes(frame.frame).replaceAll("-", ":").replace("T", " ");
    image = image.withExif({ IFD0: { DateTime: time }, IFD2: { DateTimeOriginal: time, DateTimeDigitized: time } });
  }
  return image.jpeg({ quality, chromaSubsampling: "4:2:0" }).toBuffer();
}

/** Writes `name_0001.jpg` and its like, with the sheet if there is one; returns the paths of the frames. */
export async function writeShot(shot: RenderedShot, folder: string, options: WriteOptions = {}): Promise<string[]> {
  const { scene } = shot;
  const format = options.format ?? (scene.jpegQuality === null ? "png" : "jpg");
  const quality = options.quality ?? scene.jpegQuality ?? 92;
  await mkdir(folder, { recursive: true });
  const files: string[] = [];
  for (const frame of shot.frames) {
    const number = String(frame.frame).padStart(options.digits ?? 4, "0");
    const file = path.join(folder, `${scene.name}_${number}.${format}`);
    await writeFile(file, await encodeFrame(frame, { ...options, format, quality }));
    files.push(file);
  }
  if (options.sheet !== undefined) {
    await writeFile(path.join(folder, "holdfast-sheet.json"), `${JSON.stringify(options.sheet, null, 2)}\n`);
  }
  return files;
}
