import fc from "fast-check";
import sharp from "sharp";
import { expect, test } from "vitest";
import { completeness } from "../../src/decode/complete.ts";
import { exifTime } from "../../src/decode/exif.ts";
import { HEADER_BYTES, readHeader } from "../../src/decode/header.ts";
import type { Header, HeaderProblem } from "../../src/decode/header.ts";
import { MOST_MEGAPIXELS } from "../../src/decode/pixels.ts";

const FILE = "hive_010_0003.jpg";

const blank = (width = 64, height = 48) =>
  sharp({ create: { width, height, channels: 3, background: { r: 180, g: 140, b: 60 } } });

const ok = (bytes: Uint8Array, file = FILE): Header => {
  const header = readHeader(bytes, file);
  if ("problem" in header) throw new Error(header.problem);
  return header;
};

const refused = (bytes: Uint8Array, file = FILE): HeaderProblem => {
  const header = readHeader(bytes, file);
  if (!("problem" in header)) throw new Error(`${file} was read`);
  return header;
};

/** A JPEG with one more segment after its start marker. */
const withSegment = (jpeg: Uint8Array, marker: number, payload: Uint8Array): Uint8Array => {
  const length = payload.length + 2;
  return Buffer.concat([
    jpeg.subarray(0, 2),
    Uint8Array.of(0xff, marker, length >> 8, length & 255),
    payload,
    jpeg.subarray(2),
  ]);
};

/** A JPEG with bytes of its start-of-frame segment changed: 0 is the precision, 5 the number of components. */
const withFrame = (jpeg: Uint8Array, changes: Readonly<Record<number, number>>, marker = 0xc0): Uint8Array => {
  const changed = Uint8Array.from(jpeg);
  let at = 2;
  while (changed[at + 1] !== 0xc0) at += 2 + ((changed[at + 2] << 8) | changed[at + 3]);
  changed[at + 1] = marker;
  for (const [offset, value] of Object.entries(changes)) changed[at + 4 + Number(offset)] = value;
  return changed;
};

const text = (words: string) => new TextEncoder().encode(words);

test("a JPEG tells its size and its bits", async () => {
  expect(ok(await blank(321, 123).jpeg().toBuffer())).toEqual({
    format: "jpeg",
    width: 321,
    height: 123,
    orientation: 1,
    bits: 8,
    exifTime: null,
    hasProfile: false,
    lumaStep: 6,
    note: null,
  });
  expect(ok(await blank(77, 55).jpeg({ progressive: true }).toBuffer())).toMatchObject({ width: 77, height: 55 });
  expect(ok(await blank().greyscale().toColourspace("b-w").jpeg().toBuffer())).toMatchObject({ bits: 8, note: null });
});

test("a PNG tells its size and whether it has 16 bits", async () => {
  expect(ok(await blank(31, 77).png().toBuffer(), "hive_010_0003.png")).toMatchObject({
    format: "png",
    width: 31,
    height: 77,
    bits: 8,
    note: null,
  });
  const deep = await blank().toColourspace("rgb16").png().toBuffer();
  expect(ok(deep, "hive_010_0003.png")).toMatchObject({ bits: 16 });
});

test("a picture on its side tells its upright size, as JPEG and as PNG", async () => {
  for (const orientation of [1, 2, 3, 4, 5, 6, 7, 8]) {
    const image = blank(60, 40).withMetadata({ orientation });
    const size = orientation >= 5 ? { width: 40, height: 60 } : { width: 60, height: 40 };
    expect(ok(await image.jpeg().toBuffer())).toMatchObject({ ...size, orientation });
    expect(ok(await image.png().toBuffer(), "hive_010_0003.png")).toMatchObject({ ...size, orientation });
  }
});

test("an orientation that doesn't exist counts as upright", async () => {
  const jpeg = await blank(60, 40).withMetadata({ orientation: 6 }).jpeg().toBuffer();
  const at = jpeg.indexOf(Uint8Array.of(0x12, 0x01, 0x03, 0x00, 0x01, 0x00, 0x00, 0x00, 0x06));
  expect(at).toBeGreaterThan(0);
  jpeg[at + 8] = 9;
  expect(ok(jpeg)).toMatchObject({ orientation: 1, width: 60, height: 40 });
});

test("the capture time is when the picture was taken, not when the file was changed", async () => {
  const both = { IFD0: { DateTime: "2026:03:02 18:00:00" }, IFD2: { DateTimeOriginal: "2026:03:02 10:14:07" } };
  const taken = "2026-03-02T10:14:07";
  expect(ok(await blank().withExif(both).jpeg().toBuffer()).exifTime).toBe(taken);
  expect(ok(await blank().withExif(both).png().toBuffer(), "a.png").exifTime).toBe(taken);
});

