import { mkdtemp, readdir, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import ExifReader from "exifreader";
import { decode } from "fast-png";
import sharp from "sharp";
import { afterAll, beforeAll, expect, test } from "vitest";
import { parseSheet } from "../../src/model/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { renderFrame, renderShot } from "../support/render.ts";
import { heldPart } from "../support/shots.ts";
import { encodeFrame, jpegRoundTrip, jpegShot, timesFrom, writeShot } from "../support/write.ts";

let folder = "";
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "holdfast-write-"));
});
afterAll(() => rm(folder, { recursive: true }));

const small = { size: 50, width: 100, height: 70, frames: 3 };

const rms = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += (a[i] - b[i]) ** 2;
  return Math.sqrt(sum / a.length);
};

test("JPEG changes a frame a little, the less the better its quality, and leaves it grey", async () => {
  const frame = renderFrame(heldPart(small).scene, 1);
  const good = await jpegRoundTrip(frame, 98);
  const usual = await jpegRoundTrip(frame, 92);
  const poor = await jpegRoundTrip(frame, 60);
  expect(usual.pixels).toHaveLength(frame.pixels.length);
  expect(rms(usual.pixels, frame.pixels)).toBeGreaterThan(0.2);
  expect(rms(usual.pixels, frame.pixels)).toBeLessThan(1.5);
  expect(rms(good.pixels, frame.pixels)).toBeLessThan(rms(usual.pixels, frame.pixels));
  expect(rms(poor.pixels, frame.pixels)).toBeGreaterThan(rms(usual.pixels, frame.pixels));
});

test("a colour frame goes through JPEG as three channels", async () => {
  const { scene } = heldPart(small);
  const frame = renderFrame({ ...scene, colour: true, background: { ...scene.background, tint: [1, 0.8, 0.6] } }, 1);
  const back = await jpegRoundTrip(frame, 92);
  expect(back.pixels).toHaveLength(3 * 100 * 70);
  expect(rms(back.pixels, frame.pixels)).toBeLessThan(2);
});

test("the planes of a JPEG shot are those of the files that are written", async () => {
  const { scene } = heldPart(small);
  const shot = renderShot(scene, 2);
  const jpeg = await jpegShot(shot);
  const bytes = await encodeFrame(shot.frames[1], { quality: 92 });
  const { data, info } = await sharp(bytes).toColourspace("b-w").raw().toBuffer({ resolveWithObject: true });
  expect(info.channels).toBe(1);
  expect(new Uint8Array(data)).toEqual(jpeg.frames[1].pixels);
  expect(jpeg.planes[1].data).not.toEqual(shot.planes[1].data);
});

test("JPEG files are numbered, carry their capture time, and stand beside a sheet that is accepted", async () => {
  const { scene, sheet, frames } = heldPart(small);
  const target = path.join(folder, "jpg");
  const exifTimes = timesFrom("2026-03-02T10:14:07", 131);
  const files = await writeShot(renderShot(scene, frames), target, { exifTimes, sheet });
  expect((await readdir(target)).toSorted()).toEqual([
    "hive_010_0001.jpg",
    "hive_010_0002.jpg",
    "hive_010_0003.jpg",
    "holdfast-sheet.json",
  ]);
  const tags = ExifReader.load(await readFile(files[1]));
  expect(tags["DateTimeOriginal"]?.description).toBe("2026:03:02 10:16:18");
  const text = await readFile(path.join(target, "holdfast-sheet.json"), "utf8");
  const result = parseSheet(text, "holdfast-sheet.json", {
    frames: [1, 2, 3].map(frameNumber),
    width: 100,
    height: 70,
  });
  expect(result).toHaveProperty("sheet");
  expect(result).toHaveProperty("warnings", []);
});

test.each([8, 16] as const)("PNG files of %d bits hold the very pixels", async (bits) => {
  const { scene } = heldPart({ ...small, bits, jpeg: null });
  const shot = renderShot(scene, [4]);
  const [file] = await writeShot(shot, path.join(folder, `png-${bits}`), { digits: 6 });
  expect(path.basename(file)).toBe("hive_010_000004.png");
  const image = decode(await readFile(file));
  expect([image.width, image.height, image.channels, image.depth]).toEqual([100, 70, 1, bits]);
  expect(image.data).toEqual(shot.frames[0].pixels);
});

test("16 bits can't be saved as JPEG", async () => {
  const frame = renderFrame(heldPart({ ...small, bits: 16 }).scene, 1);
  await expect(jpegRoundTrip(frame)).rejects.toThrow("JPEG holds 8 bits");
});
