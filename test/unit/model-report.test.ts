import * as fc from "fast-check";
import { expect, test } from "vitest";
import {
  flagKindLabels,
  flagKinds,
  intentLabels,
  intentNames,
  parseReport,
  type Report,
  serialiseReport,
  trackStates,
} from "../../src/model/index.ts";
import { frameNumber, px, radians, stops } from "../../src/units/index.ts";

const frame = frameNumber;
const outline = [
  [px(412.5), px(96)],
  [px(430), px(101)],
  [px(420), px(130)],
] as const;

const report: Report = {
  format: "holdfast-report",
  version: 1,
  shot: {
    name: "hive_010",
    fps: 24,
    width: 1280,
    height: 720,
    frames: [1, 2, 3].map(frame),
    analysisWidth: 1280,
    folder: "hive_010",
  },
  made: { holdfast: "0.1.0", sheetSha256: null, bands: { sag: 0.3 }, thresholds: { sag: 4.4 } },
  parts: [
    { id: "arm-left", name: "Left arm", kind: "limb", puppet: "oda", copy: "B", build: "ball", outline },
    { id: "hand-left", name: "Left hand", kind: "hand", puppet: "oda", copy: "B", build: null, outline },
  ],
  frames: [
    {
      frame: frame(2),
      file: "hive_010_0002.jpg",
      time: "2026-03-02T10:14:07",
      lightStops: stops(0.011),
      camera: { dx: px(0.002), dy: px(-0.001), turn: radians(0.000004), scale: 1, sigma: px(0.002) },
    },
    { frame: frame(3), file: "hive_010_0003.jpg", time: null, lightStops: null, camera: null },
  ],
  tracks: [
    {
      part: "arm-left",
      frame: frame(2),
      anchor: frame(1),
      dx: px(0.01),
      dy: px(0.05),
      turn: radians(0.0004),
      sigmaDx: px(0.003),
      sigmaDy: px(0.003),
      rho: 0.1,
      sigmaTurn: radians(0.00002),
      rawDx: px(0.012),
      rawDy: px(0.049),
      crawlPx: px(0.02),
      state: "ok",
      reason: "",
      floorPx: px(0.02),
    },
  ],
  flags: [
    {
      id: "sag-arm-left-2",
      kind: "sag",
      part: "arm-left",
      from: frame(2),
      to: frame(3),
      px: px(1.93),
      mm: 0.48,
      stops: null,
      carries: ["hand-left"],
      sigma: 0.01,
      score: 12.6,
      direction: [0.12, 0.99],
      perMinutePx: px(0.05),
      joint: "shoulder-left",
      pivot: [px(404.1), px(97.2)],
      region: null,
      message: "Left arm sagged 1.93 px",
      causes: ["ball-turns"],
      fixes: ["tighten-ball-joint"],
    },
  ],
  warnings: [{ code: "frame-gap", detail: "no frame 17" }],
};

const refusalsOf = (raw: unknown): readonly string[] => {
  const result = parseReport(typeof raw === "string" ? raw : JSON.stringify(raw), "hive_010.report.json");
  return "refusals" in result ? result.refusals : [];
};
const read = (text: string): Report => {
  const result = parseReport(text, "hive_010.report.json");
  if ("refusals" in result) throw new Error(result.refusals.join("\n"));
  return result.report;
};

test("a report is written with one row a line, and read again as it was", () => {
  const text = serialiseReport(report);
  expect(read(text)).toEqual(report);
  const track = text.split("\n").find((line) => line.includes('"anchor"'));
  expect(track?.trim()).toBe(
    '{"part":"arm-left","frame":2,"anchor":1,"dx":0.01,"dy":0.05,"turn":0.0004,"sigmaDx":0.003,"sigmaDy":0.003,' +
      '"rho":0.1,"sigmaTurn":0.00002,"rawDx":0.012,"rawDy":0.049,"crawlPx":0.02,"state":"ok","reason":"","floorPx":0.02}',
  );
});

test("the order in which a report's keys were made doesn't show in the file", () => {
  const turned = (value: unknown): unknown =>
    Array.isArray(value)
      ? value.map(turned)
      : typeof value === "object" && value !== null
        ? Object.fromEntries(
            Object.entries(value)
              .toReversed()
              .map(([key, item]) => [key, turned(item)]),
          )
        : value;
  expect(serialiseReport(turned(report) as Report)).toBe(serialiseReport(report));
});

