import { expect, test } from "vitest";
import type { JudgeInput } from "../../src/analysis/series.ts";
import { frameNumber } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import {
  box,
  framesOf,
  holdOf,
  judge,
  numbers,
  type Path,
  partOf,
  shot,
  sliding,
  still,
  turningAbout,
} from "./judge-series.ts";

// What a person did on purpose and marked: logged with its size, no knock, and what drifted before is still told.

const frames = numbers(1, 30);
const shoulder = [400, 210] as const;
const upper = partOf("upper-left", "Left upper arm", "limb", { build: "ball" });
const hand = partOf("hand-left", "Left hand", "hand", { carrier: "upper-left" });

const marked = (kind: string, frame: number, part: string | null = "upper-left"): JudgeInput["marks"] => [
  { kind, frame: frameNumber(frame), part },
];

function judged(seed: number, paths: readonly Path[], marks: JudgeInput["marks"], ofHand: readonly Path[] = paths) {
  const random = createRandom(seed);
  const holds = [
    holdOf(random, upper, box(400, 200, 520, 230), frames, paths),
    holdOf(random, hand, box(520, 200, 560, 230), frames, ofHand),
  ];
  return judge(shot(framesOf(random, frames), holds, { marks }));
}

const atShoulder = (angle: (frame: number) => number) => turningAbout(shoulder, angle);

test("a part that was put right at a mark is logged with its size, and nothing is flagged, the hand that rides on it neither", () => {
  for (let seed = 0; seed < 10; seed++) {
    const back = atShoulder((frame) => (frame >= 14 ? -0.005 : 0));
    const { flags, corrections } = judged(seed, [back], marked("correction", 14));
    expect(flags.map(({ message }) => message)).toEqual([]);
    expect(corrections.map(({ part, frame, kind }) => [part, frame, kind])).toEqual([["upper-left", 14, "correction"]]);
    const [{ px, sigma }] = corrections;
    // The far corner of the upper arm.
    expect(Math.abs(px! - 0.005 * Math.hypot(120, 20))).toBeLessThan(4 * sigma!);
    expect(sigma!).toBeLessThan(0.02);
    expect(corrections[0].message).toMatch(
      /^Left upper arm was put right before frame 14 by 0\.6\d ± 0\.\d\d\d? px up/,
    );
  }
});

test("a sag that was put right is told with its own px and its own frames, and the correction beside it", () => {
  for (let seed = 0; seed < 10; seed++) {
    const sag = atShoulder((frame) => 0.0005 * Math.min(frame - 1, 12));
    const back = atShoulder((frame) => (frame >= 14 ? -0.006 : 0));
    const { flags, corrections } = judged(seed, [sag, back], marked("correction", 14));
    expect(flags.map(({ kind, part }) => [kind, part])).toEqual([["sag", "upper-left"]]);
    expect(flags[0].to).toBe(13);
    expect(Math.abs(flags[0].px! - 0.006 * Math.hypot(160, 20))).toBeLessThan(0.25);
    expect(corrections).toHaveLength(1);
    expect(Math.abs(corrections[0].px! - 0.006 * Math.hypot(120, 20))).toBeLessThan(0.08);
  }
});

test("a sag that goes on after it was put right is one sag to the end", () => {
  const sag = atShoulder((frame) => 0.0004 * (frame - 1));
  const back = atShoulder((frame) => (frame >= 14 ? -0.005 : 0));
  const { flags, corrections } = judged(3, [sag, back], marked("correction", 14));
  expect(flags.map(({ kind, part, to }) => [kind, part, to])).toEqual([["sag", "upper-left", 30]]);
  expect(Math.abs(flags[0].px! - 29 * 0.0004 * Math.hypot(160, 20))).toBeLessThan(0.12);
  expect(corrections).toHaveLength(1);
});

test("a knock that was put right is a knock up to there", () => {
  const out = atShoulder((frame) => (frame >= 9 && frame < 14 ? 0.006 : 0));
  const { flags, corrections } = judged(4, [out], marked("correction", 14));
  expect(flags.map(({ kind, part, from, to }) => [kind, part, from, to])).toEqual([["knock", "upper-left", 9, 13]]);
  expect(flags[0].message).toContain("was back after frame 13");
  expect(corrections).toHaveLength(1);
});

test("a mark for everything logs each part that it moved; one of which nothing can be seen says so", () => {
  const back = sliding([0, -1], (frame) => (frame >= 14 ? 0.8 : 0));
  const { flags, corrections } = judged(5, [back], marked("correction", 14, null), [still]);
  expect(flags).toEqual([]);
  expect(corrections.map(({ part }) => part)).toEqual(["upper-left", "hand-left"]);
  expect(corrections[0].px).toBeGreaterThan(0.7);
  expect(corrections[1].message).toContain("no change can be seen");
});

test("a correction that was not marked is a knock", () => {
  const back = atShoulder((frame) => (frame >= 14 ? -0.006 : 0));
  expect(judged(6, [back], []).flags.map(({ kind, part, from }) => [kind, part, from])).toEqual([
    ["knock", "upper-left", 14],
  ]);
});

test("a knock and a later sag of one part are two flags, each with the course of its own px alone", () => {
  for (let seed = 0; seed < 8; seed++) {
    const knock = sliding([1, 0], (frame) => (frame >= 8 ? 1.5 : 0));
    const sag = atShoulder((frame) => 0.0006 * Math.max(0, frame - 12));
    const { flags } = judged(seed, [knock, sag], []);
    expect(flags.map(({ kind, part }) => `${kind} ${part}`).toSorted()).toEqual(["knock upper-left", "sag upper-left"]);
    for (const flag of flags) {
      const size = flag.kind === "knock" ? 1.5 : 18 * 0.0006 * Math.hypot(160, 20);
      expect(Math.abs(flag.px! - size)).toBeLessThan(0.12);
      const course = flag.course!;
      expect(course.map(({ frame }) => frame)).toEqual(frames);
      expect(Math.abs(course[0].px)).toBeLessThan(0.12);
      expect(Math.abs(course.at(-1)!.px - flag.px!)).toBeLessThan(0.12);
      // Neither has the other in it.
      const middle = course.find(({ frame }) => frame === 11)!;
      expect(Math.abs(middle.px - (flag.kind === "knock" ? 1.5 : 0))).toBeLessThan(0.15);
    }
  }
});

test("a part that moved beside its moved carrier has its course against the carrier, and names it", () => {
  const both = atShoulder((frame) => 0.0005 * (frame - 1));
  const own = sliding([1, 0], (frame) => (frame >= 15 ? 0.9 : 0));
  const { flags } = judged(7, [both], [], [both, own]);
  expect(flags.map(({ kind, part, besideCarrier }) => [kind, part, besideCarrier])).toEqual([
    ["sag", "upper-left", undefined],
    ["knock", "hand-left", "upper-left"],
  ]);
  const course = flags[1].course!;
  for (const { frame, px, sigma } of course)
    expect(Math.abs(px - (frame >= 15 ? 0.9 : 0))).toBeLessThan(5 * sigma! + 0.03);
});
