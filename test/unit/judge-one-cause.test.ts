import { expect, test } from "vitest";
import type { Hold } from "../../src/analysis/series.ts";
import { px } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { box, framesOf, holdOf, judge, numbers, partOf, shot, sliding, still, turningAbout } from "./judge-series.ts";

// One cause, one flag; two causes in the same frames, two flags.

const frames = numbers(1, 24);
const shoulder = [602, 301] as const;
const upper = partOf("upper-left", "Left upper arm", "limb", { carrier: "torso", build: "ball" });
const torso = partOf("torso", "Torso", "body");
const hand = partOf("hand-left", "Left hand", "hand", { carrier: "upper-left" });
const smoker = partOf("smoker", "Smoker", "prop", { carrier: "hand-left" });
const sleeve = partOf("sleeve", "Left sleeve", "costume", { carrier: "upper-left" });
const jar = partOf("jar", "Honey jar", "prop");
const joints = [{ id: "shoulder-left", name: "Left shoulder", at: [600, 300] as const }];
const sag = turningAbout(shoulder, (frame) => 0.0006 * (frame - 1));
const told = (flags: ReturnType<typeof judge>["flags"]) => flags.map(({ kind, part }) => `${kind} ${part}`).toSorted();

test("a prop in the hand, a sleeve and a hand that follow a sagging arm are that arm's one flag", () => {
  for (let seed = 0; seed < 10; seed++) {
    const random = createRandom(seed);
    const holds = [
      holdOf(random, torso, box(540, 280, 620, 480), frames, [still]),
      holdOf(random, upper, box(600, 290, 700, 320), frames, [sag], { joints }),
      holdOf(random, sleeve, box(610, 285, 690, 325), frames, [sag]),
      holdOf(random, hand, box(700, 290, 740, 320), frames, [sag]),
      holdOf(random, smoker, box(735, 280, 780, 330), frames, [sag]),
    ];
    const { flags } = judge(shot(framesOf(random, frames), holds));
    expect(told(flags)).toEqual(["sag upper-left"]);
    expect([...flags[0].carries].toSorted()).toEqual(["hand-left", "sleeve", "smoker"]);
    // Within 5 % of the limb: 180 px from shoulder to the far end of the smoker, a sag of 2.5 px.
    expect(Math.hypot(flags[0].pivot![0] - shoulder[0], flags[0].pivot![1] - shoulder[1])).toBeLessThan(0.05 * 180);
  }
});

test("the pivot lies within 5 % of the limb for a sag of 1 px", () => {
  const errors: number[] = [];
  for (let seed = 0; seed < 40; seed++) {
    const random = createRandom(seed, 2);
    const little = turningAbout(shoulder, (frame) => ((1 / Math.hypot(138, 19)) * (frame - 1)) / 23);
    const holds = [
      holdOf(random, upper, box(600, 290, 700, 320), frames, [little], { joints }),
      holdOf(random, hand, box(700, 290, 740, 320), frames, [little]),
    ];
    const { flags } = judge(shot(framesOf(random, frames), holds));
    expect(told(flags)).toEqual(["sag upper-left"]);
    expect(flags[0].joint).toBe("shoulder-left");
    errors.push(Math.hypot(flags[0].pivot![0] - shoulder[0], flags[0].pivot![1] - shoulder[1]));
  }
  errors.sort((a, b) => a - b);
  expect(errors[20]).toBeLessThan(0.05 * 140);
});

test("an arm that sags and a jar that is nudged in the same frames are two flags, with a knocked camera three", () => {
  for (let seed = 0; seed < 10; seed++) {
    const random = createRandom(seed, 3);
    const nudge = sliding([1, 0], (frame) => (frame >= 12 ? 0.9 : 0));
    const holds = [
      holdOf(random, upper, box(600, 290, 700, 320), frames, [sag], { joints }),
      holdOf(random, jar, box(200, 400, 280, 500), frames, [nudge]),
      holdOf(random, torso, box(540, 280, 620, 480), frames, [still]),
    ];
    expect(told(judge(shot(framesOf(random, frames), holds)).flags)).toEqual(["sag upper-left", "set-shift jar"]);
    const camera = (frame: number) => (frame >= 18 ? { dx: 0.6 } : {});
    expect(told(judge(shot(framesOf(random, frames, { camera }), holds)).flags)).toEqual([
      "camera-shift null",
      "sag upper-left",
      "set-shift jar",
    ]);
  }
});