test("numbers are written to a millionth, turns finer, and what is no number as null", () => {
  const [track] = report.tracks;
  const again = read(
    serialiseReport({
      ...report,
      tracks: [
        {
          ...track,
          dx: px(0.123_456_789),
          dy: px(Number.NaN),
          turn: radians(0.000_000_123_456),
          rawDx: px(-1e-9),
          rawDy: px(Number.POSITIVE_INFINITY),
          rho: 1,
        },
      ],
      flags: [{ ...report.flags[0], pivot: [px(Number.NaN), px(3)] }],
      frames: [
        {
          ...report.frames[0],
          lightStops: stops(Number.NaN),
          camera: { dx: px(Number.NaN), dy: px(0), turn: radians(0), scale: 1, sigma: px(0) },
        },
      ],
    }),
  );
  expect(again.tracks[0]).toMatchObject({ dx: 0.123457, dy: null, turn: 1.23e-7, rawDx: 0, rawDy: null, rho: 1 });
  expect(Object.is(again.tracks[0].rawDx, 0)).toBe(true);
  expect(again.flags[0].pivot).toBeNull();
  expect(again.frames[0]).toMatchObject({ lightStops: null, camera: null });
});

test("additions to the format are kept, those known and those to come", () => {
  const text = serialiseReport({
    ...report,
    shot: { ...report.shot, timecodeStart: "01:00:00:00", cut: [frame(1), frame(2)] },
    flags: [{ ...report.flags[0], alsoJoints: ["collarbone-left"] }],
  }).replace('"warnings"', '"humidity": 0.4,\n  "warnings"');
  const again = read(text);
  expect(again.shot.timecodeStart).toBe("01:00:00:00");
  expect(again.flags[0].alsoJoints).toEqual(["collarbone-left"]);
  expect(JSON.parse(serialiseReport(again))).toMatchObject({ humidity: 0.4 });
});

test.each<[string, unknown, string]>([
  ["no JSON", "{", ' is not JSON: at line 1, column 2 the file ends where a key in "quotes" or } should be'],
  ["a sheet", { format: "holdfast-sheet", version: 1 }, ' is not a holdfast-report: its format is "holdfast-sheet"'],
  ["a later version", { ...report, version: 2 }, " is holdfast-report version 2; this Holdfast reads up to 1"],
  ["no tracks", { ...report, tracks: undefined }, ': the report has no "tracks"'],
  [
    "a flag of an unknown kind",
    { ...report, flags: [{ ...report.flags[0], kind: "wobble" }] },
    `: flag 'sag-arm-left-2': kind is "wobble", needs one of ${flagKinds.join(", ")}`,
  ],
  [
    "a track of no part",
    { ...report, tracks: [{ ...report.tracks[0], part: "leg" }] },
    ": track 1 is of 'leg', which is no part of this report",
  ],
  [
    "a track of no frame",
    { ...report, tracks: [{ ...report.tracks[0], frame: 9 }] },
    ": track 1 is for frame 9, which the shot doesn't list",
  ],
  [
    "a flag of no part",
    { ...report, flags: [{ ...report.flags[0], carries: ["leg"] }] },
    ": flag 'sag-arm-left-2' names 'leg', which is no part of this report",
  ],
  [
    "frames out of order",
    { ...report, shot: { ...report.shot, frames: [1, 3, 2] } },
    ": shot: frame number 3 is 2, not after 3",
  ],
  [
    "a frame that is none",
    { ...report, shot: { ...report.shot, frames: [1, 2, "3"] } },
    ': shot: frame number 3 is "3", needs a number',
  ],
  [
    "a sigma below zero",
    { ...report, tracks: [{ ...report.tracks[0], sigmaDx: -1 }] },
    ": track 1: sigmaDx is -1, needs 0 or more",
  ],
])("a report with %s is refused: the sentence quotes it", (_, raw, sentence) => {
  expect(refusalsOf(raw)).toEqual([`hive_010.report.json${sentence}`]);
});

test("what is wrong in every row is told fifty times and then counted", () => {
  const tracks = Array.from({ length: 80 }, () => ({ ...report.tracks[0], state: "fine" }));
  const told = refusalsOf({ ...report, tracks });
  expect(told).toHaveLength(51);
  expect(told[0]).toBe(`hive_010.report.json: track 1: state is "fine", needs one of ${trackStates.join(", ")}`);
  expect(told[50]).toBe("hive_010.report.json: and 30 more like these");
});

