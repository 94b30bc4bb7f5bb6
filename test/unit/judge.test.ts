import { expect, test } from "vitest";
import { defaultBands, kinds, pxBandKeys } from "../../src/analysis/kinds/index.ts";
import type { Hold, TrackRow } from "../../src/analysis/series.ts";
import { flagKinds } from "../../src/model/index.ts";
import { flagSchema } from "../../src/model/report.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import {
  box,
  framesOf,
  type HoldOptions,
  holdOf,
  inShort,
  judge,
  numbers,
  type Path,
  partOf,
  shot,
  sliding,
  still,
  turningAbout,
} from "./judge-series.ts";

const frames = numbers(1, 24);
const arm = partOf("arm-left", "Left arm", "limb", { build: "ball" });
const outline = box(400, 200, 430, 320);

/** The left arm of Oda alone, held over 24 frames. */
function armAlone(seed: number, paths: readonly Path[], options: HoldOptions = {}, over = frames) {
  const random = createRandom(seed);
  return shot(framesOf(random, over), [holdOf(random, arm, outline, over, paths, options)]);
}

const droop = (rate: number, onset = 1): Path => sliding([0, 1], (frame) => rate * Math.max(0, frame - onset));
const jump = (size: number, at: number, direction: readonly [number, number] = [0.6, 0.8]): Path =>
  sliding(direction, (frame) => (frame >= at ? size : 0));

test("a held arm that droops 0.02 px a frame is flagged by frame 24", () => {
  for (let seed = 0; seed < 20; seed++) {
    const { flags } = judge(armAlone(seed, [droop(0.02)], { sigma: 0.015 }));
    expect(flags).toHaveLength(1);
    const [flag] = flags;
    expect([flag.kind, flag.part, flag.to]).toEqual(["sag", "arm-left", 24]);
    expect(flag.px).toBeGreaterThan(0.46 - 4 * (flag.sigma ?? 0));
    expect(flag.px).toBeLessThan(0.46 + 4 * (flag.sigma ?? 0));
    expect(flag.direction?.[1]).toBeGreaterThan(0.97);
    expect(flag.score).toBeGreaterThan(1);
  }
});

test("a droop of 0.01 px a frame is real in 24 frames, and told only when the band is set lower", () => {
  const input = armAlone(3, [droop(0.01)], { sigma: 0.01 });
  expect(judge(input).flags).toEqual([]);
  expect(inShort(judge({ ...input, bands: { sag: 0.1 } }))).toEqual([expect.stringMatching(/^sag arm-left [2-6]$/)]);
});

test("a part's own band holds for it, and a person's band for the shot goes before it", () => {
  const random = createRandom(5);
  const strict = partOf("arm-left", "Left arm", "limb", { bandPx: px(0.1) });
  const input = shot(framesOf(random, frames), [holdOf(random, strict, outline, frames, [droop(0.01)])]);
  expect(judge(input).flags.map(({ kind }) => kind)).toEqual(["sag"]);
  expect(judge({ ...input, bands: { sag: 0.5 } }).flags).toEqual([]);
});

test("the onset lies within 3 frames of where the true drift passes 3 reported sigma", () => {
  for (let seed = 0; seed < 120; seed++) {
    const random = createRandom(21, seed);
    const rate = random.between(0.02, 0.08);
    const onset = 1 + random.integer(10);
    const sigma = random.between(0.008, 0.02);
    const { flags } = judge(armAlone(seed, [droop(rate, onset)], { sigma }));
    if (rate * (24 - onset) < 0.4) continue;
    expect(flags.map(({ kind }) => kind)).toEqual(["sag"]);
    const reported = sigma * Math.sqrt(1.25);
    const there = frames.find((frame) => rate * (frame - onset) > 3 * reported) ?? Number.NaN;
    expect(Math.abs(flags[0].from - there)).toBeLessThanOrEqual(3);
  }
});

test("the size of a sag is as uncertain as it says", () => {
  const scores: number[] = [];
  for (let seed = 0; seed < 200; seed++) {
    const [flag] = judge(armAlone(seed, [droop(0.05)], { sigma: 0.015, truth: 1.5 })).flags;
    scores.push(((flag.px ?? Number.NaN) - 1.15) / (flag.sigma ?? Number.NaN));
  }
  const mean = scores.reduce((sum, score) => sum + score, 0) / scores.length;
  const rms = Math.sqrt(scores.reduce((sum, score) => sum + score * score, 0) / scores.length);
  // The largest of several corners is drawn upwards a little by noise.
  expect(Math.abs(mean)).toBeLessThan(0.6);
  expect(rms).toBeGreaterThan(0.7);
  expect(rms).toBeLessThan(1.3);
});

