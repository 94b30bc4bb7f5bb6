import { expect, test } from "vitest";
import { frameNumber } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { type FrameOptions, framesOf, inShort, judge, numbers, shot } from "./judge-series.ts";

const frames = numbers(1, 24);
const judged = (seed: number, options: FrameOptions, over = frames) =>
  judge(shot(framesOf(createRandom(seed), over, options), []));

test("a camera knocked by 0.5 px is told at its frame, to 0.03 px", () => {
  for (let at = 2; at <= 24; at++) {
    const { flags } = judged(at, { camera: (frame) => (frame >= at ? { dx: 0.4, dy: 0.3 } : {}) });
    expect(flags.map(({ kind, part, from }) => [kind, part, from])).toEqual([["camera-shift", null, at]]);
    expect(Math.abs((flags[0].px ?? 0) - 0.5)).toBeLessThan(0.03);
    expect(flags[0].direction?.[0]).toBeCloseTo(0.8, 1);
  }
});

test("a camera step below 0.1 px is real and passed over, until the band is set lower", () => {
  const input = shot(framesOf(createRandom(1), frames, { camera: (frame) => (frame >= 9 ? { dy: 0.06 } : {}) }), []);
  expect(judge(input).flags).toEqual([]);
  expect(inShort(judge({ ...input, bands: { "camera-shift": 0.02 } }))).toEqual(["camera-shift 9"]);
});

test("a camera that creeps is flagged by what it did in all", () => {
  const creep = (rate: number) => judged(2, { camera: (frame) => ({ dx: rate * (frame - 1) }) }).flags;
  expect(creep(0.008)).toEqual([]);
  const [flag] = creep(0.02);
  expect(flag.kind).toBe("camera-shift");
  expect(Math.abs((flag.px ?? 0) - 0.46)).toBeLessThan(0.03);
  expect(flag.to).toBe(24);
  expect(flag.message).toContain("crept");
});

test("a camera that was out for one frame is one flag for that frame", () => {
  const { flags } = judged(3, { camera: (frame) => (frame === 11 ? { dx: 0.7 } : {}) });
  expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["camera-shift", 11, 11]]);
});

test("a camera that turned about its middle is told by its corners", () => {
  const { flags } = judged(4, { camera: (frame) => (frame >= 8 ? { turn: 0.001 } : {}) });
  expect(flags.map(({ kind, from }) => [kind, from])).toEqual([["camera-shift", 8]]);
  expect(Math.abs((flags[0].px ?? 0) - 0.001 * Math.hypot(640, 360))).toBeLessThan(0.03);
  expect(flags[0].message).toContain("in the corner");
});

test("what a camera does while it is meant to move is not judged", () => {
  const camera = (frame: number) => ({ dx: frame > 12 ? 3 * (frame - 12) : 0 });
  const input = shot(framesOf(createRandom(5), frames, { camera }), []);
  const cameraHolds = [{ from: frameNumber(1), to: frameNumber(12) }];
  expect(judge({ ...input, cameraHolds }).flags).toEqual([]);
  expect(judge(input).flags).toHaveLength(1);
});

test("frames whose camera can't be told are passed over", () => {
  const rows = framesOf(createRandom(6), frames, { camera: (frame) => (frame >= 13 ? { dx: 0.5 } : {}) });
  const some = rows.map((row) => (row.frame % 4 === 0 ? { ...row, camera: null } : row));
  expect(inShort(judge(shot(some, [])))).toEqual(["camera-shift 13"]);
  expect(
    judge(
      shot(
        rows.map((row) => ({ ...row, camera: null })),
        [],
      ),
    ).flags,
  ).toEqual([]);
});

test("ordinary flicker of 0.5 to 1 % is not flagged", () => {
  for (let seed = 0; seed < 60; seed++) {
    const flicker = 0.005 + 0.005 * (seed / 60);
    expect(judged(seed, { flicker, shapeFlicker: 0.003 }).flags).toEqual([]);
  }
});

test("even flicker, which a median deviation takes for wider than it is, hides no lamp", () => {
  const random = createRandom(41);
  for (let seed = 0; seed < 20; seed++) {
    // Uniform between -0.8 and 0.8 %: rms 0.46 %.
    const drop = (frame: number) => (frame === 15 ? -0.05 : 0) + random.between(-0.008, 0.008);
    const { flags } = judged(seed, { flicker: 0, light: drop });
    expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["light", 15, 15]]);
  }
});

