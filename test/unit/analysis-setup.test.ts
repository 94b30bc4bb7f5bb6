import { expect, test } from "vitest";
import { setUpShot, type SetupResult, type ShotSetup } from "../../src/analysis/shot-setup.ts";
import type { CheckJob, FrameHeader } from "../../src/protocol/index.ts";
import { frameNumber } from "../../src/units/index.ts";

interface Shot {
  /** Width and height of each frame by its number; null: its header could not be read. */
  readonly frames: Readonly<Record<number, readonly [number, number] | null>>;
  readonly sheet?: unknown;
  readonly sheetText?: string;
  readonly analysisWidth?: number;
  readonly times?: Readonly<Record<number, string>>;
}

function setUp({ frames, sheet, sheetText, analysisWidth = 1920, times = {} }: Shot): SetupResult {
  const numbers = Object.keys(frames).map(Number);
  const text = sheetText ?? (sheet === undefined ? null : JSON.stringify(sheet));
  const job: CheckJob = {
    shot: "hive_010",
    folder: "/film/hive_010",
    frames: numbers.map((n) => ({ frame: frameNumber(n), file: `hive_010_${n}.jpg`, modified: null, source: null })),
    sheetText: text,
    sheetFile: text === null ? null : "holdfast-sheet.json",
    sheetSha256: null,
    bandPx: null,
    analysisWidth,
    warnings: [{ code: "frame-gap", detail: "no frame 7" }],
  };
  const headers = new Map<FrameHeader["frame"], FrameHeader>();
  const failures = new Map<FrameHeader["frame"], string>();
  for (const n of numbers) {
    const size = frames[n];
    const frame = frameNumber(n);
    if (size === null) failures.set(frame, `hive_010_${n}.jpg is empty`);
    else headers.set(frame, { frame, width: size[0], height: size[1], exifTime: times[n] ?? null, note: null });
  }
  return setUpShot(job, headers, failures);
}

const accepted = (shot: Shot): ShotSetup => {
  const result = setUp(shot);
  if (!("setup" in result)) throw new Error(JSON.stringify(result));
  return result.setup;
};

const large = [1280, 720] as const;
const small = [640, 360] as const;

const sheetWith = (part: Readonly<Record<string, unknown>>) => ({
  format: "holdfast-sheet",
  version: 1,
  shot: { name: "hive_010" },
  parts: [
    {
      id: "cuff",
      name: "Cuff",
      kind: "costume",
      outlines: [
        {
          frame: 1,
          points: [
            [10, 10],
            [60, 10],
            [60, 60],
          ],
        },
      ],
      ...part,
    },
  ],
});

test("the shot has the size that most frames have; the others are left out, each with a warning", () => {
  const setup = accepted({ frames: { 1: small, 2: large, 3: large, 4: large, 5: small } });
  expect([setup.width, setup.height]).toEqual([1280, 720]);
  expect(setup.files.map((file) => file.frame)).toEqual([2, 3, 4]);
  const sizes = setup.warnings.filter((warning) => warning.code === "frame-size");
  expect(sizes.map((warning) => warning.frame)).toEqual([1, 5]);
  expect(sizes[0].detail).toBe("hive_010_1.jpg: 640 x 360 px, while the shot is 1280 x 720 px; left out");
});

test("where two sizes are as common the first frame's is the shot's", () => {
  expect(accepted({ frames: { 1: small, 2: large, 3: large, 4: small } }).width).toBe(640);
  expect(accepted({ frames: { 4: small, 2: large, 3: large, 1: small } }).width).toBe(640);
});

test("a frame on its side has another size", () => {
  const setup = accepted({ frames: { 1: large, 2: [720, 1280], 3: large } });
  expect(setup.files.map((file) => file.frame)).toEqual([1, 3]);
});

test("frames come in the order of their numbers, and what was found while listing is told first", () => {
  const setup = accepted({ frames: { 12: large, 3: large, 100: large } });
  expect(setup.files.map((file) => file.frame)).toEqual([3, 12, 100]);
  expect(setup.warnings[0]).toMatchObject({ code: "frame-gap" });
});

