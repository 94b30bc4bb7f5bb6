import { expect, test } from "vitest";
import { parseProof, serialiseProof } from "../../src/model/index.ts";
import { proofSummary } from "../../src/reports/proof-summary.ts";
import { examplePart, exampleProof } from "./proof-example.ts";

// The proof file and its words.

const read = (value: unknown) => parseProof(JSON.stringify(value), "hive_010-proof.json");
const refusalsOf = (value: unknown): readonly string[] => {
  const result = read(value);
  return "refusals" in result ? result.refusals : [];
};

test("a proof that is written reads back the same, and is written the same again", () => {
  const text = serialiseProof(exampleProof);
  const result = parseProof(text, "hive_010-proof.json");
  expect(result).toEqual({ proof: exampleProof });
  expect("proof" in result && serialiseProof(result.proof)).toBe(text);
});

test("what a later version adds is kept", () => {
  const more = { ...exampleProof, parts: [{ ...examplePart, light: "key lamp" }], operator: "night run" };
  const result = read(more);
  expect("proof" in result && JSON.parse(serialiseProof(result.proof))).toEqual(more);
});

test("numbers that are none are written as null and read as null", () => {
  const part = { ...examplePart, flag: { ...examplePart.flag, sigma: Number.NaN } };
  const text = serialiseProof({ ...exampleProof, parts: [part as typeof examplePart] });
  const result = parseProof(text, "hive_010-proof.json");
  expect("proof" in result && result.proof.parts[0].flag?.sigma).toBeNull();
});

test.each([
  [{ ...exampleProof, version: 2 }, "hive_010-proof.json is holdfast-proof version 2; this Holdfast reads up to 1"],
  [
    { ...exampleProof, format: "holdfast-report" },
    'hive_010-proof.json is not a holdfast-proof: its format is "holdfast-report"',
  ],
  [
    { ...exampleProof, parts: [{ ...examplePart, bandPx: "wide" }] },
    'hive_010-proof.json: part 1: bandPx is "wide", needs a number',
  ],
  [
    { ...exampleProof, parts: [{ ...examplePart, put: { ...examplePart.put, px: -1 } }] },
    "hive_010-proof.json: part 1: put: px is -1, needs more than 0",
  ],
])("a file that is no proof of this version is refused, quoting it: %#", (value, why) => {
  expect(refusalsOf(value)).toEqual([why]);
});

test("a proof is told in sentences before numbers, and what was left out with its reason", () => {
  expect(proofSummary(exampleProof)).toBe(
    [
      "What was put into 1 part came back as it was put in, in 5 frames of hive_010.",
      "",
      `* ${examplePart.message}`,
      "  bias −0.0020 px; RMS 0.0030 px; z 0.31; flag from frame 6 (put in from 5), 0.99 ± 0.01 px; 0.050 px is not seen",
      "",
      "Nothing was put into:",
      "* Right arm: it is never held",
      "",
    ].join("\n"),
  );
});

test("a drift that came back wrong and a shot in which nothing could be put in are told first", () => {
  const wrong = { ...examplePart, cameBack: { ...examplePart.cameBack, proved: false } };
  expect(proofSummary({ ...exampleProof, parts: [wrong] })).toMatch(
    /^What was put into 1 of 1 part did not come back /,
  );
  expect(proofSummary({ ...exampleProof, parts: [] })).toMatch(/^Nothing was proved in 5 frames of hive_010: /);
});
