import { expect, test } from "vitest";
import { interleavedPasses } from "../../src/analysis/interleaved.ts";
import { chooseSequence, findSequences, passOfSheet } from "../../src/model/index.ts";
import { createRandom } from "../support/random.ts";

// Passes of one shot: several exposures of the same frame, each in its own sequence.

const named = (pass: string, frames: number) =>
  Array.from({ length: frames }, (_, i) => `hive_010_${pass}_${String(i + 1).padStart(4, "0")}.jpg`);

const folder = findSequences([...named("beauty", 12), ...named("matte", 12), ...named("left", 14)]);

test("two passes in one folder are two sequences, and no frame of one is among the other's", () => {
  expect(folder.sequences.map(({ name, frames }) => `${name} ${frames.length}`)).toEqual([
    "hive_010_beauty 12",
    "hive_010_left 14",
    "hive_010_matte 12",
  ]);
  for (const { name, frames } of folder.sequences)
    expect(frames.every(({ file }) => file.startsWith(`${name}_`))).toBe(true);
});

test("the pass that the sheet is for is the one that is checked, and the others are named", () => {
  const choice = chooseSequence(folder, null, "matte");
  if ("error" in choice) throw new Error(choice.error);
  expect(choice.sequence.name).toBe("hive_010_matte");
  expect(choice.warnings[0].detail).toBe(
    "hive_010_matte (12 frames) is checked, the pass 'matte' that the sheet is for; not checked: hive_010_beauty (12 frames), hive_010_left (14 frames)",
  );
  // Who names a sequence gets it; part of a word is no pass; a pass that isn't there is said.
  const wanted = chooseSequence(folder, "hive_010_left", "matte");
  expect("sequence" in wanted && wanted.sequence.name).toBe("hive_010_left");
  const none = chooseSequence(folder, null, "eft");
  if ("error" in none) throw new Error(none.error);
  expect(none.sequence.name).toBe("hive_010_left");
  expect(none.warnings[0].detail).toContain("none has the sheet's pass 'eft' in its name");
});

test("the pass is looked up in a sheet before it is read in full", () => {
  expect(passOfSheet('{"shot": {"name": "hive_010", "pass": "beauty"}}')).toBe("beauty");
  for (const text of ["{", "[]", "{}", '{"shot": {"pass": 3}}', '{"shot": {"pass": " "}}'])
    expect(passOfSheet(text)).toBeNull();
});

test("passes that take turns in one numbering can't be told apart, and it is said", () => {
  const random = createRandom(1);
  const light = (of: (i: number) => number) => Array.from({ length: 24 }, (_, i) => of(i) + 0.01 * random.normal());
  const [warning, ...more] = interleavedPasses(light((i) => (i % 2 === 0 ? 0 : -1.5)));
  expect(more).toEqual([]);
  expect(warning.code).toBe("passes-in-one-numbering");
  expect(warning.detail).toContain("every 2 frames: these look like 2 passes in one numbering");
  expect(interleavedPasses(light((i) => [0, -1.2, 0.8][i % 3]))[0].detail).toContain("every 3 frames");
  // A matte in which no light can be told.
  expect(interleavedPasses(light((i) => (i % 2 === 0 ? 0 : Number.NaN)))).toHaveLength(1);
  // One pass, whatever its light does.
  expect(interleavedPasses(light(() => 0))).toEqual([]);
  expect(interleavedPasses(light((i) => -0.1 * i))).toEqual([]);
  expect(interleavedPasses(light((i) => (i > 11 ? -2 : 0)))).toEqual([]);
  expect(interleavedPasses(light((i) => 0.3 * Math.sin(i)))).toEqual([]);
  expect(interleavedPasses([0, -1, 0, -1])).toEqual([]);
});
