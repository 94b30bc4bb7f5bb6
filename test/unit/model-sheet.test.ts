import * as fc from "fast-check";
import { expect, test, vi } from "vitest";
import {
  createPart,
  createSheet,
  intentNames,
  type Outline,
  type Part,
  parseSheet,
  partKinds,
  type Sheet,
  serialiseSheet,
} from "../../src/model/index.ts";
import { degrees, frameNumber, grams, px } from "../../src/units/index.ts";

const shotFrames = Array.from({ length: 24 }, (_, i) => frameNumber(i + 1));
const context = { frames: shotFrames, width: 1280, height: 720 };
const anywhere = { frames: [], width: null, height: null };
const square = [
  [100, 100],
  [200, 100],
  [200, 200],
  [100, 200],
];

type Raw = Record<string, unknown>;
const rawPart = (id: string, more: Raw = {}): Raw => ({
  id,
  name: id,
  kind: "limb",
  outlines: [{ frame: 1, points: square }],
  ...more,
});
const rawSheet = (parts: readonly unknown[], more: Raw = {}): Raw => ({
  format: "holdfast-sheet",
  version: 1,
  shot: { name: "hive_010" },
  parts,
  ...more,
});

const refusalsOf = (raw: unknown, where: Parameters<typeof parseSheet>[2] = context): readonly string[] => {
  const result = parseSheet(typeof raw === "string" ? raw : JSON.stringify(raw), "hive_010.json", where);
  return "refusals" in result ? result.refusals : [];
};
const accepted = (raw: unknown, where: Parameters<typeof parseSheet>[2] = context) => {
  const result = parseSheet(typeof raw === "string" ? raw : JSON.stringify(raw), "hive_010.json", where);
  if ("refusals" in result) throw new Error(result.refusals.join("\n"));
  return result;
};

test("a sheet with nothing but a name and a part gets every default", () => {
  const { sheet, warnings } = accepted(rawSheet([rawPart("arm-left")]));
  expect(warnings).toEqual([]);
  expect(sheet).toEqual({
    format: "holdfast-sheet",
    version: 1,
    shot: { name: "hive_010", fps: 24, cut: null, timecodeStart: null, pass: null },
    scale: null,
    down: [0, 1],
    downIntoPicture: 0,
    camera: [],
    marks: [],
    parts: [
      {
        id: "arm-left",
        name: "arm-left",
        kind: "limb",
        puppet: null,
        copy: null,
        carrier: null,
        outlines: [{ frame: 1, points: square, holes: [] }],
        joints: [],
        build: null,
        massGrams: null,
        pxPerMm: null,
        intoPictureDegrees: 0,
        bandPx: null,
        intents: [],
      },
    ],
  });
  expect(createSheet("hive_010", [accepted(rawSheet([rawPart("arm-left")])).sheet.parts[0]])).toEqual(sheet);
});

test("a sheet with every field is read as it stands, its lists in the order of their frames", () => {
  const { sheet } = accepted(
    rawSheet(
      [
        rawPart("torso", { kind: "body" }),
        rawPart("arm-left", {
          puppet: "oda",
          copy: "B",
          carrier: "torso",
          outlines: [
            { frame: 12, points: square, holes: [] },
            {
              frame: 1,
              points: square,
              holes: [
                [
                  [120, 120],
                  [130, 120],
                  [130, 130],
                ],
              ],
            },
          ],
          joints: [{ id: "shoulder-left", name: "Left shoulder", frame: 1, at: [105, 98] }],
          build: "ball",
          massGrams: 21,
          pxPerMm: 4,
          intoPictureDegrees: -12.5,
          bandPx: 0.3,
          intents: [
            { from: 9, to: 24, intent: "swapped", wears: "mouth-3" },
            { from: 1, to: 8, intent: "rides" },
          ],
        }),
      ],
      {
        shot: { name: "hive_010", fps: 25, cut: [9, 20], timecodeStart: "01:00:00:00", pass: "beauty" },
        scale: { pxPerMm: 4.2 },
        down: [3, 4],
        downIntoPicture: 10,
        camera: [{ from: 1, to: 24, intent: "holds" }],
        marks: [
          { frame: 17, kind: "reset", part: null, note: "elbow re-tightened" },
          { frame: 3, kind: "break", part: "torso" },
        ],
      },
    ),
  );
  expect(sheet.down).toEqual([0.6, 0.8]);
  expect(sheet.scale).toEqual({ pxPerMm: 4.2 });
  expect(sheet.marks.map(({ frame, part, note }) => [frame, part, note])).toEqual([
    [3, "torso", ""],
    [17, null, "elbow re-tightened"],
  ]);
  const arm = sheet.parts[1];
  expect(arm.outlines.map(({ frame }) => frame)).toEqual([1, 12]);
  expect(arm.intents.map(({ from, wears }) => [from, wears])).toEqual([
    [1, null],
    [9, "mouth-3"],
  ]);
  expect(arm.massGrams).toBe(21);
});

