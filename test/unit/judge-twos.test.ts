import { expect, test } from "vitest";
import type { MovingRun, TrackRow } from "../../src/analysis/series.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { box, framesOf, judge, numbers, partOf, shot } from "./judge-series.ts";

// Oda's right arm, animated on twos: frames 1 and 2 show one pose, 3 and 4 the next. Each row is against the frame before.

const arm = partOf("arm-right", "Right arm");
const frames = numbers(1, 24);
const sigma = 0.03;

/** @param between what the arm does between the two exposures of a pose, px down, by the second one's frame */
function onTwos(seed: number, between: (frame: number) => number, onOnes = false): MovingRun {
  const random = createRandom(seed);
  const rows = frames.slice(1).map((frame): TrackRow => {
    const moves = onOnes || frame % 2 === 1;
    const noise = () => sigma * random.normal();
    const [dx, dy] = [px((moves ? random.between(2, 4) : 0) + noise()), px((moves ? 0 : between(frame)) + noise())];
    return {
      frame: frameNumber(frame),
      dx,
      dy,
      turn: radians(0),
      covariance: [sigma ** 2, 0, 0, sigma ** 2, 0, 1e-8],
      rawDx: dx,
      rawDy: dy,
      crawlPx: px(0),
      floorPx: px(3 * sigma),
      state: "ok",
      reason: "",
    };
  });
  return { part: arm, outline: box(400, 200, 430, 320), centroid: [415, 260], rows };
}

const judged = (run: MovingRun, camera?: Parameters<typeof framesOf>[2]) =>
  judge(shot(framesOf(createRandom(7), frames, camera), [], { moving: [run], parts: [arm] })).flags;

test("an arm on twos that keeps still between the exposures of each pose raises no flag, nor does one on ones", () => {
  for (let seed = 0; seed < 200; seed++) {
    expect(judged(onTwos(seed, () => 0))).toEqual([]);
    if (seed < 20) expect(judged(onTwos(seed, () => 0, true))).toEqual([]);
  }
});

test("an arm that was touched between the two exposures of one pose is told there, with what could have been seen", () => {
  for (let seed = 0; seed < 20; seed++) {
    const flags = judged(onTwos(seed, (frame) => (frame === 12 ? 0.7 : 0)));
    expect(flags.map(({ kind, part, from, to }) => [kind, part, from, to])).toEqual([["knock", "arm-right", 12, 12]]);
    expect(Math.abs(flags[0].px! - 0.7)).toBeLessThan(0.15);
    expect(flags[0].message).toMatch(
      /^Right arm jumped 0\.\d\d ± 0\.\d\d px down between the two exposures of one pose, frames 11 and 12; 0\.\d\d px could have been seen\.$/,
    );
  }
});

test("what moves between exposures by less than the band is left alone", () => {
  expect(judged(onTwos(3, (frame) => (frame === 12 ? 0.22 : 0)))).toEqual([]);
});
