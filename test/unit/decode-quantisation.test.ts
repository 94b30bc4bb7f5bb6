import sharp from "sharp";
import { expect, test } from "vitest";
import { headerSegments } from "../../src/decode/jpeg-markers.ts";
import { readHeader } from "../../src/decode/header.ts";
import { lowStep, lumaSteps } from "../../src/decode/quantisation.ts";

/** ITU-T T.81, annex K, table K.1: luminance, row by row. */
const TABLE_K1 = [
  16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51,
  87, 80, 62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78, 87, 103, 121, 120, 101,
  72, 92, 95, 98, 112, 100, 103, 99,
];
/** ITU-T T.81, figure A.6: where the n-th coefficient of the zigzag stands in the block, row by row. */
const ZIGZAG = [
  0, 1, 8, 16, 9, 2, 3, 10, 17, 24, 32, 25, 18, 11, 4, 5, 12, 19, 26, 33, 40, 48, 41, 34, 27, 20, 13, 6, 7, 14, 21, 28,
  35, 42, 49, 56, 57, 50, 43, 36, 29, 22, 15, 23, 30, 37, 44, 51, 58, 59, 52, 45, 38, 31, 39, 46, 53, 60, 61, 54, 47,
  55, 62, 63,
];
/** The scaling of the IJG's library (jcparam.c, jpeg_quality_scaling and jpeg_add_quant_table, baseline). */
const scaled = (quality: number): number[] => {
  const percent = quality < 50 ? Math.floor(5000 / quality) : 200 - 2 * quality;
  return ZIGZAG.map((place) => Math.min(255, Math.max(1, Math.floor((TABLE_K1[place] * percent + 50) / 100))));
};

const fileOf = async (quality: number, colour: boolean): Promise<Uint8Array> => {
  const channels = colour ? 3 : 1;
  const raw = { width: 16, height: 16, channels } as const;
  const image = sharp(new Uint8Array(256 * channels).fill(90), { raw });
  return (colour ? image : image.toColourspace("b-w")).jpeg({ quality }).toBuffer();
};

test.each([
  [75, 8],
  [92, 3],
  [100, 1],
])(
  "the steps of a JPEG of quality %i are the standard's table by the usual scaling, its low ones at most %i",
  async (quality, low) => {
    for (const colour of [false, true]) {
      const bytes = await fileOf(quality, colour);
      const steps = lumaSteps(bytes, headerSegments(bytes).segments);
      expect(steps).toEqual(scaled(quality));
      expect(lowStep(steps!)).toBe(low);
      const header = readHeader(bytes, "hive_0001.png");
      expect("problem" in header ? header.problem : header.lumaStep).toBe(low);
    }
  },
);

test("a PNG was rounded to no such steps, whatever its name says", async () => {
  const bytes = await sharp(new Uint8Array(256), { raw: { width: 16, height: 16, channels: 1 } })
    .png()
    .toBuffer();
  const header = readHeader(bytes, "hive_0001.jpg");
  expect("problem" in header ? header.problem : header.lumaStep).toBe(null);
});

/** A header with two tables in one segment, the second of 16 bits, which the first component takes. */
function wideTables(cut: number): Uint8Array {
  const first = [0x00, ...Array.from({ length: 64 }, () => 9)];
  const second = [0x11, ...Array.from({ length: 64 }, (_, n) => [1, n]).flat()];
  const tables = [...first, ...second].slice(0, 65 + 129 - cut);
  const length = tables.length + 2;
  const frame = [0xff, 0xc0, 0, 11, 8, 0, 16, 0, 16, 1, 1, 0x11, 1];
  return Uint8Array.from([
    ...[0xff, 0xd8, 0xff, 0xdb, length >> 8, length & 255],
    ...tables,
    ...frame,
    ...[0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0],
  ]);
}

test("tables of 16 bits and several in one segment are read, and one that is cut short is not there", () => {
  const whole = wideTables(0);
  expect(lumaSteps(whole, headerSegments(whole).segments)).toEqual(Array.from({ length: 64 }, (_, n) => 256 + n));
  const short = wideTables(1);
  expect(lumaSteps(short, headerSegments(short).segments)).toBe(null);
});