test("creep that slows down is one sag, whatever its law", () => {
  const laws: readonly Path[] = [
    sliding([0, 1], (frame) => 2 * (1 - Math.exp(-(frame - 1) / 6))),
    sliding([0, 1], (frame) => 0.8 * Math.log(frame)),
    sliding([0, 1], (frame) => 0.4 * Math.sqrt(frame - 1)),
  ];
  const ends = [1.957, 2.542, 1.918];
  laws.forEach((law, k) => {
    for (let seed = 0; seed < 10; seed++) {
      const { flags } = judge(armAlone(seed, [law]));
      expect(flags.map(({ kind }) => kind)).toEqual(["sag"]);
      expect(Math.abs((flags[0].px ?? 0) - ends[k])).toBeLessThan(0.08);
    }
  });
});

test("a knock is told at its first frame, with its step", () => {
  for (let at = 2; at <= 23; at++) {
    const { flags } = judge(armAlone(at, [jump(0.5, at)], { sigma: 0.01 }));
    expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["knock", at, 24]]);
    expect(Math.abs((flags[0].px ?? 0) - 0.5)).toBeLessThan(0.05);
    expect(flags[0].message).toContain(`at frame ${at} and stayed there`);
  }
});

test("a knock in the last frame says that it may be a pop", () => {
  const { flags } = judge(armAlone(4, [jump(0.6, 24)]));
  expect(flags.map(({ kind, from }) => [kind, from])).toEqual([["knock", 24]]);
  expect(flags[0].message).toContain("if the next is back it is a pop");
});

test("one frame out and back is a pop, not two knocks", () => {
  for (let at = 2; at <= 23; at++) {
    const out = sliding([0.6, 0.8], (frame) => (frame === at ? 0.6 : 0));
    const { flags } = judge(armAlone(at, [out], { sigma: 0.01 }));
    if (at === 2) {
      // With the anchor right before it nothing but the next frames can tell; they do.
      expect(flags.map(({ kind }) => kind)).toEqual(["pop"]);
    }
    expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["pop", at, at]]);
    expect(Math.abs((flags[0].px ?? 0) - 0.6)).toBeLessThan(0.06);
  }
});

test("a knock that is put right later is one flag that ends there", () => {
  const out = sliding([1, 0], (frame) => (frame >= 8 && frame < 15 ? 0.7 : 0));
  const { flags } = judge(armAlone(6, [out]));
  expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["knock", 8, 14]]);
  expect(flags[0].message).toContain("was back after frame 14");
});

test("a knock in the middle of a sag is two causes and two flags", () => {
  for (let seed = 0; seed < 10; seed++) {
    const { flags } = judge(armAlone(seed, [droop(0.03), jump(0.6, 14, [1, 0])]));
    expect(flags.map(({ kind }) => kind)).toEqual(["sag", "knock"]);
    expect(flags[1].from).toBe(14);
    expect(Math.abs((flags[0].px ?? 0) - 0.69)).toBeLessThan(0.1);
    expect(Math.abs((flags[1].px ?? 0) - 0.6)).toBeLessThan(0.1);
  }
});

test("what a part does within three frames after a move is its settling and no knock", () => {
  const settling = [jump(0.5, 3)];
  expect(judge(armAlone(9, settling, { afterMove: true })).flags).toEqual([]);
  expect(inShort(judge(armAlone(9, settling)))).toEqual(["knock arm-left 3"]);
  expect(inShort(judge(armAlone(9, [jump(0.5, 5)], { afterMove: true })))).toEqual(["knock arm-left 5"]);
});

test("a part that a person put right is not told to have been knocked", () => {
  const input = armAlone(9, [jump(0.5, 12)]);
  const mark = (kind: string, part: string | null, frame = 12) => ({ frame: frameNumber(frame), kind, part });
  expect(judge({ ...input, marks: [mark("correction", "arm-left")] }).flags).toEqual([]);
  expect(judge({ ...input, marks: [mark("reset", null)] }).flags).toEqual([]);
  expect(judge({ ...input, marks: [mark("correction", "head")] }).flags).toHaveLength(1);
  expect(judge({ ...input, marks: [mark("break", null)] }).flags).toHaveLength(1);
  expect(judge({ ...input, marks: [mark("correction", "arm-left", 8)] }).flags).toHaveLength(1);
});

