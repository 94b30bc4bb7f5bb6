import { expect, test } from "vitest";
import { defaultBands } from "../../src/analysis/kinds/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { framesOf, judge, numbers, shot } from "./judge-series.ts";

// A camera that the sheet lets move, on rails or by motors: what it does beside its smooth path.

const everythingReal = Object.fromEntries(Object.keys(defaultBands).map((key) => [key, 0]));

/** Starts and stops softly between two frames: so much px in all. */
const eased =
  (from: number, to: number, whole: number) =>
  (frame: number): number => {
    const share = Math.min(1, Math.max(0, (frame - from) / (to - from)));
    return whole * share * share * (3 - 2 * share);
  };

const paths: readonly ((frame: number) => { dx: number; dy: number; turn: number })[] = [
  (frame) => ({ dx: 3 * (frame - 1), dy: 0, turn: 0 }),
  (frame) => ({ dx: eased(1, 48, 140)(frame), dy: eased(1, 48, -30)(frame), turn: 0 }),
  (frame) => ({ dx: eased(8, 30, 60)(frame), dy: 0.02 * frame * frame, turn: 0.0005 * frame }),
  // Starts at once, and stops at once.
  (frame) => ({ dx: 2 * Math.min(Math.max(0, frame - 12), 20), dy: 0, turn: 0 }),
  (frame) => ({ dx: 20 * Math.sin(frame / 9), dy: 8 * Math.cos(frame / 7), turn: 0 }),
];

function moving(seed: number, path: (typeof paths)[number], beside: (frame: number) => number = () => 0, n = 48) {
  const camera = (frame: number) => ({ ...path(frame), dy: path(frame).dy + beside(frame) });
  return shot(framesOf(createRandom(0x7061, seed), numbers(1, n), { camera, cameraSigma: 0.003 }), [], {
    cameraHolds: [],
    cameraMoves: [{ from: frameNumber(1), to: frameNumber(n) }],
  });
}

test("a smooth move of the camera is no camera shift, however it starts and stops", () => {
  for (const path of paths) {
    for (let seed = 0; seed < 12; seed++) {
      expect(judge(moving(seed, path)).flags).toEqual([]);
    }
  }
});

test("with every band at zero a smooth move raises a false alarm in few shots, its own scatter being its measure", () => {
  let alarms = 0;
  for (let seed = 0; seed < 150; seed++) {
    const { flags } = judge({ ...moving(seed, paths[seed % paths.length]), bands: everythingReal });
    if (flags.some(({ kind }) => kind === "camera-shift")) alarms++;
  }
  expect(alarms).toBeLessThanOrEqual(4);
});

test("one frame out of a moving camera's path is flagged at that frame, by how much", () => {
  for (const [k, path] of paths.entries()) {
    for (const at of [20, 41]) {
      const { flags } = judge(moving(k, path, (frame) => (frame === at ? 0.25 : 0)));
      expect(
        flags.map(({ kind, from, to }) => [kind, from, to]),
        `path ${k}`,
      ).toEqual([["camera-shift", at, at]]);
      expect(Math.abs((flags[0].px ?? 0) - 0.25)).toBeLessThan(0.05);
      expect(flags[0].message).toMatch(/^The camera was out .* off the smooth path of its move at frame \d+ alone\.$/);
    }
  }
});

test("a step of a moving camera is flagged from its frame on", () => {
  for (const [k, path] of paths.entries()) {
    const { flags } = judge(moving(k, path, (frame) => (frame >= 24 ? 0.4 : 0)));
    expect(
      flags.map(({ kind, from }) => [kind, from]),
      `path ${k}`,
    ).toEqual([["camera-shift", 24]]);
    expect(Math.abs((flags[0].px ?? 0) - 0.4)).toBeLessThan(0.12);
  }
});

test("a jerk below the band says nothing, and a move of a few frames isn't judged", () => {
  expect(judge(moving(1, paths[1], (frame) => (frame === 20 ? 0.06 : 0))).flags).toEqual([]);
  expect(judge(moving(1, paths[0], (frame) => (frame === 4 ? 0.5 : 0), 7)).flags).toEqual([]);
});

test("a move of hundreds of frames is judged in pieces, each event once", () => {
  const wave = (frame: number) => ({ dx: 60 * Math.sin(frame / 25), dy: 0.4 * frame, turn: 0 });
  const beside = (frame: number) => (frame === 66 ? 0.4 : 0) + (frame >= 130 ? 0.5 : 0);
  const { flags } = judge(moving(3, wave, beside, 200));
  expect(flags.map(({ from, kind }) => [from, kind])).toEqual([
    [66, "camera-shift"],
    [130, "camera-shift"],
  ]);
});
