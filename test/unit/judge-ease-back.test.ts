import { expect, test } from "vitest";
import { frameNumber } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import {
  box,
  framesOf,
  type FrameOptions,
  holdOf,
  judge,
  numbers,
  partOf,
  type Path,
  shot,
  sliding,
} from "./judge-series.ts";

const outline = box(400, 200, 430, 320);
const moves = { from: frameNumber(31), to: frameNumber(36), intent: "moves" as const, wears: null };
const torso = partOf("torso", "Torso", "body", { intents: [moves] });
const arm = partOf("arm-left", "Left arm", "limb", { carrier: "torso" });
const frames = numbers(1, 24);

function easeBackOf(path: Path, options: FrameOptions = {}, parts = [arm]) {
  const random = createRandom(0x6561);
  const hold = holdOf(random, arm, outline, frames, [path]);
  return judge(shot(framesOf(random, frames, options), [hold], { parts })).flags.find(({ part }) => part !== null);
}

test("a sag is eased back over so many frames that no step of the correction is noticed", () => {
  const flag = easeBackOf(sliding([0, 1], (frame) => 0.03 * (frame - 1)));
  const easeBack = flag?.easeBack;
  expect(easeBack).toBeDefined();
  const { steps = [], pxPerFrame = 0, unnoticedPx = 0, direction = null } = easeBack ?? {};
  expect(steps).toHaveLength(easeBack?.frames ?? 0);
  expect(steps.at(-1)).toBeCloseTo(flag?.px ?? 0, 9);
  const each = steps.map((step, k) => step - (steps[k - 1] ?? 0));
  expect(Math.max(...each)).toBeCloseTo(pxPerFrame, 9);
  expect(pxPerFrame).toBeLessThanOrEqual(unnoticedPx);
  // One frame fewer would be seen.
  expect((Math.PI * (flag?.px ?? 0)) / 2 / (steps.length - 1)).toBeGreaterThan(0.99 * unnoticedPx);
  expect(direction?.[1]).toBeLessThan(-0.9);
  expect(easeBack?.from).toBe(25);
  expect(easeBack?.message).toMatch(
    /^Ease it back over the next \d+ frames, up, softly at both ends, at most 0\.0\d+ px(?: \(0\.\d+ mm\))? a frame\. \(.*common practice, no source\.\)$/,
  );
});

test("the next declared move of what carries the part is named to hide the correction in", () => {
  const { easeBack } =
    easeBackOf(
      sliding([1, 0], (frame) => (frame < 12 ? 0 : 0.6)),
      {},
      [arm, torso],
    ) ?? {};
  expect(easeBack?.move).toEqual({ part: "torso", from: 31, to: 36 });
  expect(easeBack?.message).toContain(", left, ");
  expect(easeBack?.message).toContain("or hide it in the move of frames 31 to 36");
});

test("the ghost is where the part was at its anchor, seen by the camera as it stands now", () => {
  const camera = (frame: number) => (frame < 15 ? {} : { dx: 4, dy: -2, turn: 0.01 });
  const { easeBack } =
    easeBackOf(
      sliding([0, 1], (frame) => 0.05 * (frame - 1)),
      { camera },
    ) ?? {};
  expect(easeBack?.ghostFrame).toBe(24);
  const [ghost] = easeBack?.ghost ?? [];
  expect(ghost.part).toBe("arm-left");
  ghost.outline.forEach(([x, y], i) => {
    const [u, v] = [outline[i][0] - 640, outline[i][1] - 360];
    expect(Math.abs(x - (640 + 4 + Math.cos(0.01) * u - Math.sin(0.01) * v))).toBeLessThan(0.03);
    expect(Math.abs(y - (360 - 2 + Math.sin(0.01) * u + Math.cos(0.01) * v))).toBeLessThan(0.03);
  });
});

test("what was put right already, and one frame that was out, need no easing back", () => {
  expect(easeBackOf(sliding([1, 0], (frame) => (frame > 6 && frame < 12 ? 0.8 : 0)))?.easeBack).toBeUndefined();
  expect(easeBackOf(sliding([1, 0], (frame) => (frame === 9 ? 0.8 : 0)))?.easeBack).toBeUndefined();
});