/** The same hold shot backwards: its last frame is the anchor and frames count down. */
function reversed(hold: Hold): Hold {
  const last = hold.rows[hold.rows.length - 1];
  const zero: TrackRow = { ...last, frame: hold.anchor, dx: px(0), dy: px(0), turn: 0 as TrackRow["turn"] };
  const rows = [zero, ...hold.rows.slice(0, -1)].map((row) => ({
    ...row,
    frame: frameNumber(25 - row.frame),
    dx: px(row.dx - last.dx),
    dy: px(row.dy - last.dy),
    turn: (row.turn - last.turn) as TrackRow["turn"],
  }));
  return { ...hold, anchor: frameNumber(1), rows: rows.toReversed() };
}

test("a sag played backwards is a spring-back of the same size", () => {
  const input = armAlone(11, [droop(0.05)]);
  const backwards = { ...input, holds: input.holds.map(reversed) };
  const [sag] = judge(input).flags;
  const [back] = judge(backwards).flags;
  expect(sag.kind).toBe("sag");
  expect(back.kind).toBe("spring-back");
  expect(Math.abs((sag.px ?? 0) - (back.px ?? 0))).toBeLessThan(0.03);
  expect(back.direction?.[1]).toBeLessThan(-0.97);
});

test("gravity's direction in the picture tells a sag from a spring-back", () => {
  const input = armAlone(11, [droop(0.05)]);
  expect(judge({ ...input, down: [0, -1] }).flags.map(({ kind }) => kind)).toEqual(["spring-back"]);
});

test("a drift to the side is said to slide, and is a sag if it lowers the part at all", () => {
  const slide = (rise: number) => sliding([0.995, rise], (frame) => 0.05 * (frame - 1));
  const lower = judge(armAlone(2, [slide(0.1)])).flags;
  const higher = judge(armAlone(2, [slide(-0.1)])).flags;
  expect(lower.map(({ kind }) => kind)).toEqual(["sag"]);
  expect(higher.map(({ kind }) => kind)).toEqual(["spring-back"]);
  for (const [flag] of [lower, higher]) expect(flag.message).toContain("slid sideways");
});

test("props, set and supports shift, at once or slowly", () => {
  for (const kind of ["prop", "set", "support"] as const) {
    const random = createRandom(14);
    const smoker = partOf("smoker", "Bee smoker", kind);
    const of = (path: Path) =>
      judge(shot(framesOf(random, frames), [holdOf(random, smoker, outline, frames, [path])])).flags;
    expect(of(jump(0.5, 9)).map(({ kind: told, from }) => [told, from])).toEqual([["set-shift", 9]]);
    expect(of(droop(0.04)).map(({ kind: told }) => told)).toEqual(["set-shift"]);
  }
});

test("a slow drift against an uneven clock is told in px a minute", () => {
  const random = createRandom(17);
  // Two minutes a frame, and an hour's lunch after frame 12: the joint creeps by the clock.
  const clock = (frame: number) => 120 * (frame - 1) + (frame > 12 ? 3600 : 0);
  const creep = sliding([0, 1], (frame) => (0.01 * clock(frame)) / 60);
  const timed = shot(framesOf(random, frames, { clock }), [holdOf(random, arm, outline, frames, [creep])]);
  const { flags } = judge(timed);
  expect(flags.map(({ kind }) => kind)).toEqual(["sag"]);
  expect(Math.abs((flags[0].perMinutePx ?? 0) - 0.01)).toBeLessThan(0.001);
  expect(judge(armAlone(1, [droop(0.05)])).flags[0].perMinutePx).toBeNull();
});

test("millimetres come from the part's scale, else from the sheet's", () => {
  const random = createRandom(19);
  const scaled = partOf("arm-left", "Left arm", "limb", { pxPerMm: 2 });
  const of = (part: typeof arm, pxPerMm: number | null) =>
    judge(shot(framesOf(random, frames), [holdOf(random, part, outline, frames, [droop(0.05)])], { pxPerMm })).flags[0];
  const own = of(scaled, 4);
  expect(own.mm).toBeCloseTo((own.px ?? 0) / 2, 9);
  const sheets = of(arm, 4);
  expect(sheets.mm).toBeCloseTo((sheets.px ?? 0) / 4, 9);
  expect(sheets.message).toContain(` (${sheets.mm?.toFixed(3)} ± `);
  expect(of(arm, null).mm).toBeNull();
});

