import { expose, transfer } from "comlink";
import type { Answer, FrameFile } from "../../src/protocol/index.ts";
import type { LumaPicture, PictureWorker } from "../../src/protocol/pictures.ts";

// Makes the pictures that the table shows: frames at the size of the screen, both at once, their difference.

/** Decoded lumas that are kept, bytes: enough for an anchor and a few neighbours on a large screen. */
const LUMA_BUDGET = 48e6;

const lumas = new Map<string, LumaPicture>();

const blobOf = async (source: unknown): Promise<Blob> =>
  source instanceof Blob ? source : (source as FileSystemFileHandle).getFile();

async function decode(file: FrameFile, width: number): Promise<ImageBitmap> {
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

async function lumaOf(file: FrameFile, width: number): Promise<LumaPicture> {
  const key = `${file.file}@${width}`;
  const kept = lumas.get(key);
  if (kept) {
    lumas.delete(key);
    lumas.set(key, kept);
    return kept;
  }
  const bitmap = await decode(file, width);
  const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
  const context = canvas.getContext("2d", { willReadFrequently: true })!;
  context.drawImage(bitmap, 0, 0);
  bitmap.close();
  const { data } = context.getImageData(0, 0, canvas.width, canvas.height);
  const luma = new Uint8Array(canvas.width * canvas.height);
  for (let i = 0; i < luma.length; i++) {
    luma[i] = 0.2126 * data[4 * i]! + 0.7152 * data[4 * i + 1]! + 0.0722 * data[4 * i + 2]! + 0.5;
  }
  const picture = { width: canvas.width, height: canvas.height, data: luma };
  lumas.set(key, picture);
  let bytes = 0;
  for (const each of lumas.values()) bytes += each.data.length;
  for (const [old, each] of lumas) {
    if (bytes <= LUMA_BUDGET || lumas.size <= 2) break;
    lumas.delete(old);
    bytes -= each.data.length;
  }
  return picture;
}

/** Middle ratio of two encoded lumas: a gain in linear light is close to a gain in the encoded one as well. */
function gainBetween(anchor: Uint8Array, current: Uint8Array): number {
  const counts = new Uint32Array(1024);
  let total = 0;
  for (let i = 0; i < anchor.length; i += 7) {
    const a = anchor[i]!;
    const b = current[i]!;
    if (a < 24 || a > 240 || b > 250) continue;
    counts[Math.min(1023, Math.round((b / a) * 512))]! += 1;
    total += 1;
  }
  let seen = 0;
  for (let bin = 0; bin < counts.length; bin++) {
    seen += counts[bin]!;
    if (2 * seen >= total && total > 0) return bin / 512;
  }
  return 1;
}

/** Grey of "no difference": below the middle, which is too bright for a dim set. */
const STILL = 104;

function compared(kind: "over" | "difference", anchor: LumaPicture, current: LumaPicture, enlarge: number): ImageData {
  const out = new ImageData(current.width, current.height);
  const gain = gainBetween(anchor.data, current.data);
  for (let i = 0; i < current.data.length; i++) {
    const was = anchor.data[i]! * gain;
    const is = current.data[i]!;
    if (kind === "over") {
      out.data[4 * i] = was;
      out.data[4 * i + 1] = is;
      out.data[4 * i + 2] = is;
    } else {
      const grey = STILL + enlarge * (is - was);
      out.data[4 * i] = grey;
      out.data[4 * i + 1] = grey;
      out.data[4 * i + 2] = grey;
    }
    out.data[4 * i + 3] = 255;
  }
  return out;
}

async function answered<T extends object>(
  file: FrameFile,
  make: () => Promise<T>,
  moved: (value: T) => Transferable[],
): Promise<Answer<T>> {
  try {
    const value = await make();
    return transfer({ ok: true, value }, moved(value));
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return { ok: false, code: "frame-unreadable", detail: `${file.file} can't be shown: ${why}` };
  }
}

const worker: PictureWorker<ImageBitmap> = {
  frame: (file, width) =>
    answered(
      file,
      () => decode(file, width),
      (bitmap) => [bitmap],
    ),
  compare: (kind, anchor, current, width, gain) =>
    answered(
      current,
      async () => {
        const before = await lumaOf(anchor, width);
        const now = await lumaOf(current, width);
        if (before.width !== now.width || before.height !== now.height) {
          throw new Error(`it has another size than ${anchor.file}`);
        }
        return createImageBitmap(compared(kind, before, now, gain));
      },
      (bitmap) => [bitmap],
    ),
  luma: (file, width) =>
    answered(
      file,
      async () => {
        const { data, ...size } = await lumaOf(file, width);
        return { ...size, data: data.slice() };
      },
      (picture) => [picture.data.buffer as ArrayBuffer],
    ),
};

expose(worker);