test("every kind and intent has its words for the screen", () => {
  for (const kind of flagKinds) expect(flagKindLabels[kind]).toMatch(/^[a-z]/);
  for (const intent of intentNames) expect(intentLabels[intent]).toMatch(/^[a-z]/);
});

// Arbitrary valid reports, their numbers as coarse as the file's.

const micro = fc.integer({ min: -1e9, max: 1e9 }).map((n) => n / 1e6 + 0);
const sigma = fc.nat(1e9).map((n) => n / 1e6);
const fine = fc.integer({ min: -1e9, max: 1e9 }).map((n) => n / 1e9 + 0);
const orNull = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: null });
const inShot = fc.constantFrom(...report.shot.frames);
const ofShot = fc.constantFrom("arm-left", "hand-left");

const trackArbitrary = fc.record({
  part: ofShot,
  frame: inShot,
  anchor: inShot,
  dx: orNull(micro.map(px)),
  dy: orNull(micro.map(px)),
  turn: orNull(fine.map(radians)),
  sigmaDx: orNull(sigma.map(px)),
  sigmaDy: orNull(sigma.map(px)),
  rho: orNull(fc.integer({ min: -1e6, max: 1e6 }).map((n) => n / 1e6 + 0)),
  sigmaTurn: orNull(fc.nat(1e9).map((n) => radians(n / 1e9))),
  rawDx: orNull(micro.map(px)),
  rawDy: orNull(micro.map(px)),
  crawlPx: orNull(sigma.map(px)),
  state: fc.constantFrom(...trackStates),
  reason: fc.string(),
  floorPx: orNull(sigma.map(px)),
});

const flagArbitrary = fc
  .record({
    id: fc.string({ minLength: 1 }).filter((text) => /\S/u.test(text)),
    kind: fc.constantFrom(...flagKinds),
    part: orNull(ofShot),
    px: orNull(sigma.map(px)),
    mm: orNull(micro),
    stops: orNull(micro.map(stops)),
    carries: fc.array(ofShot),
    sigma: orNull(sigma),
    score: sigma,
    direction: orNull(fc.tuple(micro, micro)),
    perMinutePx: orNull(micro.map(px)),
    pivot: orNull(fc.tuple(micro.map(px), micro.map(px))),
    region: orNull(fc.constant(outline)),
    message: fc.string({ unit: "binary" }),
  })
  .map((fields) => ({ ...report.flags[0], ...fields }));

test("writing any report and reading it again gives the same report", () => {
  fc.assert(
    fc.property(fc.array(trackArbitrary), fc.array(flagArbitrary), (tracks, flags) => {
      const whole = { ...report, tracks, flags };
      expect(read(serialiseReport(whole))).toEqual(whole);
    }),
    { seed: 20260310, numRuns: 150 },
  );
});

/** True where a text is refused with the file's name, or gives a report that can be written and read again. */
const isAnswered = (text: string): boolean => {
  const result = parseReport(text, "any.json");
  if ("refusals" in result) return result.refusals.every((refusal) => refusal.startsWith("any.json"));
  return "report" in parseReport(serialiseReport(result.report), "any.json");
};

test("a report with any one value replaced by any other is read or refused, and never throws", () => {
  const whole = structuredClone(report);
  const places: (readonly [object, string])[] = [];
  const walk = (value: unknown) => {
    if (typeof value !== "object" || value === null) return;
    for (const [key, item] of Object.entries(value)) {
      places.push([value, key]);
      walk(item);
    }
  };
  walk(whole);
  fc.assert(
    fc.property(
      fc.nat(places.length - 1),
      fc.oneof(fc.jsonValue(), fc.constantFrom(1e308, -1, 0.5, "", [], {}, null)),
      (place, value) => {
        const [holder, key] = places[place];
        const kept = Reflect.get(holder, key);
        Reflect.set(holder, key, value);
        try {
          expect(isAnswered(JSON.stringify(whole))).toBe(true);
        } finally {
          Reflect.set(holder, key, kept);
        }
      },
    ),
    { seed: 20260311, numRuns: 600 },
  );
});

test("any text at all is read or refused, and never throws", () => {
  fc.assert(
    fc.property(fc.oneof(fc.string({ unit: "binary" }), fc.json()), (text) => {
      expect(refusalsOf(text)[0]).toMatch(/^hive_010\.report\.json/);
    }),
    { seed: 20260312, numRuns: 1000 },
  );
});
