import { readdir, readFile, stat } from "node:fs/promises";
import path from "node:path";
import { describe, expect, test } from "vitest";
import { flagKinds, parseSheet, type Sheet } from "../../src/model/index.ts";
import { frameNumber } from "../../src/units/index.ts";

// What the sample production promises, read from its files alone: nothing here is measured.

interface Row {
  readonly frame: number;
  readonly maxPx: number;
  readonly pivot?: readonly [number, number];
}

interface Expected {
  readonly kind: string;
  readonly part: string | null;
  readonly from: number;
  readonly px: number | null;
  readonly joint?: string;
  readonly pivot?: readonly [number, number];
  readonly carries?: readonly string[];
}

interface Truth {
  readonly parts: readonly { readonly id: string; readonly frames: readonly Row[] }[];
  readonly expected: readonly Expected[];
}

const samples = path.resolve(import.meta.dirname, "../../sample-frames");
const megabytes: Readonly<Record<string, number>> = {
  hive_010: 8,
  hive_010_true: 8,
  hive_020: 8,
  hive_030: 8,
  hive_040: 14,
};
const names = Object.keys(megabytes);

const truthOf = async (name: string): Promise<Truth> =>
  JSON.parse(await readFile(path.join(samples, name, "truth.json"), "utf8")) as Truth;

async function sheetOf(name: string): Promise<Sheet> {
  const file = path.join(samples, name, "holdfast-sheet.json");
  const [width, height] = name === "hive_040" ? [1920, 1080] : [1280, 720];
  const frames = Array.from({ length: 24 }, (_, index) => frameNumber(index + 1));
  const parsed = parseSheet(await readFile(file, "utf8"), file, { frames, width, height });
  if ("refusals" in parsed) throw new Error(parsed.refusals.join("\n"));
  return parsed.sheet;
}

test("every kind of flag is expected in at least one of the sample shots", async () => {
  const shown = (await Promise.all(names.map(truthOf))).flatMap(({ expected }) => expected.map(({ kind }) => kind));
  expect(flagKinds.filter((kind) => !shown.includes(kind))).toEqual([]);
});

test("there are two puppets of ten parts and more, of different build, and two copies of one of them", async () => {
  const parts = (await Promise.all(names.map(sheetOf))).flatMap((sheet) => sheet.parts);
  const told = (puppet: string) => parts.filter((part) => part.puppet === puppet);
  for (const puppet of ["oda", "quill"]) {
    expect(new Set(told(puppet).map(({ id }) => id)).size, puppet).toBeGreaterThanOrEqual(10);
  }
  expect(new Set(told("oda").map(({ build }) => build))).toContain("ball");
  expect(new Set(told("quill").map(({ build }) => build))).toEqual(new Set(["wire", null]));
  expect(new Set(told("quill").map(({ copy }) => copy))).toEqual(new Set(["A", "B"]));
});

describe.each(names)("%s", (name) => {
  test("has 24 frames and no more megabytes than promised", async () => {
    const frames = (await readdir(path.join(samples, name))).filter((file) => file.endsWith(".jpg"));
    const bytes = await Promise.all(frames.map(async (file) => (await stat(path.join(samples, name, file))).size));
    expect(frames).toHaveLength(24);
    expect(bytes.reduce((sum, one) => sum + one, 0) / 1e6).toBeLessThanOrEqual(megabytes[name] ?? 0);
  });

  test("has a mass for every part, a scale, and a row of truth for every part and frame", async () => {
    const [sheet, truth] = await Promise.all([sheetOf(name), truthOf(name)]);
    expect(sheet.scale?.pxPerMm).toBeGreaterThan(0);
    expect(sheet.parts.filter(({ massGrams }) => massGrams === null).map(({ id }) => id)).toEqual([]);
    expect(truth.parts.map(({ id }) => id)).toEqual(sheet.parts.map(({ id }) => id));
    for (const { id, frames } of truth.parts) expect(frames, id).toHaveLength(24);
  });

  test("has its joints in the sheet where the truth has its pivots, to the 5 px that a person places one to", async () => {
    const [sheet, truth] = await Promise.all([sheetOf(name), truthOf(name)]);
    const joints = sheet.parts.flatMap((part) => part.joints ?? []);
    for (const { kind, part, joint, pivot } of truth.expected) {
      if (joint === undefined) continue;
      const [x, y] = joints.find(({ id }) => id === joint)?.at ?? [Number.NaN, Number.NaN];
      expect(
        Math.hypot(x - (pivot?.[0] ?? Number.NaN), y - (pivot?.[1] ?? Number.NaN)),
        `${kind} ${part}`,
      ).toBeLessThan(5);
    }
  });

  test("expects of a sag what the part or what it carries moved at most", async () => {
    const { parts, expected } = await truthOf(name);
    for (const { kind, part, px, carries } of expected) {
      if (kind !== "sag" && kind !== "spring-back") continue;
      const rows = parts.filter(({ id }) => id === part || carries?.includes(id)).flatMap(({ frames }) => frames);
      expect(Math.max(...rows.map(({ maxPx }) => maxPx)), `${kind} ${part}`).toBeGreaterThanOrEqual((px ?? 0) - 0.001);
    }
  });
});
