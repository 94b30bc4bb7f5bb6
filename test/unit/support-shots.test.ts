import { expect, test } from "vitest";
import { type Part, parseSheet, type Point } from "../../src/model/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { boilingCloth, crawlingCloth, turningHead } from "../support/material-shots.ts";
import { insideOf } from "../support/bound.ts";
import { createRenderer, renderClean } from "../support/render.ts";
import type { Shot } from "../support/shot.ts";
import * as shots from "../support/shots.ts";
import { centroidOf, displacementOf, largestDisplacement, turnOf } from "../support/truth.ts";

const all: Readonly<Record<string, () => Shot>> = {
  "a held part": () => shots.heldPart(),
  "a sagging part": () => shots.heldPart({ sagPerFrame: 0.02, about: "turn" }),
  "a knocked part": () => shots.knockedPart(),
  "a popped part": () => shots.poppedPart(),
  "a knocked camera": () => shots.knockedCamera(),
  "a clean shot": () => shots.cleanShot({ parts: 9 }),
  flicker: () => shots.flicker(),
  "a lamp that drops": () => shots.lampDrop(),
  "a moving shadow": () => shots.movingShadow(),
  "a passing arm": () => shots.passingArm(),
  "a sagging arm": () => shots.armSag(),
  "crawling cloth": () => crawlingCloth({ carrierMotion: (frame) => ({ dx: frame - 1 }) }),
  "boiling cloth": () => boilingCloth(),
  "a turning head": () => turningHead({ shift: { frame: 10, at: [0, 0.3], radius: 20, by: [0.5, 0] } }),
};

const sheetOf = (shot: Shot): readonly Part[] => {
  const { width, height } = shot.scene;
  const frames = Array.from({ length: shot.frames }, (_, i) => frameNumber(i + 1));
  const result = parseSheet(JSON.stringify(shot.sheet), "holdfast-sheet.json", { frames, width, height });
  if ("refusals" in result) throw new Error(result.refusals.join("\n"));
  expect(result.warnings).toEqual([]);
  return result.sheet.parts;
};

test.each(Object.entries(all))(
  "%s comes with a sheet that is accepted, and with parts that are in the picture",
  (_, make) => {
    const shot = make();
    const parts = sheetOf(shot);
    expect(parts.length).toBeGreaterThan(0);
    for (const { id } of parts) expect(shot.scene.layers.some((layer) => layer.id === id)).toBe(true);
    for (const { part } of shot.expected) if (part !== null) expect(parts.some(({ id }) => id === part)).toBe(true);
  },
);

test.each(Object.entries(all))("in %s nothing has moved at frame 1", (_, make) => {
  const { scene } = make();
  for (const { id, outline } of scene.layers) {
    expect(displacementOf(scene, id, centroidOf(outline), 1, { camera: "in" })).toEqual([0, 0]);
  }
});

const small = { width: 160, height: 120, frames: 6 };

test.each([
  ["a lamp that drops", () => shots.lampDrop({ ...small, frame: 2 })],
  ["a sagging arm", () => shots.armSag(small)],
  ["boiling cloth", () => boilingCloth({ ...small, size: 40 })],
] as const)("%s is the same each time it is made", (_, make) => {
  const [one, other] = [make(), make()].map((shot) => createRenderer(shot.scene).frame(2).pixels);
  expect(one).toHaveLength(other.length);
  expect(one.every((value, i) => value === other[i])).toBe(true);
});

test("a held part without drift expects nothing; with it a sag of just so much from the onset on", () => {
  expect(shots.heldPart().expected).toEqual([]);
  const { scene, expected } = shots.heldPart({ sagPerFrame: 0.02, onset: 5 });
  expect(expected).toMatchObject([{ kind: "sag", part: "held", from: 5, to: 24 }]);
  expect(expected[0].px).toBeCloseTo(0.4, 10);
  expect(displacementOf(scene, "held", [160, 120], 4)).toEqual([0, 0]);
  expect(displacementOf(scene, "held", [160, 120], 14)[1]).toBeCloseTo(0.2, 10);
  expect(shots.heldPart({ sagPerFrame: -0.02 }).expected[0].kind).toBe("spring-back");
});

test("a part that turns about its joint reaches the asked drift at its far end, and the joint stays", () => {
  const { scene, expected, sheet } = shots.heldPart({ sagPerFrame: 0.05, about: "turn" });
  expect(expected[0]).toMatchObject({ kind: "sag", joint: "shoulder-left" });
  expect(expected[0].px).toBeCloseTo(23 * 0.05, 9);
  const pivot = expected[0].pivot!;
  expect(Math.hypot(...displacementOf(scene, "held", pivot, 24))).toBeLessThan(1e-9);
  expect(JSON.stringify(sheet)).toContain("shoulder-left");
  expect(turnOf(scene, "held", 24)).toBeGreaterThan(0);
});

