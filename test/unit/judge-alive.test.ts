import { expect, test } from "vitest";
import { createRandom } from "../support/random.ts";
import { box, framesOf, holdOf, judge, numbers, partOf, shot, sliding } from "./judge-series.ts";

// A moving hold: Oda breathes. The path is meant, its trend is not.

const torso = partOf("torso", "Torso", "body");
const outline = box(400, 200, 500, 320);

/** Breathing with an amplitude of 1 px, each frame posed by hand to `hand` px, and a sag under it. */
function breathing(seed: number, frames: number, period: number, sag: number, hand = 0) {
  const random = createRandom(seed, frames, period);
  const phase = random.between(0, 2 * Math.PI);
  const over = numbers(1, frames);
  const poses = over.map(() => hand * random.normal());
  const paths = [
    sliding([0, 1], (frame) => Math.sin((2 * Math.PI * frame) / period + phase) + poses[frame - 1]),
    sliding([0, 1], (frame) => sag * (frame - 1)),
  ];
  return judge(shot(framesOf(random, over), [holdOf(random, torso, outline, over, paths, { intent: "alive" })])).flags;
}

test("breathing of 1 px raises no flag, however slow, and a sag of 0.05 px a frame under it does", () => {
  let missed = 0;
  for (const period of [8, 12, 16, 24]) {
    for (let seed = 0; seed < 6; seed++) {
      expect(breathing(seed, 24, period, 0)).toEqual([]);
      const flags = breathing(seed, 24, period, 0.05);
      if (flags.length === 0) missed++;
      else {
        expect(flags.map(({ kind, part }) => [kind, part])).toEqual([["sag", "torso"]]);
        expect(Math.abs((flags[0].px ?? 0) - 1.15)).toBeLessThan(0.2);
      }
    }
  }
  expect(missed).toBeLessThanOrEqual(3);
});

test("less than one breath in a hold is no trend that anybody could tell", () => {
  for (let seed = 0; seed < 15; seed++) expect(breathing(seed, 24, 36, 0)).toEqual([]);
});

test("where the poses themselves are uneven by 0.15 px, it takes a longer hold, and still no flag is false", () => {
  let found = 0;
  for (let seed = 0; seed < 10; seed++) {
    expect(breathing(seed, 36, 12, 0, 0.15)).toEqual([]);
    found += breathing(seed, 36, 12, 0.05, 0.15).filter(({ kind }) => kind === "sag").length;
  }
  expect(found).toBeGreaterThanOrEqual(7);
});