test.each([
  ["", "hive_010.json is empty"],
  ["{", 'hive_010.json is not JSON: at line 1, column 2 the file ends where a key in "quotes" or } should be'],
  ['{\n "a": NaN}', 'hive_010.json is not JSON: at line 2, column 7 there is "NaN" where a value should be'],
  ['{\n "a": [1,\n-Infinity]}', 'hive_010.json is not JSON: at line 3, column 1 there is "-" where a value should be'],
  ['{"a": 1,}', 'hive_010.json is not JSON: at line 1, column 9 there is "}" where a key in "quotes" should be'],
  ["[1 2]", 'hive_010.json is not JSON: at line 1, column 4 there is "2" where a comma or ] should be'],
  ['{"a" 1}', 'hive_010.json is not JSON: at line 1, column 6 there is "1" where a colon should be'],
  ['{"a": 01}', 'hive_010.json is not JSON: at line 1, column 8 there is "1" where a comma or } should be'],
  [
    '{"a": "\\x"}',
    'hive_010.json is not JSON: at line 1, column 8 there is "\\\\" where the rest of a text in quotes should be',
  ],
  ["{} {}", 'hive_010.json is not JSON: at line 1, column 4 there is "{" where the end of the file should be'],
  ["[1, 2]", "hive_010.json is a list of 2, not a holdfast-sheet"],
  ["null", "hive_010.json is null, not a holdfast-sheet"],
  ["{}", 'hive_010.json is not a holdfast-sheet: it has no "format"'],
  ['{"format": "holdfast-report"}', 'hive_010.json is not a holdfast-sheet: its format is "holdfast-report"'],
  ['{"format": "holdfast-sheet"}', 'hive_010.json has no "version"'],
  [
    '{"format": "holdfast-sheet", "version": "1"}',
    'hive_010.json has version "1", which is no version of holdfast-sheet',
  ],
  [
    '{"format": "holdfast-sheet", "version": 3, "parts": 7}',
    "hive_010.json is holdfast-sheet version 3; this Holdfast reads up to 1",
  ],
])("%j is refused with one sentence", (text, sentence) => {
  expect(refusalsOf(text)).toEqual([sentence]);
});

test("a byte order mark is no fault", () => {
  expect(refusalsOf(`\uFEFF${JSON.stringify(rawSheet([rawPart("cuff")]))}`)).toEqual([]);
});

const cuff = (more: Raw) => rawSheet([rawPart("cuff", more)]);
const outlines = (...points: unknown[]) =>
  cuff({ outlines: points.map((ring, i) => ({ frame: i + 1, points: ring })) });
const intents = (...list: Raw[]) => cuff({ intents: list });
const shot = (more: Raw) => rawSheet([rawPart("cuff")], { shot: { name: "hive_010", ...more } });