test("a knock stays, a pop goes back", () => {
  const knock = shots.knockedPart({ frame: 10, px: 0.3 });
  const pop = shots.poppedPart({ frame: 10, px: 0.3 });
  const at = (shot: Shot, frame: number) =>
    Math.round(1e9 * displacementOf(shot.scene, "held", [160, 120], frame)[0]) / 1e9;
  expect([9, 10, 11, 24].map((frame) => at(knock, frame))).toEqual([0, 0.3, 0.3, 0.3]);
  expect([9, 10, 11, 24].map((frame) => at(pop, frame))).toEqual([0, 0.3, 0, 0]);
  expect(knock.expected[0]).toMatchObject({ kind: "knock", from: 10, to: 24, px: 0.3 });
  expect(pop.expected[0]).toMatchObject({ kind: "pop", from: 10, to: 10, px: 0.3 });
});

test("a knocked camera moves everything in the picture and nothing on the set", () => {
  const { scene, expected } = shots.knockedCamera({ frame: 7, knock: { dx: 0.3, dy: 0.4 } });
  expect(expected[0]).toMatchObject({ kind: "camera-shift", part: null, from: 7, px: 0.5 });
  const [dx, dy] = displacementOf(scene, "held", [160, 120], 7, { camera: "in" });
  expect(dx).toBeCloseTo(0.3, 9);
  expect(dy).toBeCloseTo(0.4, 9);
  expect(displacementOf(scene, "held", [160, 120], 7)).toEqual([0, 0]);
});

test.each([
  ["shoulder", "arm-left", ["forearm-left", "hand-left"]],
  ["elbow", "forearm-left", ["hand-left"]],
  ["wrist", "hand-left", []],
] as const)("an arm that gives way at the %s carries what hangs on it, as one rigid piece", (at, part, carries) => {
  const { scene, expected } = shots.armSag({ at, sagPerFrame: 0.1 });
  expect(expected[0]).toMatchObject({ kind: "sag", part, joint: `${at}-left`, carries, from: 2, to: 24 });
  expect(expected[0].px).toBeCloseTo(2.3, 9);
  const turns = [part, ...carries].map((id) => turnOf(scene, id, 24));
  for (const turn of turns) expect(turn).toBe(turns[0]);
  // Held out to the picture's right, it falls: from x towards y.
  expect(turns[0]).toBeGreaterThan(0);
  const still = ["torso", "head", "arm-left", "forearm-left"].filter(
    (id) => id !== part && !(carries as readonly string[]).includes(id),
  );
  expect(largestDisplacement(scene, still, 24)).toBe(0);
});

test("the limbs' outlines on the sheet lie on the limbs themselves, clear of what covers them", () => {
  const shot = shots.armSag();
  // Each layer in turn painted white: where a part's outline is, its own layer must be all there is to see.
  for (const part of sheetOf(shot)) {
    const layers = shot.scene.layers.map((layer) => ({
      ...layer,
      texture: () => 0,
      brightness: layer.id === part.id ? 1 : 0,
    }));
    const background = { ...shot.scene.background, texture: () => 0, brightness: 0 };
    const { planes } = renderClean({ ...shot.scene, background, layers, blur: 0 }, 1);
    const { points } = part.outlines[0];
    const inside = insideOutline(points);
    let outside = 0;
    let count = 0;
    for (let i = 0; i < planes[0].data.length; i++) {
      if (!inside(i % 480, Math.floor(i / 480))) continue;
      count++;
      if (planes[0].data[i] < 0.999) outside++;
    }
    expect(count, part.id).toBeGreaterThan(300);
    expect(outside / count, part.id).toBeLessThan(0.02);
  }
});

const insideOutline = (points: readonly Point[]) =>
  insideOf(points as unknown as readonly (readonly [number, number])[], 1);

test("flicker is even over the picture, a lamp's drop isn't", () => {
  const ratios = (shot: Shot, frame: number): number[] => {
    const renderer = createRenderer({ ...shot.scene, noise: null });
    const [one] = renderer.clean(1).planes;
    const [other] = renderer.clean(frame).planes;
    return [0, 159, 119 * 160, 119 * 160 + 159].map((i) => Math.log2(other.data[i] / one.data[i]));
  };
  const even = ratios(shots.flicker(small), 5);
  for (const stops of even) expect(stops).toBeCloseTo(even[0], 5);
  expect(Math.abs(even[0])).toBeGreaterThan(1e-4);
  const lamp = shots.lampDrop({ ...small, frame: 4, until: 5, drop: 0.06 });
  const dropped = ratios(lamp, 5);
  expect(dropped[0]).toBeLessThan(-0.05);
  expect(dropped[3]).toBeGreaterThan(dropped[0] + 0.03);
  expect(ratios(lamp, 6)[0]).toBeCloseTo(0, 6);
  expect(lamp.expected[0].stops!).toBeLessThan(-0.03);
  expect(lamp.expected[0].stops!).toBeGreaterThan(Math.log2(0.94));
});

