import sharp from "sharp";
import { expect, test } from "vitest";
import { orient } from "../../src/decode/orient.ts";
import type { Orientation } from "../../src/decode/orient.ts";
import type { Channels, Pixels } from "../../src/decode/pixels.ts";

const ALL: Orientation[] = [1, 2, 3, 4, 5, 6, 7, 8];

const numbered = (width: number, height: number, channels: Channels, bits: 8 | 16 = 8): Pixels => {
  const length = width * height * channels;
  const data =
    bits === 8
      ? Uint8Array.from({ length }, (_, i) => (i * 37) & 255)
      : Uint16Array.from({ length }, (_, i) => (i * 9973) & 65535);
  return { width, height, channels, bits, data };
};

test("the eight EXIF orientations turn two rows of three pixels as the standard shows", () => {
  // Where row 0 and column 0 of the stored picture belong: TIFF 6.0 and EXIF 2.3, tag 274 (from memory).
  const stored: Pixels = { width: 3, height: 2, channels: 1, bits: 8, data: Uint8Array.of(1, 2, 3, 4, 5, 6) };
  const rows = (orientation: Orientation) => {
    const { width, height, data } = orient(stored, orientation);
    return Array.from({ length: height }, (_, y) => Array.from(data.subarray(y * width, (y + 1) * width)).join(""));
  };
  expect(rows(1)).toEqual(["123", "456"]);
  expect(rows(2)).toEqual(["321", "654"]);
  expect(rows(3)).toEqual(["654", "321"]);
  expect(rows(4)).toEqual(["456", "123"]);
  expect(rows(5)).toEqual(["14", "25", "36"]);
  expect(rows(6)).toEqual(["41", "52", "63"]);
  expect(rows(7)).toEqual(["63", "52", "41"]);
  expect(rows(8)).toEqual(["36", "25", "14"]);
});

test("all orientations agree with sharp's, on pictures larger than a tile", async () => {
  const stored = numbered(150, 83, 3);
  const raw = { width: 150, height: 83, channels: 3 } as const;
  for (const orientation of ALL) {
    const file = await sharp(stored.data, { raw }).withMetadata({ orientation }).png().toBuffer();
    const { data, info } = await sharp(file).autoOrient().raw().toBuffer({ resolveWithObject: true });
    const ours = orient(stored, orientation);
    expect([ours.width, ours.height]).toEqual([info.width, info.height]);
    expect(Buffer.from(ours.data.buffer).equals(data)).toBe(true);
  }
});

test("every number of channels and bits is turned alike", () => {
  const plain = numbered(70, 67, 1);
  for (const orientation of ALL) {
    const truth = Array.from(orient(plain, orientation).data);
    for (const channels of [1, 2, 3, 4] as const)
      for (const bits of [8, 16] as const) {
        const values = Array.from(plain.data).flatMap((value) =>
          Array.from({ length: channels }, (_, c) => (value + c) & 255),
        );
        const data = bits === 8 ? Uint8Array.from(values) : Uint16Array.from(values);
        const turned = orient({ ...plain, channels, bits, data }, orientation);
        expect(turned).toMatchObject({ channels, bits });
        for (let c = 0; c < channels; c++)
          expect(Array.from(turned.data).filter((_, i) => i % channels === c)).toEqual(
            truth.map((value) => (value + c) & 255),
          );
      }
  }
});

test("four bytes a pixel that don't start at a whole word are turned too", () => {
  const aligned = numbered(9, 5, 4);
  const shifted = new Uint8Array(aligned.data.length + 1).subarray(1);
  shifted.set(aligned.data);
  expect(orient({ ...aligned, data: shifted }, 6).data).toEqual(orient(aligned, 6).data);
});

test("an upright picture is given back as it is, and a turned one leaves it alone", () => {
  const stored = numbered(5, 4, 4);
  const before = stored.data.slice();
  expect(orient(stored, 1)).toBe(stored);
  orient(stored, 8);
  expect(stored.data).toEqual(before);
});
