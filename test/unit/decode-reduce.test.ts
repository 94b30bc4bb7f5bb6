import fc from "fast-check";
import { expect, test } from "vitest";
import { CHANNEL_CONTRAST_RATIO, chooseChannel } from "../../src/decode/channel.ts";
import type { Channel } from "../../src/decode/channel.ts";
import { hashPlane } from "../../src/decode/hash.ts";
import type { Channels, Pixels } from "../../src/decode/pixels.ts";
import { reduceToLuma, reducedSize } from "../../src/decode/reduce.ts";
import { linearTable } from "../../src/decode/transfer.ts";
import { createPlane } from "../../src/measure/plane.ts";
import { createRandom } from "../support/random.ts";

const linear = linearTable(8);

const grey = (width: number, codes: readonly number[]): Pixels => ({
  width,
  height: codes.length / width,
  channels: 1,
  bits: 8,
  data: Uint8Array.from(codes),
});

const picture = (seed: number, width: number, height: number, channels: Channels, bits: 8 | 16 = 8): Pixels => {
  const random = createRandom(seed);
  const values = Array.from({ length: width * height * channels }, () => random.integer(2 ** bits));
  return { width, height, channels, bits, data: bits === 8 ? Uint8Array.from(values) : Uint16Array.from(values) };
};

/** The same average written down straight from its definition, pixel by pixel. */
const areaAverage = (pixels: Pixels, width: number, height: number): number[] => {
  const table = linearTable(pixels.bits);
  const luma = (x: number, y: number) => {
    const at = (y * pixels.width + x) * pixels.channels;
    const [r, g, b] = pixels.channels > 2 ? [0, 1, 2] : [0, 0, 0];
    return (
      0.2126 * table[pixels.data[at + r]] + 0.7152 * table[pixels.data[at + g]] + 0.0722 * table[pixels.data[at + b]]
    );
  };
  const overlap = (i: number, from: number, to: number) => Math.max(0, Math.min(i + 1, to) - Math.max(i, from));
  const sx = pixels.width / width;
  const sy = pixels.height / height;
  return Array.from({ length: width * height }, (_, k) => {
    const x = k % width;
    const y = Math.floor(k / width);
    let sum = 0;
    for (let j = Math.floor(y * sy); j < Math.min(pixels.height, (y + 1) * sy); j++)
      for (let i = Math.floor(x * sx); i < Math.min(pixels.width, (x + 1) * sx); i++)
        sum += luma(i, j) * overlap(i, x * sx, (x + 1) * sx) * overlap(j, y * sy, (y + 1) * sy);
    return sum / (sx * sy);
  });
};

test("a frame is reduced to the analysis width in proportion, and never enlarged", () => {
  expect(reducedSize(6000, 4000, 1920)).toEqual({ width: 1920, height: 1280 });
  expect(reducedSize(5184, 3456, 1920)).toEqual({ width: 1920, height: 1280 });
  expect(reducedSize(6016, 4016, 1920)).toEqual({ width: 1920, height: 1282 });
  expect(reducedSize(1280, 720, 1920)).toEqual({ width: 1280, height: 720 });
  expect(reducedSize(5000, 1, 100)).toEqual({ width: 100, height: 1 });
  expect(() => reducedSize(100, 100, 0)).toThrow("analysis width 0");
  expect(() => reducedSize(100, 100, 12.5)).toThrow("analysis width 12.5");
});

test("three pixels become two by hand: the middle one is shared in halves", () => {
  const plane = reduceToLuma(grey(3, [10, 128, 188]), 2);
  expect(plane.width).toBe(2);
  expect(plane.data[0]).toBeCloseTo((linear[10] + linear[128] / 2) / 1.5, 7);
  expect(plane.data[1]).toBeCloseTo((linear[128] / 2 + linear[188]) / 1.5, 7);
});

test("three rows become two by hand, and the average is taken in linear light, not in codes", () => {
  const plane = reduceToLuma(grey(3, [0, 0, 0, 255, 255, 255, 255, 255, 255]), 2);
  // Upper row: one row of black and half a row of white, 1 part in 3.
  expect(plane.data[0]).toBeCloseTo(1 / 3, 7);
  expect(plane.data[2]).toBe(1);
});

test("a constant stays that constant to the bit, whatever the sizes", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 90 }),
      fc.integer({ min: 1, max: 60 }),
      fc.integer({ min: 1, max: 90 }),
      fc.constantFrom<Channels>(1, 2, 3, 4),
      fc.tuple(fc.nat(255), fc.nat(255), fc.nat(255), fc.nat(255)),
      (width, height, analysisWidth, channels, colour) => {
        const data = Uint8Array.from({ length: width * height * channels }, (_, i) => colour[i % channels]);
        const one = reduceToLuma({ width: 1, height: 1, channels, bits: 8, data: data.slice(0, channels) }, 1).data[0];
        const plane = reduceToLuma({ width, height, channels, bits: 8, data }, analysisWidth);
        expect(plane.data.every((value) => value === one)).toBe(true);
      },
    ),
    { seed: 11, numRuns: 200 },
  );
});

test("the mean of the frame is kept", () => {
  fc.assert(
    fc.property(
      fc.nat(),
      fc.integer({ min: 1, max: 70 }),
      fc.integer({ min: 1, max: 50 }),
      fc.integer({ min: 1, max: 70 }),
      fc.constantFrom<Channels>(1, 2, 3, 4),
      (seed, width, height, analysisWidth, channels) => {
        const pixels = picture(seed, width, height, channels);
        const mean = (values: Float32Array) => values.reduce((sum, value) => sum + value, 0) / values.length;
        const full = mean(reduceToLuma(pixels, width).data);
        expect(Math.abs(mean(reduceToLuma(pixels, analysisWidth).data) - full)).toBeLessThan(1e-7);
      },
    ),
    { seed: 12, numRuns: 200 },
  );
});