test("a frame whose header can't be read is left out with its reason", () => {
  const setup = accepted({ frames: { 1: large, 2: null, 3: large } });
  expect(setup.files.map((file) => file.frame)).toEqual([1, 3]);
  expect(setup.warnings).toContainEqual({ code: "frame-unreadable", detail: "hive_010_2.jpg is empty", frame: 2 });
});

test("without a readable frame there is nothing to check, and every reason is told", () => {
  const result = setUp({ frames: { 1: null, 2: null } });
  expect(result).toEqual({
    nothing: "No frame of /film/hive_010 could be read.\nhive_010_1.jpg is empty\nhive_010_2.jpg is empty",
  });
});

test("one frame is no shot", () => {
  for (const frames of [{ 1: large }, { 1: large, 2: null }, { 1: large, 2: small }] as Shot["frames"][]) {
    const result = setUp({ frames });
    expect(result).toHaveProperty("nothing");
    expect((result as { nothing: string }).nothing).toContain("hive_010_1.jpg");
    expect((result as { nothing: string }).nothing).toContain("needs at least two");
  }
});

test("a sheet with a fault refuses the whole, quoting it", () => {
  const frames = { 1: large, 2: large };
  const refusals = (shot: Partial<Shot>): string => {
    const result = setUp({ frames, ...shot });
    expect(result).toHaveProperty("refusals");
    return (result as { refusals: readonly string[] }).refusals.join("\n");
  };
  expect(refusals({ sheetText: "{" })).toContain("holdfast-sheet.json");
  const text = refusals({
    sheet: sheetWith({
      outlines: [
        {
          frame: 1,
          points: [
            [1, 1],
            [2, 2],
          ],
        },
      ],
    }),
  });
  expect(text).toContain("cuff");
  expect(text).toContain("2 points");
  expect(refusals({ sheet: sheetWith({ intents: [{ from: 1, to: 9, intent: "holds" }] }) })).toContain("9");
});

test("a sheet is judged against the size and the frames that the folder has, read or not", () => {
  const sheet = sheetWith({ intents: [{ from: 1, to: 3, intent: "holds" }] });
  const setup = accepted({ frames: { 1: large, 2: large, 3: null }, sheet });
  expect(setup.hasSheet).toBe(true);
  expect(setup.sheet.parts.map((part) => part.id)).toEqual(["cuff"]);
  // The part lies outside a frame of 5 x 5 px.
  expect(setUp({ frames: { 1: [5, 5], 2: [5, 5], 3: [5, 5] }, sheet })).toHaveProperty("refusals");
});

test("without a sheet the shot has its name and no parts", () => {
  const setup = accepted({ frames: { 1: large, 2: large } });
  expect(setup.hasSheet).toBe(false);
  expect(setup.sheet.parts).toEqual([]);
  expect(setup.sheet.shot.name).toBe("hive_010");
});

test("frames are analysed at most so wide, never larger than they are, in the same shape", () => {
  const wide = accepted({ frames: { 1: [6000, 4000], 2: [6000, 4000] } });
  expect([wide.analysisWidth, wide.analysisHeight]).toEqual([1920, 1280]);
  const narrow = accepted({ frames: { 1: large, 2: large } });
  expect([narrow.analysisWidth, narrow.analysisHeight]).toEqual([1280, 720]);
  const strip = accepted({ frames: { 1: [4000, 1], 2: [4000, 1] } });
  expect(strip.analysisHeight).toBe(1);
});

test("capture times are those of the frames that are used", () => {
  const setup = accepted({
    frames: { 1: large, 2: large, 3: small },
    times: { 1: "2026-03-02T10:14:07", 2: "2026-03-02T10:16:07", 3: "2026-03-02T10:18:07" },
  });
  expect(setup.times.times.map((time) => [time.frame, time.clock])).toEqual([
    [1, 0],
    [2, 120],
  ]);
});