test.each<[string, unknown, string]>([
  ["no parts", { format: "holdfast-sheet", version: 1, shot: { name: "a" } }, 'the sheet has no "parts"'],
  [
    "a misspelt required key",
    { ...rawSheet([]), parts: undefined, prats: [] },
    'the sheet has no "parts"; there is "prats", perhaps misspelt',
  ],
  ["no shot name", shot({ name: undefined }), 'shot has no "name"'],
  [
    "a blank id",
    rawSheet([rawPart(" ", { name: "Cuff" })]),
    `part 1: id is " ", needs at least one character that isn't a space`,
  ],
  ["no kind", cuff({ kind: undefined }), `part 'cuff' has no "kind"`],
  [
    "an unknown kind",
    cuff({ kind: "sleeve" }),
    `part 'cuff': kind is "sleeve", needs one of ${partKinds.join(", ")}, found`,
  ],
  ["no outline", cuff({ outlines: [] }), "part 'cuff' has 0 outlines, needs at least 1"],
  [
    "an outline with 2 points",
    outlines(square, [
      [1, 2],
      [3, 4],
    ]),
    "part 'cuff': outline 2 has 2 points, needs at least 3",
  ],
  [
    "a coordinate of 1e308",
    outlines([
      [1, 2],
      [30, 4],
      [1e308, 40],
    ]),
    "part 'cuff': outline 1: point 3: x is 1e+308, needs 1000000 or less",
  ],
  [
    "a coordinate that is no number",
    outlines([
      [1, 2],
      [30, "4"],
      [9, 9],
    ]),
    `part 'cuff': outline 1: point 2: y is "4", needs a number`,
  ],
  [
    "a NaN that was written as null",
    outlines([
      [1, 2],
      [30, null],
      [9, 9],
    ]),
    "part 'cuff': outline 1: point 2: y is null, needs a number",
  ],
  [
    "a point with three numbers",
    outlines([
      [1, 2, 3],
      [30, 4],
      [9, 9],
    ]),
    "part 'cuff': outline 1: point 1 has 3 numbers, needs 2",
  ],
  [
    "an outline without area",
    outlines([
      [10, 10],
      [20, 20],
      [30, 30],
    ]),
    "part 'cuff': outline 1 has no area: its 3 points, from (10, 10) on, enclose nothing",
  ],
  [
    "an outline that retraces itself",
    outlines([
      [10, 10],
      [20, 20],
      [30, 10],
      [20, 20],
    ]),
    "part 'cuff': outline 1 has no area: its 4 points, from (10, 10) on, enclose nothing",
  ],
  [
    "a hole without area",
    cuff({
      outlines: [
        {
          frame: 1,
          points: square,
          holes: [
            [
              [1, 1],
              [1, 1],
              [1, 1],
            ],
          ],
        },
      ],
    }),
    "part 'cuff': outline 1: hole 1 has no area: its 3 points, from (1, 1) on, enclose nothing",
  ],
  [
    "two outlines at one frame",
    cuff({
      outlines: [
        { frame: 3, points: square },
        { frame: 3, points: square },
      ],
    }),
    "part 'cuff': outline 2 is at frame 3, where outline 1 is already",
  ],
  [
    "overlapping intents",
    intents({ from: 1, to: 12, intent: "holds" }, { from: 10, to: 24, intent: "moves" }),
    "part 'cuff': intent 1 (holds, 1 to 12) and intent 2 (moves, 10 to 24) overlap at frames 10 to 12",
  ],
  [
    "intents that share one frame, in any order",
    intents({ from: 12, to: 24, intent: "moves" }, { from: 1, to: 12, intent: "holds" }),
    "part 'cuff': intent 1 (moves, 12 to 24) and intent 2 (holds, 1 to 12) overlap at frame 12",
  ],
  [
    "an intent that runs backwards",
    intents({ from: 9, to: 8, intent: "holds" }),
    "part 'cuff': intent 1 (holds, 9 to 8) ends before it begins",
  ],
  [
    "an intent past the last frame",
    intents({ from: 1, to: 25, intent: "holds" }),
    "part 'cuff': intent 1 (holds) is from frame 1 to 25, outside the shot, which has frames 1 to 24",
  ],
  [
    "an unknown intent",
    intents({ from: 1, to: 2, intent: "hold" }),
    `part 'cuff': intent 1: intent is "hold", needs one of ${intentNames.join(", ")}`,
  ],
  [
    "swapped without a piece",
    intents({ from: 1, to: 2, intent: "swapped" }),
    `part 'cuff': intent 1 (swapped, 1 to 2) has no "wears", the id of the piece that is worn`,
  ],
  [
    "a piece on what isn't swapped",
    intents({ from: 1, to: 2, intent: "holds", wears: "mouth-3" }),
    "part 'cuff': intent 1 (holds, 1 to 2) wears 'mouth-3', which only a swapped part can",
  ],
  [
    "riding on nothing",
    intents({ from: 1, to: 2, intent: "rides" }),
    "part 'cuff': intent 1 (rides, 1 to 2) has nothing to ride on: the part has no carrier",
  ],
  [
    "an outline outside the shot",
    cuff({ outlines: [{ frame: 30, points: square }] }),
    "part 'cuff': outline 1 is at frame 30, outside the shot, which has frames 1 to 24",
  ],
  [
    "a joint outside the shot",
    cuff({ joints: [{ id: "wrist", name: "Wrist", frame: 0, at: [1, 2] }] }),
    "part 'cuff': joint 1 is at frame 0, outside the shot, which has frames 1 to 24",
  ],
  [
    "a mark outside the shot",
    rawSheet([rawPart("cuff")], { marks: [{ frame: 99, kind: "reset" }] }),
    "mark 1 is at frame 99, outside the shot, which has frames 1 to 24",
  ],
  [
    "a mark for a part that isn't there",
    rawSheet([rawPart("cuff")], { marks: [{ frame: 9, kind: "reset", part: "collar" }] }),
    "mark 1 (reset, frame 9) is for 'collar', which is no part of this sheet",
  ],
  [
    "half a frame",
    cuff({ outlines: [{ frame: 1.5, points: square }] }),
    "part 'cuff': outline 1: frame is 1.5, needs a whole number",
  ],
  [
    "a frame below zero",
    cuff({ outlines: [{ frame: -1, points: square }] }),
    "part 'cuff': outline 1: frame is -1, needs 0 or more",
  ],
  [
    "two parts of one id",
    rawSheet([rawPart("cuff"), rawPart("cuff")]),
    "part 2 has the id 'cuff', which part 1 has already; every part needs its own",
  ],
  [
    "two joints of one id",
    rawSheet(
      ["arm", "hand"].map((id) => rawPart(id, { joints: [{ id: "wrist", name: "Wrist", frame: 1, at: [1, 2] }] })),
    ),
    "part 'hand': joint 1 has the id 'wrist', which part 'arm': joint 1 has already; every joint needs its own",
  ],
  [
    "an unknown carrier",
    cuff({ carrier: "sleeve" }),
    "part 'cuff' has the carrier 'sleeve', which is no part of this sheet",
  ],
  ["a part that carries itself", cuff({ carrier: "cuff" }), "carriers run in a loop: cuff -> cuff"],
  [
    "a loop of carriers",
    rawSheet([
      rawPart("glove", { carrier: "b" }),
      rawPart("a", { carrier: "c" }),
      rawPart("b", { carrier: "a" }),
      rawPart("c", { carrier: "b" }),
    ]),
    "carriers run in a loop: b -> a -> c -> b",
  ],
  [
    "a part outside the picture",
    outlines([
      [1300, 10],
      [1400, 10],
      [1400, 90],
    ]),
    "part 'cuff' lies wholly outside the picture of 1280 x 720 px: its first point is at (1300, 10)",
  ],
  [
    "a part past a corner of the picture, its bounds inside",
    outlines([
      [1270, 800],
      [1400, 600],
      [1400, 800],
    ]),
    "part 'cuff' lies wholly outside the picture of 1280 x 720 px: its first point is at (1270, 800)",
  ],
  [
    "overlapping camera intents",
    rawSheet([rawPart("cuff")], {
      camera: [
        { from: 1, to: 9, intent: "holds" },
        { from: 5, to: 20, intent: "moves" },
      ],
    }),
    "camera intent 1 (holds, 1 to 9) and camera intent 2 (moves, 5 to 20) overlap at frames 5 to 9",
  ],
  [
    "an intent that cameras don't have",
    rawSheet([rawPart("cuff")], { camera: [{ from: 1, to: 9, intent: "rides" }] }),
    'camera intent 1: intent is "rides", needs one of holds, moves',
  ],
  ["0 frames a second", shot({ fps: 0 }), "shot: fps is 0, needs 1 or more"],
  ["1000 frames a second", shot({ fps: 1000 }), "shot: fps is 1000, needs 120 or less"],
  [
    "drop-frame where there is none",
    shot({ timecodeStart: "01:00:13;23" }),
    'shot: timecodeStart is "01:00:13;23", which is no timecode at 24 frames a second',
  ],
  [
    "a frame too many in a timecode",
    shot({ fps: 24, timecodeStart: "01:00:00:24" }),
    'shot: timecodeStart is "01:00:00:24", which is no timecode at 24 frames a second',
  ],
  [
    "a cut outside the shot",
    shot({ cut: [9, 40] }),
    "shot: cut is from frame 9 to 40, outside the shot, which has frames 1 to 24",
  ],
  ["a cut that runs backwards", shot({ cut: [9, 3] }), "shot: cut (9 to 3) ends before it begins"],
  ["half a cut", shot({ cut: [9] }), "shot: cut has 1 number, needs 2"],
  ["down that points nowhere", rawSheet([rawPart("cuff")], { down: [0, 0] }), "down is (0, 0), which points nowhere"],
  [
    "a negative scale",
    rawSheet([rawPart("cuff")], { scale: { pxPerMm: -4 } }),
    "scale: pxPerMm is -4, needs more than 0",
  ],
  ["weightless parts", cuff({ massGrams: 0 }), "part 'cuff': massGrams is 0, needs more than 0"],
  [
    "a tilt past the line of sight",
    cuff({ intoPictureDegrees: 91 }),
    "part 'cuff': intoPictureDegrees is 91, needs 90 or less",
  ],
])("a sheet with %s is refused: the sentence quotes it", (_, raw, sentence) => {
  expect(refusalsOf(raw)).toEqual([`hive_010.json: ${sentence}`]);
});