test("every pixel is the average of the area that it covers, in 8 and in 16 bits", () => {
  const cases: [number, number, number, Channels, 8 | 16][] = [
    [50, 33, 16, 3, 8],
    [47, 31, 46, 4, 8],
    [61, 40, 7, 1, 8],
    [40, 30, 20, 2, 8],
    [53, 21, 19, 3, 16],
    [30, 20, 30, 4, 16],
  ];
  for (const [width, height, analysisWidth, channels, bits] of cases) {
    const pixels = picture(width, width, height, channels, bits);
    const plane = reduceToLuma(pixels, analysisWidth);
    const truth = areaAverage(pixels, plane.width, plane.height);
    const worst = Math.max(...truth.map((value, i) => Math.abs(value - plane.data[i])));
    expect(worst).toBeLessThan(6e-8);
  }
});

test("grey comes to the same bits from one channel, from three and from four", () => {
  const one = picture(5, 64, 48, 1);
  const spread = (channels: Channels, pattern: (value: number) => number[]): Pixels => ({
    ...one,
    channels,
    data: Uint8ClampedArray.from(Array.from(one.data).flatMap(pattern)),
  });
  const hashes = (width: number) => [
    hashPlane(reduceToLuma(one, width)),
    hashPlane(
      reduceToLuma(
        spread(2, (value) => [value, 17]),
        width,
      ),
    ),
    hashPlane(
      reduceToLuma(
        spread(3, (value) => [value, value, value]),
        width,
      ),
    ),
    hashPlane(
      reduceToLuma(
        spread(4, (value) => [value, value, value, 255 - value]),
        width,
      ),
    ),
  ];
  for (const width of [64, 23]) expect(new Set(hashes(width)).size).toBe(1);
});

test("16 bits that hold an 8-bit picture give the bits of that picture", () => {
  const eight = picture(6, 37, 29, 3);
  const sixteen: Pixels = { ...eight, bits: 16, data: Uint16Array.from(eight.data, (code) => 257 * code) };
  for (const width of [37, 16])
    expect(hashPlane(reduceToLuma(sixteen, width))).toBe(hashPlane(reduceToLuma(eight, width)));
});

test("one colour channel can take luma's place", () => {
  const pixels: Pixels = { width: 2, height: 1, channels: 3, bits: 8, data: Uint8Array.of(10, 128, 188, 118, 11, 255) };
  const values = (channel: Channel) => Array.from(reduceToLuma(pixels, 2, undefined, channel).data);
  const near = (channel: Channel, codes: number[]) =>
    values(channel).forEach((value, i) => expect(value).toBeCloseTo(linear[codes[i]], 7));
  near("r", [10, 118]);
  near("g", [128, 11]);
  near("b", [188, 255]);
});

test("a plane that is given is written to, whatever was in it, and one of another size is refused", () => {
  const pixels = picture(9, 31, 17, 3);
  const fresh = reduceToLuma(pixels, 12);
  const into = createPlane(fresh.width, fresh.height);
  into.data.fill(Number.NaN);
  expect(reduceToLuma(pixels, 12, into)).toBe(into);
  expect(hashPlane(into)).toBe(hashPlane(fresh));
  expect(() => reduceToLuma(pixels, 12, createPlane(12, 3))).toThrow("a 12 x 3 plane for a picture of 12 x 7");
});

test("pixels whose values don't fill their size are refused", () => {
  expect(() => reduceToLuma({ ...picture(9, 4, 4, 3), width: 5 }, 3)).toThrow(
    "5 x 4 pixels of 3 values, but 48 values",
  );
});

test("the input is left alone", () => {
  const pixels = picture(3, 20, 20, 4);
  const before = pixels.data.slice();
  reduceToLuma(pixels, 7);
  expect(pixels.data).toEqual(before);
});

test("a picture has the reduced luma that it had when this was written", () => {
  // Made with Node 20.
  const data = Uint8Array.from({ length: 301 * 199 * 3 }, (_, i) => (i * i * 31 + i * 7) & 255);
  expect(hashPlane(reduceToLuma({ width: 301, height: 199, channels: 3, bits: 8, data }, 128))).toBe(
    "9022dedcbc15b150",
  );
});

/** Upright stripes of two colours, two pixels wide. */
const stripes = (a: readonly number[], b: readonly number[]): Pixels => ({
  width: 40,
  height: 30,
  channels: 3,
  bits: 8,
  data: Uint8Array.from({ length: 40 * 30 * 3 }, (_, i) => ((Math.floor(i / 3) % 40) % 4 < 2 ? a : b)[i % 3]),
});

test("luma is measured, unless a colour channel has four times its contrast", () => {
  expect(CHANNEL_CONTRAST_RATIO).toBe(4);
  expect(chooseChannel(stripes([40, 40, 40], [200, 190, 180]))).toBe("luma");
  // Red felt before a green wall of the same luma: 0.2126 x 0.6 of red against 0.7152 x 0.18 of green.
  expect(chooseChannel(stripes([203, 0, 0], [0, 118, 0]))).toBe("r");
  expect(chooseChannel(stripes([60, 60, 30], [60, 60, 220]))).toBe("b");
  expect(chooseChannel(stripes([90, 90, 90], [90, 90, 90]))).toBe("luma");
  expect(chooseChannel(picture(2, 40, 30, 1))).toBe("luma");
});