test("without a time of taking, the time of the file's last change is used; without either there is none", async () => {
  const changed = await blank()
    .withExif({ IFD0: { DateTime: "2026:03:02 18:00:00" } })
    .jpeg()
    .toBuffer();
  expect(ok(changed).exifTime).toBe("2026-03-02T18:00:00");
  const neither = await blank()
    .withExif({ IFD0: { Make: "Apiary" } })
    .jpeg()
    .toBuffer();
  expect(ok(neither).exifTime).toBeNull();
});

test("a clock that was never set, blanks and days that don't exist are no capture time", () => {
  expect(exifTime("2026:03:02 10:14:07")).toBe("2026-03-02T10:14:07");
  for (const nonsense of [
    "0000:00:00 00:00:00",
    "    :  :     :  :  ",
    "2026:13:01 00:00:00",
    "2026:02:30 00:00:00",
    "2026:02:03 24:00:00",
    "2026:02:03 10:60:00",
    "2026-02-03",
    "",
  ])
    expect(exifTime(nonsense)).toBeNull();
});

test("an embedded profile is told, in JPEG and in PNG", async () => {
  const image = blank().withIccProfile("p3");
  expect(ok(await image.jpeg().toBuffer()).hasProfile).toBe(true);
  expect(ok(await image.png().toBuffer(), "a.png").hasProfile).toBe(true);
});

test("the format is what the bytes say: a PNG that is called .jpg is read, with a note", async () => {
  const png = ok(await blank().png().toBuffer(), "hive_010_0003.jpg");
  expect(png).toMatchObject({ format: "png", width: 64, note: "hive_010_0003.jpg is a PNG inside" });
  const jpeg = ok(await blank().jpeg().toBuffer(), "hive_010_0004.PNG");
  expect(jpeg).toMatchObject({ format: "jpeg", note: "hive_010_0004.PNG is a JPEG inside" });
  expect(ok(await blank().png().toBuffer(), "hive_010_0003").note).toBeNull();
});

test("EXIF data that can't be read cost the capture time, not the frame", async () => {
  const jpeg = withSegment(await blank().jpeg().toBuffer(), 0xe1, text("Exif\0\0 this is no TIFF block at all"));
  expect(ok(jpeg)).toMatchObject({
    width: 64,
    orientation: 1,
    exifTime: null,
    note: "hive_010_0003.jpg has EXIF data that can't be read, so its capture time and orientation are not known",
  });
});

test("the header is found within its slice behind large metadata, and asks for more where it isn't", async () => {
  let jpeg: Uint8Array = await blank().withMetadata({ orientation: 6 }).jpeg().toBuffer();
  const thumbnail = new Uint8Array(65_000).fill(0x41);
  for (let i = 0; i < 3; i++) jpeg = withSegment(jpeg, 0xed, thumbnail);
  expect(ok(jpeg.subarray(0, HEADER_BYTES))).toMatchObject({ width: 48, height: 64 });
  for (let i = 0; i < 3; i++) jpeg = withSegment(jpeg, 0xed, thumbnail);
  expect(refused(jpeg.subarray(0, HEADER_BYTES))).toEqual({
    problem: "hive_010_0003.jpg is cut short: its header is not complete after 262144 bytes",
    needsMore: true,
  });
  expect(ok(jpeg)).toMatchObject({ width: 48, height: 64 });
});

test("an answer from a slice is the answer from the whole file", async () => {
  const image = sharp({
    create: {
      width: 900,
      height: 600,
      channels: 3,
      background: "#777",
      noise: { type: "gaussian", mean: 128, sigma: 40 },
    },
  }).withMetadata({ orientation: 8 });
  for (const bytes of [await image.jpeg({ quality: 100 }).toBuffer(), await image.png().toBuffer()]) {
    expect(bytes.length).toBeGreaterThan(HEADER_BYTES);
    expect(ok(bytes.subarray(0, HEADER_BYTES), "a")).toEqual(ok(bytes, "a"));
  }
});

test("a file of 0 bytes is named as such", () => {
  expect(refused(new Uint8Array(0))).toEqual({ problem: "hive_010_0003.jpg is empty: 0 bytes", needsMore: false });
});

