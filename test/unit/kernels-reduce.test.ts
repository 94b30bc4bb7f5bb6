import * as fc from "fast-check";
import { expect, test } from "vitest";
import type { Channel } from "../../src/decode/channel.ts";
import type { Channels, Pixels } from "../../src/decode/pixels.ts";
import { reducedSize, reduceToLuma } from "../../src/decode/reduce.ts";
import { KernelWorkspace } from "../../src/measure/workspace.ts";
import { openWorkspace } from "../../workers/kernels.ts";
import { createRandom } from "../support/random.ts";

const opened = await openWorkspace();
if (!(opened instanceof KernelWorkspace)) throw new Error("WebAssembly has no SIMD here: nothing could be compared");
const kernels = opened;

function picture(width: number, height: number, channels: Channels, bits: 8 | 16, seed: number): Pixels {
  const random = createRandom(seed, width, height, channels);
  const values = { length: width * height * channels };
  const data =
    bits === 8
      ? Uint8Array.from(values, () => random.integer(256))
      : Uint16Array.from(values, () => random.integer(65_536));
  return { width, height, channels, bits, data };
}

/** Reduces by both and tells whether all bits agree. */
function agree(pixels: Pixels, analysisWidth: number, channel: Channel): boolean {
  const twin = reduceToLuma(pixels, analysisWidth, undefined, channel);
  const { width, height } = reducedSize(pixels.width, pixels.height, analysisWidth);
  const mine = reduceToLuma(pixels, analysisWidth, kernels.plane(width, height), channel);
  const bits = (data: Float32Array) => new Int32Array(data.buffer, data.byteOffset, data.length);
  const [a, b] = [bits(twin.data), bits(mine.data)];
  const same = a.length === b.length && a.every((value, i) => value === b[i]);
  kernels.release(mine);
  return same;
}

test("area reduction: the same bits from kernel and twin, whatever size, channels, depth and colour", () => {
  const side = fc.integer({ min: 1, max: 150 });
  const channels = fc.constantFrom<Channels[]>(1, 2, 3, 4);
  const bits = fc.constantFrom<(8 | 16)[]>(8, 16);
  const channel = fc.constantFrom<Channel[]>("luma", "r", "g", "b");
  fc.assert(
    fc.property(side, side, side, channels, bits, channel, fc.nat(1e6), (w, h, to, count, depth, colour, seed) =>
      agree(picture(w, h, count, depth, seed), to, colour),
    ),
    { seed: 20_260_327, numRuns: 300 },
  );
});

test("area reduction: the same bits where the sums are rounded, from sizes without a common divisor", () => {
  expect(agree(picture(3001, 97, 3, 8, 1), 1999, "luma")).toBe(true);
  expect(agree(picture(97, 3001, 3, 8, 2), 61, "luma")).toBe(true);
});

test("area reduction: the same bits when rows are longer than what is taken at a time", () => {
  expect(agree(picture(20_011, 5, 4, 16, 3), 1920, "luma")).toBe(true);
});
