import fc from "fast-check";
import sharp from "sharp";
import { expect, test } from "vitest";
import { completeness } from "../../src/decode/complete.ts";
import { crc32 } from "../../src/decode/png-chunks.ts";

const FILE = "hive_010_0007.jpg";

const noisy = sharp({
  create: {
    width: 120,
    height: 90,
    channels: 3,
    background: "#777",
    noise: { type: "gaussian", mean: 128, sigma: 30 },
  },
}).png();
const source = await noisy.toBuffer();
const files = {
  baseline: await sharp(source).jpeg({ quality: 90 }).toBuffer(),
  progressive: await sharp(source).jpeg({ quality: 90, progressive: true }).toBuffer(),
  "with EXIF": await sharp(source)
    .withExif({ IFD0: { Make: "Apiary" } })
    .jpeg()
    .toBuffer(),
  "8-bit PNG": await sharp(source).png().toBuffer(),
  "16-bit PNG": await sharp(source).toColourspace("rgb16").png().toBuffer(),
};

test("whole files are complete", () => {
  for (const bytes of Object.values(files)) expect(completeness(bytes, FILE)).toBeNull();
});

test("a file that is cut off anywhere is not complete, whatever its format", () => {
  for (const [kind, bytes] of Object.entries(files))
    fc.assert(
      fc.property(fc.integer({ min: 0, max: bytes.length - 1 }), (length) => {
        const problem = completeness(bytes.subarray(0, length), FILE)?.problem;
        expect(problem, `${kind}, ${length} bytes`).toMatch(
          /^hive_010_0007\.jpg is (cut short: |empty: |not a picture)/,
        );
      }),
      { seed: 21, numRuns: 300, examples: [[bytes.length - 1], [bytes.length - 2], [8], [2], [0]] },
    );
});

test("the sentence names the file and says how far it goes", () => {
  expect(completeness(files.baseline.subarray(0, 1000), FILE)).toEqual({
    problem: "hive_010_0007.jpg is cut short: its 1000 bytes hold no end-of-image marker",
  });
  expect(completeness(files["8-bit PNG"].subarray(0, 1000), "hive_010_0007.png")).toEqual({
    problem: "hive_010_0007.png is cut short: its 1000 bytes end before the picture does",
  });
});

test("a file whose rest is zeros, as a camera leaves it while saving, is cut short", () => {
  for (const kind of ["baseline", "progressive"] as const) {
    const half = Uint8Array.from(files[kind]);
    half.fill(0, half.length >> 1);
    expect(completeness(half, FILE)?.problem).toContain("is cut short");
  }
});

test("bytes after the end are left alone: zeros, a second picture, a film", () => {
  for (const bytes of Object.values(files))
    for (const tail of [new Uint8Array(4096), files.baseline, Uint8Array.of(0xff, 0xd8, 0xff)])
      expect(completeness(Buffer.concat([bytes, tail]), FILE)).toBeNull();
});

test("the end of a thumbnail in the EXIF data is not the end of the picture", () => {
  const thumbnail = files.baseline.subarray(0, 20_000);
  const inside = Buffer.concat([Buffer.from("Exif\0\0"), thumbnail]);
  const length = inside.length + 2;
  const whole = Buffer.concat([
    files.baseline.subarray(0, 2),
    Uint8Array.of(0xff, 0xe1, length >> 8, length & 255),
    inside,
    files.baseline.subarray(2),
  ]);
  expect(completeness(whole, FILE)).toBeNull();
  expect(completeness(whole.subarray(0, inside.length + 1000), FILE)?.problem).toContain("is cut short");
});

test("a picture that begins anew before its end was cut short", () => {
  const spliced = Buffer.concat([files.baseline.subarray(0, 3000), files.baseline]);
  expect(completeness(spliced, FILE)?.problem).toContain("is cut short");
});

test("a JPEG that ends before its picture, or with an impossible segment, is damaged", () => {
  expect(completeness(Uint8Array.of(0xff, 0xd8, 0xff, 0xd9), FILE)?.problem).toContain("it ends before any picture");
  expect(completeness(Uint8Array.of(0xff, 0xd8, 0xff, 0xe0, 0, 1, 0, 0), FILE)?.problem).toContain(
    "no JPEG segment can be as at byte 2",
  );
});

test("one wrong byte in a PNG is found by its checksum", () => {
  const png = files["8-bit PNG"];
  const idat = png.indexOf("IDAT");
  const wrong = Uint8Array.from(png);
  wrong[idat + 500] ^= 4;
  expect(completeness(wrong, "a.png")).toEqual({
    problem: `a.png is damaged: the checksum of its IDAT at byte ${idat - 4} is wrong`,
  });
});

test("a PNG chunk longer than any can be is damage, not a reason to wait for more", () => {
  const wrong = Uint8Array.from(files["8-bit PNG"]);
  wrong[wrong.length - 12] = 0xff;
  expect(completeness(wrong, "a.png")?.problem).toContain("no PNG chunk can be as at byte");
});

test("the checksum is CRC-32", () => {
  // The check value of CRC-32 (ISO HDLC) for "123456789" is CBF43926, in every catalogue of CRCs (from memory).
  expect(crc32(new TextEncoder().encode("123456789"))).toBe(0xcbf43926);
});
