import path from "node:path";
import { expect, test } from "vitest";
import { hashPlane } from "../../src/decode/hash.ts";
import { frameNumber } from "../../src/units/index.ts";
import { fileOpener } from "../../workers/node/opener.ts";

// The reduced luma of two sample frames, bit for bit, on every machine: made once by this code (2026-11-25) and committed.
// The page's own must be equal: test/browser/workers.test.ts holds it against what Node makes of the same frames.

const folder = path.resolve(import.meta.dirname, "../../sample-frames/hive_010");

test.each([
  [1, 640, "ca3595976e0bea72"],
  [24, 640, "7306e4c28dde0389"],
  [1, 1920, "0e090ab1f8b3cd1a"],
  [24, 1920, "2058d030b7f06999"],
])("frame %d of the sample, at most %d px wide, has the luma that it always had", async (frame, width, hash) => {
  const name = `hive_010_${String(frame).padStart(4, "0")}.jpg`;
  const file = { frame: frameNumber(frame), file: name, modified: null, source: path.join(folder, name) };
  const luma = await fileOpener().luma(file, width);
  expect("problem" in luma ? luma.problem : hashPlane(luma)).toBe(hash);
});
