import { encode } from "fast-png";
import sharp from "sharp";
import { expect, test } from "vitest";
import { decodeFrame } from "../../src/decode/frame.ts";
import { readHeader } from "../../src/decode/header.ts";
import type { Header } from "../../src/decode/header.ts";
import { orient } from "../../src/decode/orient.ts";
import type { Channels, Pixels, Problem } from "../../src/decode/pixels.ts";
import { decodeWithSharp } from "../../workers/node/pixels.ts";
import { createRandom } from "../support/random.ts";

const FILE = "hive_010_0003.png";

const headerOf = (bytes: Uint8Array, file = FILE): Header => {
  const header = readHeader(bytes, file);
  if ("problem" in header) throw new Error(header.problem);
  return header;
};

const pixelsOf = (decoded: Pixels | Problem): Pixels => {
  if ("problem" in decoded) throw new Error(decoded.problem);
  return decoded;
};

/** A copy in memory of its own: what a reader of files gives. */
const own = (bytes: Uint8Array): Uint8Array<ArrayBuffer> => new Uint8Array(bytes);

const decode = async (bytes: Uint8Array, file = FILE): Promise<Pixels> =>
  pixelsOf(await decodeWithSharp(own(bytes), headerOf(bytes, file), file));

const random = (width: number, height: number, channels: Channels, bits: 8 | 16): Pixels => {
  const numbers = createRandom(width, height, channels, bits);
  const values = Array.from({ length: width * height * channels }, () => numbers.integer(2 ** bits));
  return { width, height, channels, bits, data: bits === 8 ? Uint8Array.from(values) : Uint16Array.from(values) };
};

const asPng = ({ width, height, channels, bits, data }: Pixels, interlace: "null" | "Adam7" = "null"): Uint8Array =>
  encode({ width, height, channels, depth: bits, data }, { interlace });

const smooth = Uint8Array.from({ length: 93 * 71 * 3 }, (_, i) => {
  const x = Math.floor(i / 3) % 93;
  const y = Math.floor(i / 279);
  return 128 + 90 * Math.sin(x / 7 + (i % 3)) * Math.cos(y / 9);
});
const image = () => sharp(smooth, { raw: { width: 93, height: 71, channels: 3 } });

test("a PNG comes back to the bit, with any channels, in 8 and in 16 bits", async () => {
  for (const bits of [8, 16] as const)
    for (const channels of [1, 2, 3, 4] as const) {
      const pixels = random(37, 23, channels, bits);
      const back = await decode(asPng(pixels));
      expect(back).toMatchObject({ width: 37, height: 23, bits });
      // One decoder gives grey as one channel, another as three equal ones: the same to what comes after.
      const spread = back.channels / channels;
      expect(Array.from(back.data).filter((_, i) => i % spread === 0)).toEqual(Array.from(pixels.data));
    }
});

test("an interlaced PNG gives the same pixels", async () => {
  for (const bits of [8, 16] as const) {
    const pixels = random(29, 19, 3, bits);
    expect(Array.from((await decode(asPng(pixels, "Adam7"))).data)).toEqual(Array.from(pixels.data));
  }
});

test("colour under alpha is kept as it was stored", async () => {
  const data = Uint8Array.of(200, 100, 50, 0, 10, 20, 30, 1, 255, 0, 128, 127);
  const back = await decode(asPng({ width: 3, height: 1, channels: 4, bits: 8, data }));
  expect(Array.from(back.data)).toEqual(Array.from(data));
});

test("a palette is decoded to its colours", async () => {
  const few = Uint8Array.from({ length: 30 * 20 * 3 }, (_, i) => [10, 120, 230][Math.floor(i / 3) % 3] + (i % 3));
  const png = await sharp(few, { raw: { width: 30, height: 20, channels: 3 } })
    .png({ palette: true, colours: 8, dither: 0 })
    .toBuffer();
  expect(png[25]).toBe(3);
  expect(Array.from((await decode(png)).data)).toEqual(Array.from(few));
});