test("a lamp 2 % down in one frame is found over flicker of 0.2 % rms", () => {
  const shots = 100;
  let found = 0;
  for (let seed = 0; seed < shots; seed++) {
    const random = createRandom(seed, 21);
    const at = 2 + random.integer(22);
    const light = (frame: number) => 0.0029 * random.normal() + (frame === at ? Math.log2(0.98) : 0);
    const input = shot(framesOf(random, frames, { flicker: 0, light }), []);
    const { flags } = judge({ ...input, bands: { light: 0, "light-shape": 0, "light-trend": 0 } });
    if (flags.some(({ kind, from, to }) => kind === "light" && from === at && to === at)) found++;
  }
  expect(found).toBeGreaterThanOrEqual(0.95 * shots);
});

test("a frame 5 % darker is flagged in stops", () => {
  for (const at of [1, 2, 9, 23, 24]) {
    const { flags } = judged(at, { flicker: 0.004, light: (frame) => (frame === at ? -0.05 : 0) });
    expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["light", at, at]]);
    const stops = flags[0].stops ?? Number.NaN;
    expect(Math.abs(stops - Math.log2(0.95))).toBeLessThan(4 * (flags[0].sigma ?? 0));
    expect(flags[0].px).toBeNull();
    expect(flags[0].message).toMatch(/^The light dropped \d\.\d ± 0\.\d % at frame \d+ alone\.$/);
  }
});

test("two lamps that drop alike in different frames don't hide each other", () => {
  const { flags } = judged(8, { flicker: 0.005, light: (frame) => (frame === 7 || frame === 16 ? -0.05 : 0) });
  expect(flags.map(({ from }) => from)).toEqual([7, 16]);
});

test("a lamp that drops by 5 % in one region is told from flicker of 1.2 %", () => {
  for (let seed = 0; seed < 15; seed++) {
    const lamp = (frame: number, col: number, row: number) => (frame === 9 && col >= 2 && row < 2 ? -0.05 : 0);
    const { flags } = judged(seed, { flicker: 0.012, shapeFlicker: 0.004, shape: lamp });
    expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["light", 9, 9]]);
    expect(flags[0].stops).toBeLessThan(0);
    expect(flags[0].message).toContain("a lamp, not the exposure");
    expect(flags[0].message).toContain("right");
    const xs = flags[0].region?.map(([x]) => x) ?? [];
    expect(Math.min(...xs)).toBeGreaterThanOrEqual(640);
    // The same change over the whole frame is within such flicker.
    expect(
      judged(seed, { flicker: 0.012, shapeFlicker: 0.004, light: (frame) => (frame === 9 ? -0.017 : 0) }).flags,
    ).toEqual([]);
  }
});

test("a lamp that changes both the mean and the shape is one flag", () => {
  const lamp = (frame: number, col: number) => (frame === 9 && col < 2 ? -0.1 : 0);
  const { flags } = judged(9, { flicker: 0.004, shape: lamp });
  expect(flags.map(({ kind, from }) => [kind, from])).toEqual([["light", 9]]);
  expect(flags[0].message).toContain("mostly at the left");
});

test("a change of exposure that stays is told at its frame", () => {
  const { flags } = judged(10, { light: (frame) => (frame >= 13 ? 0.05 : 0) });
  expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["light", 13, 24]]);
  expect(flags[0].message).toContain("rose");
});

test("a light that goes slowly down by more than 3 % is a trend, by 2 % it is not", () => {
  const trend = (whole: number) => judged(11, { flicker: 0.004, light: (frame) => (-whole * (frame - 1)) / 23 }).flags;
  expect(trend(0.02)).toEqual([]);
  const [flag] = trend(0.06);
  expect(flag.kind).toBe("light");
  expect(flag.to).toBe(24);
  expect(Math.abs((flag.stops ?? 0) - Math.log2(0.94))).toBeLessThan(0.03);
});

test("a constant gain changes nothing", () => {
  const rows = framesOf(createRandom(12), frames, { light: (frame) => (frame === 9 ? -0.05 : 0), flicker: 0.004 });
  const brighter = rows.map((row) => ({ ...row, lightStops: (row.lightStops + 0.3) as typeof row.lightStops }));
  const [one] = judge(shot(rows, [])).flags;
  const [other] = judge(shot(brighter, [])).flags;
  expect(other.stops).toBeCloseTo(one.stops ?? Number.NaN, 9);
  expect(other.from).toBe(one.from);
});

test("light that can't be told, and shots of a few frames, flag nothing", () => {
  const unknown = framesOf(createRandom(13), frames).map((row) => ({
    ...row,
    lightStops: Number.NaN as typeof row.lightStops,
    lightShape: [],
  }));
  expect(judge(shot(unknown, [])).flags).toEqual([]);
  for (let n = 1; n <= 5; n++) expect(judged(n, {}, numbers(1, n)).flags).toEqual([]);
});