test("frames in which a part is hidden, lost or ambiguous are passed over", () => {
  const hidden = (frame: number) => frame > 6 && frame < 12;
  const { flags } = judge(armAlone(23, [droop(0.04)], { hidden }));
  expect(flags.map(({ kind, to }) => [kind, to])).toEqual([["sag", 24]]);
  const wild = armAlone(23, [still]);
  const holds = wild.holds.map((hold) => ({
    ...hold,
    // A weave that locked a thread period away is no pop.
    rows: hold.rows.map((row) => (row.frame === 9 ? { ...row, dx: px(7), state: "ambiguous" as const } : row)),
  }));
  expect(judge({ ...wild, holds }).flags).toEqual([]);
  expect(judge(armAlone(23, [droop(0.04)], { hidden: () => true })).flags).toEqual([]);
});

test("a knock behind something is told in the first frame that shows it", () => {
  const hidden = (frame: number) => frame > 8 && frame < 13;
  const { flags } = judge(armAlone(25, [jump(0.5, 10)], { hidden }));
  expect(inShort({ flags })).toEqual(["knock arm-left 13"]);
});

test("a part whose turn could not be measured is judged by its shift", () => {
  const input = armAlone(27, [droop(0.04)]);
  const holds = input.holds.map((hold) => ({
    ...hold,
    rows: hold.rows.map((row) => {
      const [xx, xy, , yy] = row.covariance;
      return {
        ...row,
        turn: Number.NaN as TrackRow["turn"],
        covariance: [xx, xy, Number.NaN, yy, Number.NaN, Number.NaN] as const,
      };
    }),
  }));
  const { flags } = judge({ ...input, holds });
  expect(flags.map(({ kind }) => kind)).toEqual(["sag"]);
  expect(Math.abs((flags[0].px ?? 0) - 0.92)).toBeLessThan(0.06);
});

test("holds of one to five frames, moving parts and empty shots are judged without a fault", () => {
  for (let n = 1; n <= 5; n++) {
    for (let seed = 0; seed < 5; seed++) {
      expect(judge(armAlone(seed, [still], {}, numbers(1, n))).flags).toEqual([]);
      expect(judge(armAlone(seed, [still], { afterMove: true }, numbers(1, n))).flags).toEqual([]);
    }
  }
  expect(judge(armAlone(1, [droop(0.5)], { intent: "moves" })).flags).toEqual([]);
  expect(judge(shot([], [])).flags).toEqual([]);
  expect(inShort(judge(armAlone(2, [jump(3, 2)], {}, numbers(1, 2))))).toEqual(["knock arm-left 2"]);
});

test("a part that is alive is judged by its trend alone", () => {
  const breath = sliding([0, 1], (frame) => 0.5 * Math.sin(frame * 1.1));
  expect(judge(armAlone(31, [breath], { intent: "alive" })).flags).toEqual([]);
  expect(judge(armAlone(31, [breath, droop(0.15)], { intent: "alive" })).flags.map(({ kind }) => kind)).toEqual([
    "sag",
  ]);
});

test("judging frame by frame tells a sag earlier than its end, and never needs the frames to come", () => {
  const input = armAlone(33, [droop(0.05)]);
  const upTo = (last: number) => ({
    ...input,
    frames: input.frames.slice(0, last),
    holds: input.holds.map((hold) => ({ ...hold, rows: hold.rows.filter((row) => row.frame <= last) })),
  });
  const first = frames.find((last) => judge(upTo(last)).flags.length > 0);
  expect(first).toBeGreaterThanOrEqual(7);
  expect(first).toBeLessThanOrEqual(12);
  for (let last = first ?? 24; last <= 24; last++) {
    expect(judge(upTo(last)).flags.map(({ kind }) => kind)).toEqual(["sag"]);
  }
});

test("every flag is one that the report's format takes, and every kind says where its statistic comes from", () => {
  const { flags, bands, thresholds } = judge(armAlone(35, [droop(0.05), jump(0.6, 12, [1, 0])]));
  for (const flag of flags) expect(flagSchema.parse(JSON.parse(JSON.stringify(flag)))).toEqual(flag);
  expect(bands).toEqual(defaultBands);
  expect(Object.keys(thresholds)).toEqual(["sag", "spring-back", "knock", "pop", "set-shift", "camera-shift", "light"]);
  for (const kind of kinds) {
    expect(flagKinds).toContain(kind.kind);
    expect(kind.source).toMatch(/\d{4}/);
    // The same exposure is there twice or it is not: there is nothing to allow for.
    if (kind.kind !== "repeat") expect(kind.bands.length).toBeGreaterThan(0);
  }
  expect(pxBandKeys).not.toContain("light");
  expect(new Set(flags.map(({ id }) => id)).size).toBe(flags.length);
});