test("everything wrong in a sheet is told at once, also what only shows between pieces that are right", () => {
  const told = refusalsOf(
    rawSheet(
      [
        rawPart("cuff", { kind: "sleeve", carrier: "arm", intents: [{ from: 1, to: 99, intent: "holds" }] }),
        rawPart("arm", { carrier: "cuff", outlines: [{ frame: 1, points: [[1, 2]] }] }),
      ],
      { down: [0, 0], shot: { name: "hive_010", fps: "fast" } },
    ),
  );
  expect(told).toHaveLength(6);
  expect(told.join("\n")).toMatch(
    /fps is "fast"[^]*"sleeve"[^]*1 point,[^]*\(0, 0\)[^]*cuff -> arm -> cuff[^]*1 to 99/,
  );
});

test("what is merely unusual is accepted", () => {
  const bowTie = [
    [10, 10],
    [30, 30],
    [30, 10],
    [10, 30],
  ];
  expect(refusalsOf(outlines(bowTie))).toEqual([]);
  // Partly in the picture, and round the whole picture.
  expect(
    refusalsOf(
      outlines([
        [-50, -50],
        [20, -50],
        [20, 20],
      ]),
    ),
  ).toEqual([]);
  expect(
    refusalsOf(
      outlines([
        [-5000, -5000],
        [9000, -5000],
        [9000, 9000],
        [-5000, 9000],
      ]),
    ),
  ).toEqual([]);
  // It leaves the picture later on.
  expect(
    refusalsOf(
      outlines(
        square,
        square.map(([x, y]) => [x + 5000, y]),
      ),
    ),
  ).toEqual([]);
  // Frames that are missing inside the shot.
  const gappy = { ...context, frames: [1, 2, 24].map(frameNumber) };
  expect(refusalsOf(intents({ from: 3, to: 20, intent: "holds" }), gappy)).toEqual([]);
  // Nothing known of the shot.
  expect(
    refusalsOf(
      cuff({
        outlines: [
          {
            frame: 4000,
            points: [
              [9000, 9000],
              [9100, 9000],
              [9100, 9100],
            ],
          },
        ],
      }),
      anywhere,
    ),
  ).toEqual([]);
});