test("a part that settles in the three frames after a pose change is no knock", () => {
  for (let seed = 0; seed < 20; seed++) {
    const random = createRandom(seed, 4);
    const settles = sliding([0, 1], (frame) => (frame >= 3 ? 0.8 : 0));
    const hold = holdOf(random, upper, box(600, 290, 700, 320), frames, [settles], { afterMove: true });
    expect(judge(shot(framesOf(random, frames), [hold])).flags).toEqual([]);
  }
});

/** A wearing of a piece of five frames that starts from frame 4 of an earlier one. */
const wearing = (seed: number, shift: number): Hold => {
  const random = createRandom(seed, 5);
  const mouth = partOf("mouth", "Mouth", "face", { carrier: "head" });
  const over = [4, ...numbers(9, 13)];
  const seat = sliding([0, 1], (frame) => (frame >= 9 ? shift : 0));
  return {
    ...holdOf(random, mouth, box(300, 200, 360, 240), over, [seat], { afterMove: true, intent: "swapped" }),
    worn: { piece: "mouth-1", firstTime: false, carrierHeld: true },
  };
};

test("a piece that sits where it sat raises hardly a false alarm in a thousand swaps with the band at zero", () => {
  let alarms = 0;
  for (let seed = 0; seed < 1000; seed++) {
    const { flags } = judge(shot(framesOf(createRandom(1), frames), [wearing(seed, 0)], { bands: { seating: 0 } }));
    alarms += flags.filter(({ kind }) => kind === "seating").length;
  }
  expect(alarms).toBeLessThanOrEqual(3);
});

test("a piece that sits half a pixel lower is told with its shift and its uncertainty", () => {
  for (let seed = 0; seed < 20; seed++) {
    const { flags } = judge(shot(framesOf(createRandom(1), frames), [wearing(seed, 0.5)]));
    expect(flags.map(({ kind, from, to }) => [kind, from, to])).toEqual([["seating", 9, 13]]);
    expect(Math.abs(flags[0].px! - 0.5)).toBeLessThan(4 * flags[0].sigma!);
    expect(flags[0].causes).toContain("face-piece-loose");
  }
});

test("a torso that is off by hundredths of a pixel, as a camera's knock leaves it, takes nothing from the sag of the arm on it", () => {
  const sizes: number[] = [];
  for (let seed = 0; seed < 10; seed++) {
    const random = createRandom(seed, 9);
    // A torso so well told that the step is real by any statistic.
    const left = sliding([1, 0.4], (frame) => (frame >= 15 ? 0.02 : 0));
    const holds = [
      holdOf(random, torso, box(540, 280, 620, 480), frames, [left], { sigma: 0.002 }),
      holdOf(random, upper, box(600, 290, 700, 320), frames, [sag], { joints }),
      holdOf(random, hand, box(700, 290, 740, 320), frames, [sag]),
    ];
    const camera = (frame: number) => (frame >= 15 ? { dx: 0.5 } : {});
    const { flags } = judge(shot(framesOf(random, frames, { camera }), holds));
    expect(told(flags)).toEqual(["camera-shift null", "sag upper-left"]);
    const [arm] = flags.filter(({ kind }) => kind === "sag");
    expect(arm!.besideCarrier).toBeUndefined();
    sizes.push(arm!.px!);
  }
  // 138 px across and 19 px up from shoulder to the far corner, turned by 0.0006 x 23.
  const truth = 0.0006 * 23 * Math.hypot(138, 19);
  sizes.sort((a, b) => a - b);
  expect(Math.abs(sizes[5]! - truth)).toBeLessThan(0.02);
});

test("a camera that creeps by no more than what a sagging part pulls it by is no flag; one that creeps by more is", () => {
  // A tenth of the picture, from its centre: at most 0.1 px of its drift counts, a hundredth of a px in all.
  const wide = { width: px(400), height: px(300) };
  const part = box(140, 110, 260, 210);
  const creep = (seed: number, perFrame: number, drifts: boolean) => {
    const random = createRandom(seed, 0x7075);
    const sinks = sliding([0, 1], (frame) => 0.02 * (frame - 1));
    const holds = [holdOf(random, upper, part, frames, drifts ? [sinks] : [still])];
    const camera = { camera: (frame: number) => ({ dy: perFrame * (frame - 1) }), cameraSigma: 0.0005 };
    const { flags } = judge(
      shot(framesOf(random, frames, camera), holds, { ...wide, bands: { "camera-shift-slow": 0 } }),
    );
    return told(flags);
  };
  for (let seed = 0; seed < 5; seed++) {
    expect(creep(seed, 0.0003, true)).toEqual(["sag upper-left"]);
    expect(creep(seed, 0.0003, false)).toEqual(["camera-shift null"]);
    expect(creep(seed, 0.004, true)).toEqual(["camera-shift null", "sag upper-left"]);
  }
});
