import { expose } from "comlink";
import type { FrameFile } from "../../src/protocol/index.ts";
import { followedBy, inverseOf, mapped, rescaled, turnAbout } from "../../src/measure/affine.ts";
import { sampleColours, splineCrop } from "../../src/measure/redraw/spline-crop.ts";
import type { CameraPair, CameraPlace, LumaPicture, PictureWorker } from "../../src/protocol/pictures.ts";
import { answered } from "./answered.ts";
import { piecePixels, playedPreview, previewOf, previewPixels } from "./previews.ts";

// Makes the pictures that the table shows: frames at the size of the screen, both at once, their difference.

/** Decoded lumas that are kept, bytes: enough for an anchor and a few neighbours on a large screen. */
const LUMA_BUDGET = 48e6;

const lumas = new Map<string, LumaPicture>();

async function lumaOf(file: FrameFile, width: number): Promise<LumaPicture> {
  const key = `${file.file}@${width}`;
  const kept = lumas.get(key);
  if (kept) {
    lumas.delete(key);
    lumas.set(key, kept);
    return kept;
  }
  const canvas = await previewPixels(file, width);
  const { data } = canvas;
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

/** The anchor's luma as the current frame's camera would have seen it. */
function steadied(anchor: LumaPicture, camera: CameraPair): LumaPicture {
  const { width, height } = anchor;
  const scale = width / camera.width;
  const centre = [camera.width / 2, camera.height / 2] as const;
  const mapOf = ({ dx, dy, turn, scale: size }: CameraPlace) => turnAbout(turn, centre, dx, dy, size);
  const back = rescaled(followedBy(inverseOf(mapOf(camera.current)), mapOf(camera.anchor)), scale);
  const crop = splineCrop({ width, height, channels: 1, data: anchor.data }, { left: 0, top: 0, width, height });
  const data = new Uint8ClampedArray(width * height);
  const sample = new Float64Array(1);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      sampleColours(crop, ...mapped(back, x + 0.5, y + 0.5), sample);
      data[y * width + x] = sample[0]!;
    }
  }
  return { width, height, data: new Uint8Array(data.buffer) };
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

const worker: PictureWorker<ImageBitmap> = {
  frame: (file, width, plays) =>
    answered(
      file.file,
      () => (plays ? playedPreview(file, width) : previewOf(file, width)),
      (bitmap) => [bitmap],
    ),
  compare: (kind, anchor, current, width, gain, camera) =>
    answered(
      current.file,
      async () => {
        const before = await lumaOf(anchor, width);
        const now = await lumaOf(current, width);
        if (before.width !== now.width || before.height !== now.height) {
          throw new Error(`it has another size than ${anchor.file}`);
        }
        return createImageBitmap(compared(kind, camera === null ? before : steadied(before, camera), now, gain));
      },
      (bitmap) => [bitmap],
    ),
  luma: (file, width) =>
    answered(
      file.file,
      async () => {
        const { data, ...size } = await lumaOf(file, width);
        return { ...size, data: data.slice() };
      },
      (picture) => [picture.data.buffer as ArrayBuffer],
    ),
  piece: (file, window, most) =>
    answered(
      file.file,
      async () => {
        const { width, height, data } = await piecePixels(file, window, most);
        return { width, height, data };
      },
      (picture) => [picture.data.buffer as ArrayBuffer],
    ),
};

expose(worker);