test("unknown keys are kept and written back; one that looks misspelt is told", () => {
  const raw = rawSheet([rawPart("cuff", { bandpx: 0.2, stitches: [1, { of: "silk" }] })], { weather: "dry" });
  const { sheet, warnings } = accepted(raw);
  expect(warnings).toEqual([
    {
      code: "sheet-key",
      detail: `hive_010.json: part 'cuff' has "bandpx", which does nothing: perhaps "bandPx" was meant`,
    },
  ]);
  expect(sheet.parts[0].bandPx).toBeNull();
  const again = JSON.parse(serialiseSheet(sheet)) as { weather: string; parts: { stitches: unknown }[] };
  expect(again.weather).toBe("dry");
  expect(again.parts[0].stitches).toEqual([1, { of: "silk" }]);
});

test("reading a sheet compiles no code, which the page's policy would refuse", async () => {
  const compile = vi.fn<() => void>();
  vi.resetModules();
  vi.stubGlobal("Function", compile);
  try {
    const fresh = await import("../../src/model/index.ts");
    expect(fresh.parseSheet(JSON.stringify(rawSheet([rawPart("cuff")])), "a.json", context)).toHaveProperty("sheet");
    expect(compile).not.toHaveBeenCalled();
  } finally {
    vi.unstubAllGlobals();
  }
});

