import { expect, test } from "vitest";
import { ShotTracker } from "../../src/analysis/shot-tracker.ts";
import { frameNumber } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { box, gridOf, inBox } from "./analysis-grids.ts";

const [width, height] = [480, 360];
const FRAMES = 24;

/** A shot whose lower right creeps by less than its cells can show; how far the camera was told to go, px. */
function tracked(): ShotTracker {
  const random = createRandom(5, 0x6d76);
  const tracker = new ShotTracker([], width, height);
  const creeps = inBox(box(240, 140, 480, 360));
  for (let frame = 1; frame <= FRAMES; frame++) {
    const at = (x: number, y: number) => (creeps(x, y) ? { dx: 0.002 * (frame - 1) } : {});
    const grid = gridOf(random, frame === 1 ? () => ({}) : at, { sigma: frame === 1 ? 0 : 0.03 });
    tracker.take({ frame: frameNumber(frame), grid, pair: null, parts: [] });
  }
  return tracker;
}

const lastCamera = (tracker: ShotTracker): number => {
  const dx = tracker.settledFrames().map(({ camera }) => camera?.dx ?? Number.NaN);
  return dx.slice(-8).reduce((sum, value) => sum + value, 0) / 8;
};

test("what is known to have moved no longer pulls the camera, and what isn't known any more counts again", () => {
  const tracker = tracked();
  const first = lastCamera(tracker);
  expect(first).toBeGreaterThan(0.006);
  tracker.leaveOut([box(240, 140, 480, 360)]);
  expect(Math.abs(lastCamera(tracker))).toBeLessThan(0.003);
  tracker.leaveOut([]);
  expect(lastCamera(tracker)).toBe(first);
});

test("where hardly any set would be left, what moved stays in", () => {
  const tracker = tracked();
  const first = lastCamera(tracker);
  tracker.leaveOut([box(0, 0, width, height - 40)]);
  expect(lastCamera(tracker)).toBe(first);
});
