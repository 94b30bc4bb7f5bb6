import * as fc from "fast-check";
import { expect, test } from "vitest";
import { chooseSequence, findSequences, shotNameOf } from "../../src/model/index.ts";

const only = (names: readonly string[]) => {
  const { sequences } = findSequences(names);
  expect(sequences).toHaveLength(1);
  return sequences[0];
};
const numbers = (names: readonly string[]) => only(names).frames.map(({ frame }) => frame);

test.each([
  ["hive_0001.jpg", "hive", "hive_", 1],
  ["hive.0012.png", "hive", "hive.", 12],
  ["0001.jpg", "frames", "", 1],
  ["hive7.JPG", "hive", "hive", 7],
  ["hive_010_v2_0003.jpeg", "hive_010_v2", "hive_010_v2_", 3],
  ["hive 010 - 0003.PNG", "hive 010", "hive 010 - ", 3],
  ["Oda's shed_00000000000000000000042.jpg", "Oda's shed", "Oda's shed_", 42],
])("%s belongs to the sequence %s", (file, name, prefix, frame) => {
  expect(only([file])).toMatchObject({ name, prefix, frames: [{ frame, file }], step: 1, gaps: [], warnings: [] });
});

test("frames come in the order of their numbers, however they are padded or listed", () => {
  expect(only(["a10.jpg", "a9.jpg", "a1.jpg"]).frames.map(({ file }) => file)).toEqual(["a1.jpg", "a9.jpg", "a10.jpg"]);
  expect(numbers(["a_0002.jpg", "a_10000.jpg", "a_0001.jpg"])).toEqual([1, 2, 10_000]);
});

test("hidden files and the twins that foreign disks get are left out; other files are named", () => {
  const found = findSequences([
    "._hive_0001.jpg",
    ".hive_0001.jpg",
    ".DS_Store",
    "hive_0001.jpg",
    "hive_010.sheet.json",
    "hive_0001 copy.jpg",
    "hive_0001.tiff",
    "notes.txt",
    "hive_99999999999999999999.jpg",
    ".jpg",
  ]);
  expect(found.sequences.map(({ frames }) => frames.length)).toEqual([1]);
  expect(found.others).toEqual([
    "hive_010.sheet.json",
    "hive_0001 copy.jpg",
    "hive_0001.tiff",
    "notes.txt",
    "hive_99999999999999999999.jpg",
  ]);
});

test("a gap is told by its frames", () => {
  const { gaps, warnings, step } = only([1, 2, 3, 5, 6, 10].map((n) => `hive_${n}.jpg`));
  expect(step).toBe(1);
  expect(gaps).toEqual([
    { from: 4, to: 4 },
    { from: 7, to: 9 },
  ]);
  expect(warnings).toEqual([
    { code: "frame-gap", detail: "no frame 4" },
    { code: "frame-gap", detail: "no frames 7 to 9" },
  ]);
});

test("numbering by twos leaves no gaps but the real ones", () => {
  const { gaps, warnings, step } = only([1, 3, 5, 7, 13, 15].map((n) => `hive_${n}.jpg`));
  expect(step).toBe(2);
  expect(gaps).toEqual([{ from: 9, to: 11 }]);
  expect(warnings[0].detail).toBe("no frames 9 to 11, numbered by 2");
  expect(only([2, 4, 6, 8, 9, 10].map((n) => `hive_${n}.jpg`)).gaps).toEqual([]);
});

test("many gaps are told in a bounded list, and a wide one costs nothing", () => {
  const names = Array.from({ length: 40 }, (_, i) => [i * 10, i * 10 + 1]).flatMap(([a, b]) => [
    `a${a}.jpg`,
    `a${b}.jpg`,
  ]);
  const { warnings, gaps } = only(names);
  expect(gaps).toHaveLength(39);
  expect(warnings).toHaveLength(21);
  expect(warnings[20].detail).toBe("and 19 more gaps");
  expect(only(["a1.jpg", "a2.jpg", "a9007199254740991.jpg"]).gaps).toEqual([{ from: 3, to: 9_007_199_254_740_990 }]);
});

test("a number that is there twice in one sequence is taken once, and both files are named", () => {
  const { frames, warnings } = only(["hive_7.jpg", "hive_0007.jpg", "hive_0008.jpeg", "hive_0008.JPG"]);
  expect(frames.map(({ file }) => file)).toEqual(["hive_0007.jpg", "hive_0008.JPG"]);
  expect(warnings).toEqual([
    { code: "frame-twice", detail: "frame 7 is there twice: hive_0007.jpg is taken, hive_7.jpg is not" },
    { code: "frame-twice", detail: "frame 8 is there twice: hive_0008.JPG is taken, hive_0008.jpeg is not" },
  ]);
});

test("JPEG and PNG of one prefix are two sequences with names of their own", () => {
  const { sequences } = findSequences(["hive_1.jpg", "hive_1.png", "hive_2.png", "lid_1.png"]);
  expect(sequences.map(({ name, frames }) => [name, frames.length])).toEqual([
    ["hive.jpg", 1],
    ["hive.png", 2],
    ["lid", 1],
  ]);
});