// Arbitrary valid sheets, in the form that parseSheet gives.

const words = fc.string({ unit: "grapheme", maxLength: 12 }).filter((text) => /\S/u.test(text));
const number = fc.double({ min: -1e6, max: 1e6, noNaN: true }).map((value) => value + 0);
const positive = fc.double({ min: 1e-3, max: 1e4, noNaN: true });
const frameIn = fc.integer({ min: 1, max: 40 }).map(frameNumber);
const orNull = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: null });

const outlineArbitrary: fc.Arbitrary<Outline> = fc.record({
  frame: frameIn,
  points: fc
    .tuple(
      fc.double({ min: -9e5, max: 9e5, noNaN: true }),
      fc.double({ min: -9e5, max: 9e5, noNaN: true }),
      fc.array(fc.tuple(number, number), { maxLength: 5 }),
    )
    .map(([x, y, rest]) =>
      // A triangle of a good size first: what follows may cross it, and can't undo its area.
      [[x + 0, y + 0] as const, [x + 100, y + 1] as const, [x + 2, y + 90] as const, ...rest].map(
        ([a, b]) => [px(a), px(b)] as const,
      ),
    ),
  holes: fc.constant([]),
});

const intentsArbitrary: fc.Arbitrary<Part["intents"]> = fc
  .uniqueArray(fc.integer({ min: 1, max: 40 }), { minLength: 0, maxLength: 8 })
  .chain((cuts) => {
    const sorted = cuts.toSorted((a, b) => a - b);
    const spans = sorted.slice(1).map((to, i) => ({ from: sorted[i], to: to - 1 }));
    return fc.tuple(
      ...spans.map(({ from, to }) =>
        fc.constantFrom(...intentNames.filter((name) => name !== "rides")).map((intent) => ({
          from: frameNumber(from),
          to: frameNumber(to),
          intent,
          wears: intent === "swapped" ? "mouth-3" : null,
        })),
      ),
    );
  });

const partArbitrary: fc.Arbitrary<Part> = fc
  .record({
    name: words,
    kind: fc.constantFrom(...partKinds),
    puppet: orNull(words),
    copy: orNull(words),
    outlines: fc
      .uniqueArray(outlineArbitrary, { minLength: 1, maxLength: 3, selector: ({ frame }) => frame })
      .map((list) => list.toSorted((a, b) => a.frame - b.frame)),
    build: orNull(fc.constantFrom("ball", "wire", "other")),
    massGrams: orNull(positive.map(grams)),
    pxPerMm: orNull(positive),
    intoPictureDegrees: fc.integer({ min: -90, max: 90 }).map((value) => degrees(value + 0)),
    bandPx: orNull(positive.map(px)),
    intents: intentsArbitrary,
    joints: fc.array(
      fc.record({ id: words, name: words, frame: frameIn, at: fc.tuple(number.map(px), number.map(px)) }),
      { maxLength: 2 },
    ),
  })
  .map((fields) => createPart({ id: "set below", ...fields }));

