import { mkdtemp, readFile, rm } from "node:fs/promises";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parseReport, type Report } from "../../src/model/index.ts";
import { type BuiltCli, buildCli, type Ran } from "../unit/built-cli.ts";

// The command line on the rendered sample shots, against the truth that comes from their geometry
// (sample-frames/generator), not from any measurement.

interface Truth {
  readonly camera: readonly { readonly frame: number; readonly dx: number; readonly dy: number }[];
  readonly parts: readonly {
    readonly id: string;
    readonly frames: readonly {
      readonly frame: number;
      readonly dx: number;
      readonly dy: number;
      readonly turn: number;
      readonly maxPx: number;
    }[];
  }[];
  readonly expected: readonly {
    readonly kind: string;
    readonly part: string | null;
    readonly from: number;
    readonly px: number;
    readonly joint?: string;
    readonly carries?: readonly string[];
  }[];
}

interface Checked {
  readonly ran: Ran;
  readonly report: Report;
  readonly truth: Truth;
}

const samples = path.resolve(import.meta.dirname, "../../sample-frames");
let cli: BuiltCli;
let scratch: string;

beforeAll(async () => {
  [cli, scratch] = await Promise.all([buildCli(), mkdtemp(path.join(os.tmpdir(), "holdfast-sample-"))]);
}, 120_000);
afterAll(async () => {
  await cli.remove();
  await rm(scratch, { recursive: true, force: true });
});

const check = async (name: string): Promise<Checked> => {
  const folder = path.join(samples, name);
  const json = path.join(scratch, `${name}.json`);
  const ran = await cli.run(["check", folder, "--json", json, "--quiet"]);
  const parsed = parseReport(await readFile(json, "utf8"), json);
  if ("refusals" in parsed) throw new Error(parsed.refusals.join("\n"));
  const truth = JSON.parse(await readFile(path.join(folder, "truth.json"), "utf8")) as Truth;
  return { ran, report: parsed.report, truth };
};

/** RMS difference from the truth over all frames of the parts that are held, px. */
const heldError = ({ report, truth }: Checked): number => {
  let squares = 0;
  let n = 0;
  for (const track of report.tracks) {
    const part = report.parts.find(({ id }) => id === track.part);
    const isHeld = part?.intents?.every(({ intent }) => intent === "holds") ?? false;
    const row = truth.parts.find(({ id }) => id === track.part)?.frames.find(({ frame }) => frame === track.frame);
    if (!isHeld || row === undefined || track.dx === null || track.dy === null) continue;
    squares += (track.dx - row.dx) ** 2 + (track.dy - row.dy) ** 2;
    n += 2;
  }
  return Math.sqrt(squares / n);
};

describe("the sample shot", () => {
  let checked: Checked;
  beforeAll(async () => {
    checked = await check("hive_010");
  }, 300_000);

  test("ends with exit code 1", () => {
    expect(checked.ran.code).toBe(1);
  });

  test("has exactly the expected flags, on the right part and in the right place", () => {
    const told = checked.report.flags.map(({ kind, part, joint }) => ({ kind, part, joint }));
    const expected = checked.truth.expected.map(({ kind, part, joint }) => ({ kind, part, joint: joint ?? null }));
    expect(told.toSorted((a, b) => a.kind.localeCompare(b.kind))).toEqual(
      expected.toSorted((a, b) => a.kind.localeCompare(b.kind)),
    );
  });

  test("tells the sag's size to 0.1 px and its onset to 3 frames of where it passes 3 reported sigma", () => {
    const flag = checked.report.flags.find(({ kind }) => kind === "sag");
    const expected = checked.truth.expected.find(({ kind }) => kind === "sag");
    expect(Math.abs((flag?.px ?? Number.NaN) - (expected?.px ?? Number.NaN))).toBeLessThan(0.1);
    const truth = checked.truth.parts.find(({ id }) => id === flag?.part);
    const sigma = (frame: number): number => {
      const track = checked.report.tracks.find((row) => row.part === flag?.part && row.frame === frame);
      return Math.hypot(track?.sigmaDx ?? Number.NaN, track?.sigmaDy ?? Number.NaN);
    };
    const onset = truth?.frames.find(({ frame, dx, dy }) => Math.hypot(dx, dy) > 3 * sigma(frame))?.frame;
    expect(Math.abs((flag?.from ?? Number.NaN) - (onset ?? Number.NaN))).toBeLessThanOrEqual(3);
  });

  test("says what the sagging arm carries along", () => {
    const flag = checked.report.flags.find(({ kind }) => kind === "sag");
    const expected = checked.truth.expected.find(({ kind }) => kind === "sag");
    expect(flag?.carries.toSorted()).toEqual([...(expected?.carries ?? [])].sort());
  });

  test("tells the camera's knock to 0.03 px in the right frame", () => {
    const flag = checked.report.flags.find(({ kind }) => kind === "camera-shift");
    const expected = checked.truth.expected.find(({ kind }) => kind === "camera-shift");
    expect(flag?.from).toBe(expected?.from);
    expect(Math.abs((flag?.px ?? Number.NaN) - (expected?.px ?? Number.NaN))).toBeLessThan(0.03);
  });

  test("tells the camera of every frame to 0.03 px", () => {
    for (const { frame, dx, dy } of checked.truth.camera) {
      const camera = checked.report.frames.find((row) => row.frame === frame)?.camera;
      expect(
        Math.hypot((camera?.dx ?? Number.NaN) - dx, (camera?.dy ?? Number.NaN) - dy),
        `frame ${frame}`,
      ).toBeLessThan(0.03);
    }
  });

  test("has tracks of held parts that agree with the truth to 0.05 px RMS", () => {
    expect(heldError(checked)).toBeLessThan(0.05);
  });
});

describe("the twin in which everything held", () => {
  let checked: Checked;
  beforeAll(async () => {
    checked = await check("hive_010_true");
  }, 300_000);

  test("ends with exit code 0 and no flag", () => {
    expect(checked.report.flags.map(({ message }) => message)).toEqual([]);
    expect(checked.ran.code).toBe(0);
  });

  test("has tracks of held parts that agree with the truth to 0.05 px RMS", () => {
    expect(heldError(checked)).toBeLessThan(0.05);
  });
});
