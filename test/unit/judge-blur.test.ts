import { expect, test } from "vitest";
import { blursOf, isOfBlur } from "../../src/analysis/kinds/evidence/moved-by-blur.ts";
import { focusChanges } from "../../src/analysis/kinds/evidence/focus-change.ts";
import { createRandom } from "../support/random.ts";
import { box, framesOf, holdOf, judge, numbers, partOf, shot, sliding } from "./judge-series.ts";

const frames = numbers(1, 24);
const jar = partOf("arm-left", "Left arm", "limb");

/** The picture loses a share of its sharpness from frame 12 on, and in the same frame or a later one the arm jumps. */
function touched(seed: number, loss: number, jump: number, at = 12) {
  const random = createRandom(seed, 0x626c);
  const rows = framesOf(random, frames).map((row) => {
    if (row.frame === 1) return row;
    const value = (row.frame >= 12 ? loss : 0) + 0.003 * random.normal();
    return { ...row, focus: { loss: value, sigma: 0.003, regions: [], regionSigmas: [] } };
  });
  const path = sliding([1, 0], (frame) => (frame >= at ? jump : 0));
  return { ...shot(rows, [holdOf(random, jar, box(100, 100, 200, 200), frames, [path])]), bands: { knock: 0 } };
}

test("a focus that is touched and moves a texture by less than its blur is told as the focus alone", () => {
  for (let seed = 0; seed < 10; seed++) {
    expect(judge(touched(seed, 0.26, 0.13)).flags.map(({ kind }) => kind)).toEqual(["soft"]);
    expect(judge(touched(seed, 0.26, 0.13, 17)).flags.map(({ kind }) => kind)).toEqual(["soft", "knock"]);
    expect(
      judge(touched(seed, 0.26, 0.4))
        .flags.map(({ kind }) => kind)
        .toSorted(),
    ).toEqual(["knock", "soft"]);
    expect(judge(touched(seed, 0, 0.13)).flags.map(({ kind }) => kind)).toEqual(["knock"]);
  }
});

test("a loss of sharpness stands for the blur that takes it from waves of 3 px", () => {
  // A Gaussian of 0.37 px leaves exp(-2 (pi 0.37 / 3)^2) = 0.741 of a wave of 3 px.
  const [blur] = blursOf(focusChanges(touched(3, 0.259, 0).frames, 0.05));
  expect(blur.from).toBe(12);
  expect(Math.abs(blur.sigma - 0.37)).toBeLessThan(0.01);
  expect(isOfBlur({ from: 12, family: "step" }, 0.01, [blur], "camera")).toBe(true);
  expect(isOfBlur({ from: 12, family: "step" }, 0.03, [blur], "camera")).toBe(false);
  expect(isOfBlur({ from: 13, family: "step" }, 0.01, [blur], "camera")).toBe(false);
});