test("prefixes that differ in their last sign alone get names that tell them apart", () => {
  const { sequences } = findSequences(["hive_1.jpg", "hive.1.jpg", "hive1.jpg"]);
  expect(new Set(sequences.map(({ name }) => name)).size).toBe(3);
  for (const sequence of sequences)
    expect(chooseSequence({ sequences, others: [] }, sequence.name)).toMatchObject({ sequence });
});

const two = findSequences([1, 2, 3].map((n) => `take9_${n}.jpg`).concat([1, 2].map((n) => `take10_${n}.jpg`)));

test("the longest sequence is checked, the others are named", () => {
  const choice = chooseSequence(two, null);
  expect(choice).toMatchObject({ sequence: { name: "take9" } });
  expect("warnings" in choice && choice.warnings).toEqual([
    {
      code: "other-sequences",
      detail: "take9 (3 frames) is checked, the longest sequence here; not checked: take10 (2 frames)",
    },
  ]);
});

test("of two that are equally long the first in natural order is checked", () => {
  const found = findSequences(["take10_1.jpg", "take9_1.jpg"]);
  expect(chooseSequence(found, null)).toMatchObject({ sequence: { name: "take9" } });
});

test("the wanted sequence is checked without a word about the others, by name or by prefix", () => {
  expect(chooseSequence(two, "take10")).toMatchObject({ sequence: { name: "take10" }, warnings: [] });
  expect(chooseSequence(two, "take10_")).toMatchObject({ sequence: { name: "take10" }, warnings: [] });
});

test("a wanted sequence that isn't there is an error that lists those there are", () => {
  expect(chooseSequence(two, "take11")).toEqual({
    error: 'there is no sequence "take11" here; there are: take9 (3 frames), take10 (2 frames)',
  });
  expect(chooseSequence(findSequences(["a_1.jpg", "a_1.png"]), "a")).toEqual({
    error: 'there is more than one sequence "a" here; there are: a.jpg (1 frame), a.png (1 frame)',
  });
});

test("a folder without numbered frames is an error", () => {
  expect(chooseSequence(findSequences([]), null)).toEqual({
    error: "no numbered frames (name_0001.jpg or .png) here: no files at all",
  });
  expect(chooseSequence(findSequences(["notes.txt", "b.jpg"]), null)).toEqual({
    error: "no numbered frames (name_0001.jpg or .png) here: 2 other files",
  });
});

test("a shot is called by its prefix, else by its folder", () => {
  expect(shotNameOf(only(["hive_010_0001.jpg"]), "monday")).toBe("hive_010");
  expect(shotNameOf(only(["0001.jpg"]), "hive_010")).toBe("hive_010");
  expect(shotNameOf(only(["0001.jpg"]))).toBe("shot");
});

test("any prefix, padding and kind of file gives the numbers back", () => {
  const prefix = fc.string({ unit: "grapheme", maxLength: 12 }).filter((text) => !/^\.|\d$|\//.test(text));
  fc.assert(
    fc.property(
      prefix,
      fc.nat(8),
      fc.constantFrom("jpg", "JPG", "jpeg", "Jpeg", "png", "PNG"),
      fc.uniqueArray(fc.nat(1_000_000), { minLength: 1, maxLength: 20 }),
      (before, padding, extension, list) => {
        const sorted = list.toSorted((a, b) => a - b);
        const sequence = only(list.map((n) => `${before}${String(n).padStart(padding, "0")}.${extension}`));
        expect(sequence.prefix).toBe(before);
        expect(sequence.frames.map(({ frame }) => frame)).toEqual(sorted);
        const missing = new Set(sequence.gaps.flatMap(({ from, to }) => [from, to]));
        expect(sorted.some((n) => missing.has(n as never))).toBe(false);
      },
    ),
    { seed: 20260308, numRuns: 500 },
  );
});

test("every name of a folder ends up in a sequence, among the others, or hidden, and never throws", () => {
  fc.assert(
    fc.property(
      fc.uniqueArray(fc.oneof(fc.string(), fc.stringMatching(/^[ab_.]{0,2}\d{0,3}\.(jpg|png|JPG|txt)$/)), {
        maxLength: 30,
      }),
      (names) => {
        const { sequences, others } = findSequences(names);
        const taken = sequences.flatMap(({ frames }) => frames.map(({ file }) => file));
        const twice = sequences.flatMap(({ warnings }) => warnings.filter(({ code }) => code === "frame-twice"));
        const hidden = names.filter((name) => name.startsWith("."));
        expect(taken.length + twice.length + others.length + hidden.length).toBe(names.length);
        expect(new Set(sequences.map(({ name }) => name)).size).toBe(sequences.length);
        for (const { frames } of sequences) {
          expect(frames.every(({ frame }, i) => i === 0 || frame > frames[i - 1].frame)).toBe(true);
        }
      },
    ),
    { seed: 20260309, numRuns: 500 },
  );
});
