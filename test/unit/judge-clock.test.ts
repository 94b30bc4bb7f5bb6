import { expect, test } from "vitest";
import { flagSchema } from "../../src/model/report.ts";
import { frameNumber } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { box, framesOf, holdOf, judge, numbers, partOf, type Path, shot, sliding, still } from "./judge-series.ts";

const outline = box(400, 200, 430, 320);
const arm = partOf("arm-left", "Left arm");
const head = partOf("head", "Head", "head");
const HOUR = 3600;

/** Two minutes a frame, and breaks of so many seconds before these frames. */
const shooting =
  (breaks: Readonly<Record<number, number>>) =>
  (frame: number): number =>
    120 * frame + Object.entries(breaks).reduce((sum, [at, long]) => sum + (frame >= Number(at) ? long : 0), 0);

function armOver(seed: number, n: number, path: Path, clock: ((frame: number) => number) | null) {
  const random = createRandom(0x636c, seed);
  const frames = numbers(1, n);
  const rows = framesOf(random, frames, clock === null ? {} : { clock });
  const holds = [
    holdOf(random, arm, outline, frames, [path]),
    holdOf(random, head, box(500, 100, 580, 190), frames, [still]),
  ];
  return shot(rows, holds, { pxPerMm: 4 });
}

test("a night and a lunch are found from the capture times, and what moved over them is told", () => {
  const overnight = sliding([0, 1], (frame) => (frame >= 15 ? 0.4 : 0));
  const { breaks } = judge(armOver(1, 24, overnight, shooting({ 9: 50 * 60, 15: 14 * HOUR + 8 * 60 })));
  expect(breaks?.map(({ from, to }) => [from, to])).toEqual([
    [8, 9],
    [14, 15],
  ]);
  const [lunch, night] = breaks ?? [];
  expect(lunch.message).toBe(
    "Over a lunch-length break of 52 min, between frames 8 and 9: nothing that was held moved by more than 0.05 px.",
  );
  expect(night.message).toMatch(
    /^Overnight, 14 h 10 min, between frames 14 and 15: the left arm moved 0\.\d\d ± 0\.\d\d px .* the camera and head did not\.$/,
  );
  expect(night.minutes).toBeCloseTo(850, 6);
  const moved = night.moved.find(({ part }) => part === "arm-left");
  expect(moved?.real).toBe(true);
  expect(Math.abs((moved?.px ?? 0) - 0.4)).toBeLessThan(0.04);
  expect(Math.abs((moved?.mm ?? 0) - 0.1)).toBeLessThan(0.01);
});

test("a part's own trend is not what moved overnight; what crept by the clock while nobody worked is", () => {
  const clock = shooting({ 13: 12 * HOUR });
  const byFrames = sliding([0, 1], (frame) => 0.03 * frame);
  const byClock = sliding([0, 1], (frame) => (0.03 * clock(frame)) / 3600);
  for (let seed = 0; seed < 10; seed++) {
    const still = judge(armOver(seed, 24, byFrames, clock)).breaks?.[0].moved.find(({ part }) => part === "arm-left");
    expect(still?.real).toBe(false);
    expect(still?.px).toBeLessThan(5 * (still?.sigma ?? 0));
    const crept = judge(armOver(seed, 24, byClock, clock)).breaks?.[0].moved.find(({ part }) => part === "arm-left");
    expect(crept?.real).toBe(true);
    expect(Math.abs((crept?.px ?? 0) - 0.36)).toBeLessThan(0.06);
  }
});

test("in a shot that stands still nothing moved overnight, in 300 nights", () => {
  let told = 0;
  for (let seed = 0; seed < 300; seed++) {
    const { breaks } = judge(armOver(seed, 16, still, shooting({ 9: 13 * HOUR })));
    told += breaks?.[0].moved.filter(({ real }) => real).length ?? 0;
  }
  expect(told).toBeLessThanOrEqual(1);
});

test("an even pace has no break, however slow; a mark makes one where there are no times", () => {
  expect(judge(armOver(1, 24, still, (frame) => 2400 * frame)).breaks).toBeUndefined();
  expect(judge(armOver(1, 24, still, (frame) => 2400 * frame + (frame % 3) * 600)).breaks).toBeUndefined();
  const marked = { ...armOver(1, 24, still, null), marks: [{ frame: frameNumber(13), kind: "break", part: null }] };
  const { breaks } = judge(marked);
  expect(breaks?.map(({ from, to, minutes }) => [from, to, minutes])).toEqual([[12, 13, null]]);
});

test("drift a minute has an uncertainty, and the truth lies within it", () => {
  const sag = sliding([0, 1], (frame) => 0.04 * (frame - 1));
  let inside = 0;
  for (let seed = 0; seed < 40; seed++) {
    const [flag] = judge(armOver(seed, 24, sag, shooting({}))).flags;
    expect(flag.kind).toBe("sag");
    const { perMinutePx, perMinuteSigma } = flag;
    expect(perMinuteSigma).toBeGreaterThan(0);
    expect(perMinuteSigma).toBeLessThan(0.003);
    if (Math.abs((perMinutePx ?? 0) - 0.02) < 2 * (perMinuteSigma ?? 0)) inside++;
    expect(flagSchema.parse(JSON.parse(JSON.stringify(flag)))).toEqual(flag);
  }
  expect(inside).toBeGreaterThanOrEqual(34);
});

test("a steady sag says at which frame and in how many minutes it passes the next sizes", () => {
  const sag = sliding([0, 1], (frame) => 0.03 * (frame - 1));
  let inside = 0;
  for (let seed = 0; seed < 30; seed++) {
    const { forecast } = judge(armOver(seed, 24, sag, shooting({}))).flags[0];
    expect(forecast?.law).toBe("linear");
    const [one] = forecast?.crossings ?? [];
    expect(one.px).toBe(1);
    // 1 px is passed 33.33 frames after the first one, at two minutes a frame.
    expect(Math.abs((one.frame ?? 0) - 34.3)).toBeLessThan(1.5);
    expect(Math.abs((one.minutes ?? 0) - 20.7)).toBeLessThan(3);
    if ((one.frameFrom ?? 99) <= 34.34 && (one.frameTo ?? 99) >= 34.34) inside++;
  }
  expect(inside).toBeGreaterThanOrEqual(26);
});

test("a drift that has come to rest says so instead of when it will go on", () => {
  const settles = sliding([0, 1], (frame) => 0.7 * (1 - Math.exp(-(frame - 1) / 4)));
  for (let seed = 0; seed < 10; seed++) {
    const { forecast } = judge(armOver(seed, 36, settles, null)).flags[0];
    expect(forecast?.crossings).toEqual([]);
    expect(forecast?.reason).toMatch(/come to rest|whether it goes on|farther ahead/);
  }
});

test("a drift that is real and within its band is watched, with the frame at which it leaves the band", () => {
  const slow = sliding([0, 1], (frame) => 0.01 * (frame - 1));
  const { flags, watched } = judge(armOver(3, 24, slow, null));
  expect(flags).toEqual([]);
  expect(watched?.map(({ part, bandPx }) => [part, bandPx])).toEqual([["arm-left", 0.3]]);
  const [crossing] = watched?.[0].forecast.crossings ?? [];
  expect(crossing.px).toBe(0.3);
  expect(Math.abs((crossing.frame ?? 0) - 31)).toBeLessThan(3);
  expect(crossing.minutes).toBeNull();
});