test("a drifting light changes its shape by about what was asked", () => {
  const { scene } = shots.cleanShot({ ...small, lightDriftStops: 0.1 });
  const renderer = createRenderer(scene);
  const first = renderer.clean(1).planes[0].data;
  const last = renderer.clean(6).planes[0].data;
  const stops = Array.from(first, (value, i) => Math.log2(last[i] / value)).toSorted((a, b) => a - b);
  const spread = stops[stops.length - 1] - stops[0];
  expect(spread).toBeGreaterThan(0.03);
  expect(spread).toBeLessThan(0.5);
});

test("a shadow crosses the whole picture and leaves the first and last frame as they are", () => {
  const { scene } = shots.movingShadow();
  const renderer = createRenderer(scene);
  const middle = 120 * 320 + 160;
  const levels = [1, 12, 24].map((frame) => renderer.clean(frame).planes[0].data[middle]);
  expect(levels[0]).toBeGreaterThan(levels[2]);
  expect(levels[2] / levels[0]).toBeCloseTo(0.65, 5);
});

test("an arm passes over the part and clears it again", () => {
  const { scene } = shots.passingArm();
  const renderer = createRenderer(scene);
  const bare = renderClean({ ...scene, layers: scene.layers.filter((layer) => layer.id === "held") }, 1).planes[0].data;
  const middle = 120 * 320 + 160;
  const differs = [1, 12, 24].map(
    (frame) => Math.abs(renderer.clean(frame).planes[0].data[middle] - bare[middle]) > 1e-3,
  );
  expect(differs).toEqual([false, true, false]);
});

test("cloth creeps most at its middle, not at its edge, and rides on its carrier all the while", () => {
  const { scene, expected } = crawlingCloth({
    crawlPerFrame: 0.02,
    carrierMotion: (frame) => ({ dx: 2 * (frame - 1) }),
  });
  const [x, y] = [scene.width / 2, scene.height / 2];
  expect(expected[0]).toMatchObject({ kind: "crawl", part: "jacket", from: 2 });
  expect(expected[0].px).toBeCloseTo(0.46, 9);
  expect(displacementOf(scene, "jacket", [x, y], 24)[0]).toBeCloseTo(46.46, 9);
  expect(displacementOf(scene, "jacket", [x + 80, y], 24)[0]).toBeCloseTo(46, 9);
  expect(displacementOf(scene, "torso", [x, y], 24)[0]).toBeCloseTo(46, 9);
});

test("boiling cloth jitters by what was asked and goes nowhere", () => {
  const { scene, expected, frames } = boilingCloth({ jitter: 0.4, frames: 60 });
  let sum = 0;
  let squares = 0;
  let count = 0;
  for (let frame = 2; frame <= frames; frame++) {
    for (let i = 0; i < 100; i++) {
      const point = [100 + 12 * (i % 10), 60 + 12 * Math.floor(i / 10)] as const;
      for (const value of displacementOf(scene, "jacket", point, frame)) {
        sum += value;
        squares += value * value;
        count++;
      }
    }
  }
  expect(Math.sqrt(squares / count)).toBeCloseTo(0.4, 1);
  expect(Math.abs(sum / count)).toBeLessThan(0.03);
  expect(expected[0].px).toBeGreaterThan(0.7);
  expect(expected[0].px).toBeLessThan(1.2);
});

test("a head that turns moves most at its middle; skin that is pushed stays pushed", () => {
  const turning = turningHead({ degreesPerFrame: 0.3 });
  const centre = [turning.scene.width / 2, turning.scene.height / 2] as const;
  const angle = (0.3 * Math.PI) / 180;
  expect(displacementOf(turning.scene, "head", centre, 2)[0]).toBeCloseTo(72 * Math.sqrt(1.04) * Math.sin(angle), 3);
  const shift = { frame: 10, at: [0, 0] as const, radius: 25, by: [0, 0.5] as const };
  const pushed = turningHead({ degreesPerFrame: 0, shift });
  const at = (frame: number) => displacementOf(pushed.scene, "head", centre, frame)[1];
  expect([9, 10, 24].map(at)).toEqual([0, 0.5, 0.5]);
  expect(pushed.expected[0]).toMatchObject({ kind: "skin-shift", from: 10, px: 0.5 });
});