test("a frame is turned upright by its EXIF data, as JPEG and as PNG of 8 and 16 bits", async () => {
  const deep = await image().toColourspace("rgb16").withMetadata({ orientation: 6 }).png().toBuffer();
  const deepUpright = await image().toColourspace("rgb16").png().toBuffer();
  expect(await decode(deep)).toEqual(orient(await decode(deepUpright), 6));
  for (const orientation of [1, 2, 3, 4, 5, 6, 7, 8]) {
    for (const format of ["jpeg", "png"] as const) {
      const file = await image().withMetadata({ orientation })[format]().toBuffer();
      const upright = await sharp(file, { ignoreIcc: true }).autoOrient().raw().toBuffer();
      const ours = await decode(file, "a");
      expect(Buffer.from(ours.data).equals(upright), `${format}, orientation ${orientation}`).toBe(true);
    }
  }
});

test("an embedded profile changes no pixel", async () => {
  const plain = await image().jpeg({ quality: 90 }).toBuffer();
  const profile = await sharp({ create: { width: 8, height: 8, channels: 3, background: "#888" } })
    .withIccProfile("p3")
    .jpeg()
    .toBuffer();
  const at = profile.indexOf(Uint8Array.of(0xff, 0xe2));
  const segment = profile.subarray(at, at + 2 + profile.readUInt16BE(at + 2));
  const tagged = Buffer.concat([plain.subarray(0, 2), segment, plain.subarray(2)]);
  expect(headerOf(tagged, "a.jpg").hasProfile).toBe(true);
  expect(await decode(tagged, "a.jpg")).toEqual(await decode(plain, "a.jpg"));
});

test("a PNG that is called .jpg is decoded as the PNG that it is", async () => {
  const pixels = random(12, 9, 3, 8);
  expect(Array.from((await decode(asPng(pixels), "hive_010_0003.jpg")).data)).toEqual(Array.from(pixels.data));
});

test("a file cut short is a problem, not half a picture", async () => {
  for (const bytes of [await image().jpeg().toBuffer(), await image().png().toBuffer(), asPng(random(30, 30, 3, 16))]) {
    const decoded = await decodeWithSharp(own(bytes.subarray(0, bytes.length - 40)), headerOf(bytes), FILE);
    expect(decoded).toEqual({ problem: expect.stringMatching(/^hive_010_0003\.png is cut short: /) });
  }
});

test("picture data that no decoder can read are a problem in the same words, whatever decodes", async () => {
  const png = Uint8Array.from(asPng(random(30, 30, 3, 16)));
  const wanted = {
    problem: "hive_010_0003.png can't be decoded: its picture data are damaged, or need more memory than there is",
  };
  const refuse = () => Promise.reject(new Error("something else in each browser"));
  const jpeg = await image().jpeg().toBuffer();
  expect(await decodeFrame(own(jpeg), headerOf(jpeg), FILE, refuse)).toEqual(wanted);
  // The chunk's checksum is right, its data are not: tables of a compressed block that can't be.
  const empty = Buffer.concat([png.subarray(0, 33), idat(Uint8Array.of(0x78, 0x9c, 0x07, 0xff)), png.subarray(-12)]);
  expect(await decodeWithSharp(own(empty), headerOf(png), FILE)).toEqual(wanted);
});

/** An IDAT chunk with the checksum that belongs to it. */
const idat = (data: Uint8Array): Uint8Array => {
  const body = Buffer.concat([Buffer.from("IDAT"), data]);
  const sizes = Buffer.alloc(8);
  sizes.writeUInt32BE(data.length, 0);
  sizes.writeUInt32BE(crc(body), 4);
  return Buffer.concat([sizes.subarray(0, 4), body, sizes.subarray(4)]);
};

const crc = (bytes: Uint8Array): number => {
  let value = 0xffffffff;
  for (const byte of bytes) {
    value ^= byte;
    for (let bit = 0; bit < 8; bit++) value = value & 1 ? (value >>> 1) ^ 0xedb88320 : value >>> 1;
  }
  return (value ^ 0xffffffff) >>> 0;
};

test("a frame that was written over since its header was read is a problem", async () => {
  const before = asPng(random(20, 10, 3, 8));
  const after = asPng(random(10, 20, 3, 8));
  expect(await decodeWithSharp(own(after), headerOf(before), FILE)).toEqual({
    problem: "hive_010_0003.png is 10 x 20 pixels where its header said 20 x 10",
  });
});