test("what is no picture is refused, and what is another format is named", () => {
  const problem = (bytes: Uint8Array) => refused(bytes).problem;
  expect(problem(text("take 3 was better"))).toBe("hive_010_0003.jpg is not a picture");
  expect(problem(Uint8Array.of(0xff))).toBe("hive_010_0003.jpg is not a picture");
  expect(problem(text("GIF89a"))).toBe("hive_010_0003.jpg is a GIF picture; frames are JPEG or PNG");
  expect(problem(text("II*\0"))).toContain("is a TIFF picture or a camera raw file");
  expect(problem(text("RIFF....WEBPVP8 "))).toContain("is a WebP picture");
  expect(problem(text("\0\0\0\x18ftypheic"))).toContain("is a HEIC picture");
  expect(problem(text("\0\0\0\x18ftypisom"))).toContain("is a film");
});

test("a header that is cut off anywhere is said to be cut short", async () => {
  const jpeg = await blank().withMetadata({ orientation: 6 }).jpeg().toBuffer();
  const scan = jpeg.indexOf(Uint8Array.of(0xff, 0xda));
  for (let length = 3; length < scan; length += 5)
    expect(refused(jpeg.subarray(0, length))).toEqual({
      problem: `hive_010_0003.jpg is cut short: its header is not complete after ${length} bytes`,
      needsMore: true,
    });
  const png = await blank().withMetadata({ orientation: 6 }).png().toBuffer();
  for (let length = 8; length < png.indexOf("IDAT"); length += 3)
    expect(refused(png.subarray(0, length), "a.png")).toMatchObject({ needsMore: true });
});

test("pictures that browsers can't read, or that aren't grey or RGB, are refused in a sentence", async () => {
  const cmyk = await blank().toColourspace("cmyk").jpeg().toBuffer();
  expect(refused(cmyk).problem).toBe("hive_010_0003.jpg is a CMYK picture; frames are grey or RGB");
  const jpeg = await blank().jpeg().toBuffer();
  expect(refused(withFrame(jpeg, { 0: 12 })).problem).toContain("is a 12-bit JPEG");
  expect(refused(withFrame(jpeg, { 5: 2 })).problem).toContain("has 2 colour channels");
  expect(refused(withFrame(jpeg, {}, 0xc3)).problem).toContain("is a lossless JPEG, which browsers can't read");
  expect(refused(withFrame(jpeg, {}, 0xc9)).problem).toContain("is a JPEG with arithmetic coding");
});

test("a damaged header is refused, and a size that can't be doesn't claim memory", async () => {
  const jpeg = await blank().jpeg().toBuffer();
  expect(refused(withFrame(jpeg, { 1: 0, 2: 0 })).problem).toContain("its size is 64 x 0 pixels");
  expect(refused(withFrame(jpeg, { 1: 255, 2: 255, 3: 255, 4: 255 })).problem).toBe(
    `hive_010_0003.jpg is 65535 x 65535 pixels; the most is ${MOST_MEGAPIXELS} megapixels`,
  );
  expect(refused(Uint8Array.of(0xff, 0xd8, 0xff, 0xd9)).problem).toContain("leads to no picture");
  const png = Uint8Array.from(await blank().png().toBuffer());
  png[12] = 0x58;
  expect(refused(png).problem).toContain("its PNG header is missing");
  png[12] = 0x49;
  png[24] = 3;
  expect(refused(png).problem).toContain("no colour type 2 with 3 bits");
});

test("no bytes whatever throw: they give a header or a sentence that names the file", async () => {
  const exif = { IFD0: { DateTime: "2026:03:02 18:00:00" }, IFD2: { DateTimeOriginal: "2026:03:02 10:14:07" } };
  const image = blank().withExif(exif).withMetadata({ orientation: 6 });
  const sources = [await image.jpeg().toBuffer(), await image.png().toBuffer(), new Uint8Array(200)];
  fc.assert(
    fc.property(
      fc.constantFrom(...sources),
      fc.array(fc.tuple(fc.nat(700), fc.nat(255)), { minLength: 1, maxLength: 12 }),
      fc.integer({ min: 0, max: 1500 }),
      (source, changes, length) => {
        const bytes = Uint8Array.from(source.subarray(0, length));
        for (const [at, value] of changes) if (at < bytes.length) bytes[at] = value;
        const header = readHeader(bytes, FILE);
        if ("problem" in header) expect(header.problem).toContain(FILE);
        else expect(header.width * header.height).toBeGreaterThan(0);
        expect(completeness(bytes, FILE)?.problem ?? FILE).toContain(FILE);
      },
    ),
    { seed: 31, numRuns: 3000 },
  );
});