const sheetArbitrary: fc.Arbitrary<Sheet> = fc
  .record({
    name: words,
    fps: fc.constantFrom(12, 23.976, 24, 25, 29.97, 30),
    cut: orNull(fc.constant([frameNumber(3), frameNumber(30)] as const)),
    timecodeStart: orNull(fc.constant("01:00:00:00")),
    pass: orNull(words),
    scale: orNull(fc.record({ pxPerMm: positive })),
    angle: fc.double({ min: 0, max: 6.2, noNaN: true }),
    camera: fc.constantFrom([], [{ from: frameNumber(1), to: frameNumber(40), intent: "moves" as const }]),
    parts: fc.array(partArbitrary, { maxLength: 5 }),
    carriers: fc.array(orNull(fc.nat()), { minLength: 5, maxLength: 5 }),
    marks: fc.array(
      fc.record({
        frame: frameIn,
        kind: fc.constantFrom("reset", "correction", "break", "anchor"),
        part: fc.constant(null),
        note: fc.string(),
      }),
      { maxLength: 3 },
    ),
  })
  .map(({ name, fps, cut, timecodeStart, pass, scale, angle, camera, parts, carriers, marks }) => ({
    ...createSheet(
      name,
      parts.map((part, i) => {
        // Carriers come before what they carry, so that there are no loops.
        const carrier = carriers[i];
        return {
          ...part,
          id: `part ${i}`,
          carrier: i > 0 && carrier !== null ? `part ${carrier % i}` : null,
          joints: part.joints.map((joint, k) => ({ ...joint, id: `joint ${i} ${k}` })),
        };
      }),
    ),
    shot: { name, fps, cut, timecodeStart, pass },
    scale,
    down: [px(Math.cos(angle) + 0), px(Math.sin(angle) + 0)] as const,
    camera,
    marks: marks.toSorted((a, b) => a.frame - b.frame),
  }));

test("writing any sheet and reading it again gives the same sheet", () => {
  fc.assert(
    fc.property(sheetArbitrary, (sheet) => {
      const where = { frames: [1, 40].map(frameNumber), width: null, height: null };
      expect(accepted(serialiseSheet(sheet), where)).toEqual({ sheet, warnings: [] });
    }),
    { seed: 20260302, numRuns: 150 },
  );
});

/** True where a text gives a sheet, or refusals that are all sentences beginning with the file. */
const isAnswered = (text: string): boolean => {
  const result = parseSheet(text, "any.json", context);
  if ("sheet" in result) return true;
  return result.refusals.length > 0 && result.refusals.every((refusal) => /^any\.json(:| is| has) ?\S/.test(refusal));
};

test("any text at all is read or refused with sentences, and never throws", () => {
  fc.assert(
    fc.property(
      fc.oneof(
        fc.string({ unit: "binary" }),
        fc.json(),
        // Something like JSON, so that every rule of the grammar is broken at some place.
        fc
          .array(fc.constantFrom(...'{}[],:"\\u0a1-.eE+ \n'.split(""), "true", "nul", '"format"', '"a":1'), {
            maxLength: 20,
          })
          .map((list) => list.join("")),
      ),
      (text) => {
        expect(isAnswered(text)).toBe(true);
      },
    ),
    { seed: 20260303, numRuns: 1000 },
  );
});

test("a sheet with any one value replaced by any other is read or refused, and never throws", () => {
  const whole = rawSheet(
    [
      rawPart("torso"),
      rawPart("cuff", {
        carrier: "torso",
        joints: [{ id: "wrist", name: "Wrist", frame: 2, at: [1, 2] }],
        intents: [{ from: 1, to: 9, intent: "swapped", wears: "mouth-3" }],
      }),
    ],
    {
      down: [0, 1],
      marks: [{ frame: 1, kind: "reset" }],
      camera: [{ from: 1, to: 2, intent: "holds" }],
      scale: { pxPerMm: 4 },
    },
  );
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
      fc.oneof(fc.jsonValue(), fc.constantFrom(1e308, -1, 0.5, "", "torso", [], {}, null)),
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
    { seed: 20260304, numRuns: 600 },
  );
});
