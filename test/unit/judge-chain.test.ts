import { expect, test } from "vitest";
import { createRandom, type Random } from "../support/random.ts";
import {
  box,
  framesOf,
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

// Oda's left arm, held out to the side: torso, upper arm, forearm, hand, each carried by the one before.

const frames = numbers(1, 24);
const shoulder = [602, 301] as const;
const elbow = [698, 311] as const;
const torso = partOf("torso", "Torso", "body");
const upper = partOf("upper-left", "Left upper arm", "limb", { carrier: "torso", build: "ball" });
const forearm = partOf("forearm-left", "Left forearm", "limb", { carrier: "upper-left", build: "ball" });
const hand = partOf("hand-left", "Left hand", "hand", { carrier: "forearm-left", build: "wire" });

// Placed by a person, a few px off.
const atShoulder = { id: "shoulder-left", name: "Left shoulder", at: [600, 300] as const };
const atElbow = { id: "elbow-left", name: "Left elbow", at: [700, 310] as const };
const joints = [atShoulder, atElbow];

interface Paths {
  readonly torso?: readonly Path[];
  readonly upper?: readonly Path[];
  readonly forearm?: readonly Path[];
  readonly hand?: readonly Path[];
}

function chain(random: Random, paths: Paths, sigma = 0.01, over = frames) {
  const of = (path: readonly Path[] | undefined) => path ?? [still];
  return [
    holdOf(random, torso, box(540, 280, 620, 480), over, of(paths.torso), { sigma }),
    holdOf(random, upper, box(600, 290, 700, 320), over, of(paths.upper), { sigma, joints: [atShoulder] }),
    holdOf(random, forearm, box(700, 295, 790, 325), over, of(paths.forearm), { sigma, joints }),
    holdOf(random, hand, box(790, 295, 830, 325), over, of(paths.hand), { sigma, joints }),
  ];
}

const judged = (seed: number, paths: Paths, more: Parameters<typeof shot>[2] = {}) => {
  const random = createRandom(seed);
  return judge(shot(framesOf(random, frames), chain(random, paths), more));
};

const atTheShoulder = turningAbout(shoulder, (frame) => 0.0004 * (frame - 1));
const atTheElbow = turningAbout(elbow, (frame) => 0.0006 * (frame - 1));

test("an arm that sags about its shoulder is one flag on the upper arm, forearm and hand carried along", () => {
  for (let seed = 0; seed < 15; seed++) {
    const { flags } = judged(seed, { upper: [atTheShoulder], forearm: [atTheShoulder], hand: [atTheShoulder] });
    expect(flags.map(({ kind, part }) => [kind, part])).toEqual([["sag", "upper-left"]]);
    expect(flags[0].carries).toEqual(["forearm-left", "hand-left"]);
    expect(flags[0].joint).toBe("shoulder-left");
    // The fingertips, 228 px out: largest over all that is carried.
    expect(Math.abs((flags[0].px ?? 0) - Math.hypot(228, 24) * 23 * 0.0004)).toBeLessThan(0.06);
    expect(flags[0].message).toMatch(
      /^Left upper arm sagged 2\.\d\d ± 0\.\d\d\d? px from frame [1-5] to 24, turning about the left shoulder\. Carried along: left forearm and left hand\.$/,
    );
  }
});

test("a sag about the elbow is the forearm's, and the upper arm is left out of it", () => {
  for (let seed = 0; seed < 15; seed++) {
    const { flags } = judged(seed, { forearm: [atTheElbow], hand: [atTheElbow] });
    expect(flags.map(({ kind, part, joint }) => [kind, part, joint])).toEqual([["sag", "forearm-left", "elbow-left"]]);
    expect(flags[0].carries).toEqual(["hand-left"]);
    expect(flags[0].causes).not.toContain("tired-wire");
  }
});

test("an elbow that gives on top of a shoulder gets a flag of its own, beyond what the upper arm did", () => {
  for (let seed = 0; seed < 15; seed++) {
    const all = [atTheShoulder, atTheElbow];
    const { flags } = judged(seed, { upper: [atTheShoulder], forearm: all, hand: all });
    expect(flags.map(({ part, joint }) => [part, joint])).toEqual([
      ["upper-left", "shoulder-left"],
      ["forearm-left", "elbow-left"],
    ]);
    expect(flags[0].carries).toEqual(["forearm-left", "hand-left"]);
    expect(flags[1].message).toContain("beyond what the left upper arm did");
    // 92 px of forearm and hand beyond the elbow.
    expect(Math.abs((flags[1].px ?? 0) - Math.hypot(132, 16) * 23 * 0.0006)).toBeLessThan(0.12);
  }
});

test("a torso that leans carries the whole arm", () => {
  const lean = turningAbout([580, 480], (frame) => 0.0002 * (frame - 1));
  const { flags } = judged(3, { torso: [lean], upper: [lean], forearm: [lean], hand: [lean] });
  expect(flags.map(({ part }) => part)).toEqual(["torso"]);
  expect(flags[0].carries).toEqual(["upper-left", "forearm-left", "hand-left"]);
});

test("a knocked arm is one knock, about its joint", () => {
  const knock = turningAbout(shoulder, (frame) => (frame >= 9 ? 0.004 : 0));
  const { flags } = judged(4, { upper: [knock], forearm: [knock], hand: [knock] });
  expect(flags.map(({ kind, part, from, joint }) => [kind, part, from, joint])).toEqual([
    ["knock", "upper-left", 9, "shoulder-left"],
  ]);
  expect(flags[0].carries).toEqual(["forearm-left", "hand-left"]);
});

test("a pop of a whole arm is one pop", () => {
  const out = turningAbout(shoulder, (frame) => (frame === 9 ? 0.004 : 0));
  const { flags } = judged(5, { upper: [out], forearm: [out], hand: [out] });
  expect(flags.map(({ kind, part, from }) => [kind, part, from])).toEqual([["pop", "upper-left", 9]]);
});

test("a hand that is knocked while its arm sags is told beside the sag", () => {
  const knock = sliding([1, 0], (frame) => (frame >= 15 ? 0.8 : 0));
  const { flags } = judged(6, {
    upper: [atTheShoulder],
    forearm: [atTheShoulder],
    hand: [atTheShoulder, knock],
  });
  expect(flags.map(({ kind, part }) => [kind, part])).toEqual([
    ["sag", "upper-left"],
    ["knock", "hand-left"],
  ]);
  expect(flags[1].from).toBe(15);
  expect(Math.abs((flags[1].px ?? 0) - 0.8)).toBeLessThan(0.1);
});

test("a hand that rests on the table while its arm sags is not said to be carried", () => {
  const { flags } = judged(7, { upper: [atTheShoulder], forearm: [atTheShoulder] });
  const sag = flags.find(({ part }) => part === "upper-left");
  expect(sag?.carries).toEqual(["forearm-left"]);
});

test("two arms that sag by themselves are two flags", () => {
  const random = createRandom(8);
  const other = partOf("upper-right", "Right upper arm", "limb", { carrier: "torso" });
  const droop = turningAbout([540, 300], (frame) => -0.0006 * (frame - 1));
  const holds = [
    ...chain(random, { upper: [atTheShoulder], forearm: [atTheShoulder], hand: [atTheShoulder] }),
    holdOf(random, other, box(430, 290, 540, 320), frames, [droop]),
  ];
  const { flags } = judge(shot(framesOf(random, frames), holds));
  expect(new Set(flags.map(({ kind, part }) => `${kind} ${part}`))).toEqual(
    new Set(["sag upper-left", "sag upper-right"]),
  );
  expect(flags).toHaveLength(2);
});

test("a sleeve that is meant to ride is named with the arm that carries it", () => {
  const random = createRandom(9);
  const sleeve = partOf("sleeve-left", "Left sleeve", "costume", { carrier: "forearm-left" });
  const holds = [
    ...chain(random, { upper: [atTheShoulder], forearm: [atTheShoulder], hand: [atTheShoulder] }),
    holdOf(random, sleeve, box(690, 290, 780, 330), frames, [still], { intent: "rides" }),
  ];
  const { flags } = judge(shot(framesOf(random, frames), holds));
  expect(flags).toHaveLength(1);
  expect(flags[0].carries).toContain("sleeve-left");
});

test("the step of a knocked camera flags no part, and parallax neither", () => {
  for (let seed = 0; seed < 15; seed++) {
    const random = createRandom(10, seed);
    const camera = (frame: number) => (frame >= 13 ? { dx: 1.2, dy: -0.4 } : {});
    // Near things go up to 80 % farther than the background, far ones less: most parts step with the camera.
    const rest = (share: number) => sliding([0.95, -0.316], (frame) => (frame >= 13 ? 1.26 * share : 0));
    const holds = chain(random, { torso: [rest(0.5)], upper: [rest(0.55)], forearm: [rest(0.6)], hand: [rest(0.7)] });
    expect(inShort(judge(shot(framesOf(random, frames, { camera }), holds)))).toEqual(["camera-shift 13"]);
    const little = chain(random, { hand: [sliding([0, 1], (frame) => (frame >= 13 ? 0.3 : 0))] });
    expect(inShort(judge(shot(framesOf(random, frames, { camera }), little)))).toEqual(["camera-shift 13"]);
  }
});

test("a part that jumps at the very frame of a camera knock by much more is flagged all the same", () => {
  const random = createRandom(12);
  const camera = (frame: number) => (frame >= 13 ? { dx: 0.5 } : {});
  const holds = chain(random, { hand: [sliding([0, 1], (frame) => (frame >= 13 ? 1.5 : 0))] });
  expect(inShort(judge(shot(framesOf(random, frames, { camera }), holds)))).toEqual([
    "camera-shift 13",
    "knock hand-left 13",
  ]);
});

test("a sag that goes on through a camera knock is still a sag", () => {
  const random = createRandom(13);
  const camera = (frame: number) => (frame >= 13 ? { dx: 0.5 } : {});
  const left = sliding([1, 0], (frame) => (frame >= 13 ? 0.05 : 0));
  const path = [atTheShoulder, left];
  const holds = chain(random, { torso: [left], upper: path, forearm: path, hand: path });
  const { flags } = judge(shot(framesOf(random, frames, { camera }), holds));
  expect(new Set(flags.map(({ kind, part }) => `${kind} ${part}`))).toEqual(
    new Set(["camera-shift null", "sag upper-left"]),
  );
  expect(flags).toHaveLength(2);
});

test("a chain of carriers that ends in nothing, or in a circle, ends there", () => {
  const random = createRandom(14);
  const lost = partOf("hat", "Hat", "prop", { carrier: "nobody" });
  const one = partOf("one", "One", "limb", { carrier: "two" });
  const two = partOf("two", "Two", "limb", { carrier: "one" });
  const holds = [lost, one, two].map((part, i) =>
    holdOf(random, part, box(100 * i, 100, 100 * i + 60, 160), frames, [still]),
  );
  expect(judge(shot(framesOf(random, frames), holds)).flags).toEqual([]);
});