test("the same input gives the same judgement, in whatever order its holds come", () => {
  const random = createRandom(37);
  const head = partOf("head", "Head", "head");
  const holds = [
    holdOf(random, arm, outline, frames, [droop(0.04)]),
    holdOf(random, head, box(500, 100, 580, 190), frames, [jump(0.5, 10)]),
  ];
  const input = shot(framesOf(random, frames), holds);
  const other = { ...input, holds: holds.toReversed() };
  expect(judge(other)).toEqual(judge(input));
});

test("a turn about its own middle is seen at the edge of a part", () => {
  const twist = turningAbout([415, 260], (frame) => 0.0005 * (frame - 1));
  const { flags } = judge(armAlone(39, [twist]));
  expect(flags).toHaveLength(1);
  // Half of the diagonal of 30 x 120 px, times 23 frames of 0.0005 rad.
  expect(Math.abs((flags[0].px ?? 0) - 61.85 * 23 * 0.0005)).toBeLessThan(0.06);
  expect(flags[0].from).toBeLessThanOrEqual(5);
});

test("a knock that was caught on its way is one knock, from the frame in which it began", () => {
  const onItsWay = sliding([0, 1], (frame) => (frame < 10 ? 0 : frame === 10 ? 0.3 : 0.7));
  const { flags } = judge(armAlone(41, [onItsWay]));
  expect(flags.map(({ kind, from }) => [kind, from])).toEqual([["knock", 10]]);
  expect(Math.abs((flags[0].px ?? 0) - 0.7)).toBeLessThan(0.05);
});

test("two frames out are one knock that was put right", () => {
  const out = sliding([1, 0], (frame) => (frame === 7 || frame === 8 ? 0.8 : 0));
  const { flags } = judge(armAlone(5, [out]));
  expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["knock", 7, 8]]);
  expect(Math.abs((flags[0].px ?? 0) - 0.8)).toBeLessThan(0.05);
});

test("a joint that slips by little jerks is one sag", () => {
  const jerks = sliding([0, 1], (frame) => 0.15 * Math.floor(frame / 4));
  expect(judge(armAlone(43, [jerks])).flags.map(({ kind }) => kind)).toEqual(["sag"]);
});

test("what was knocked and springs back a little is one knock, by what stays of it", () => {
  const settles = sliding([0, 1], (frame) => (frame < 10 ? 0 : 0.5 + 0.3 * Math.exp(-(frame - 10) / 3)));
  const { flags } = judge(armAlone(45, [settles]));
  expect(flags.map(({ kind, from }) => [kind, from])).toEqual([["knock", 10]]);
  expect(Math.abs((flags[0].px ?? 0) - 0.5)).toBeLessThan(0.06);
});

test("a sag that begins late and slows down is told from its onset, to its size, lunch or no lunch", () => {
  const creep = sliding([0, 1], (frame) => (frame <= 6 ? 0 : 2.4 * (1 - Math.exp(-(frame - 6) / 17))));
  const lunch = (frame: number) => 150 * frame + (frame > 12 ? 2880 : 0);
  for (let seed = 0; seed < 20; seed++) {
    const random = createRandom(47, seed);
    const clock = seed % 2 === 0 ? lunch : () => null;
    const hold = holdOf(random, arm, outline, frames, [creep], { sigma: 0.006 });
    const { flags } = judge(shot(framesOf(random, frames, { clock }), [hold]));
    expect(flags.map(({ kind, from }) => [kind, from])).toEqual([["sag", 7]]);
    expect(Math.abs((flags[0].px ?? 0) - 1.568)).toBeLessThan(0.05);
  }
});

test("a sag that changes its pace or stops is one sag of the right size", () => {
  const paces: readonly (readonly [Path, number])[] = [
    [sliding([0, 1], (frame) => 0.3 * (frame - 1) - 0.28 * Math.max(0, frame - 6)), 1.86],
    [sliding([0, 1], (frame) => 0.08 * Math.min(8, Math.max(0, frame - 8))), 0.64],
    [sliding([0, 1], (frame) => 2 / (1 + Math.exp((12 - frame) / 2.5))), 1.98],
  ];
  for (const [path, size] of paces) {
    const { flags } = judge(armAlone(49, [path]));
    expect(flags.map(({ kind }) => kind)).toEqual(["sag"]);
    expect(Math.abs((flags[0].px ?? 0) - size)).toBeLessThan(0.08);
  }
});
