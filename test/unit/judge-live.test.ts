import { expect, test } from "vitest";
import { defaultBands } from "../../src/analysis/kinds/index.ts";
import { thresholdsFor } from "../../src/analysis/kinds/threshold-at.ts";
import type { JudgeInput } from "../../src/analysis/series.ts";
import { createRandom } from "../support/random.ts";
import { box, framesOf, holdOf, judge, numbers, partOf, type Path, shot, sliding, still } from "./judge-series.ts";

// A running shot is judged after every frame. Many looks at one hold must not add up to many false alarms.

const everythingReal = Object.fromEntries(Object.keys(defaultBands).map((key) => [key, 0]));
const outline = box(400, 200, 430, 320);
const head = partOf("head", "Head", "head");

/** The shot as it was known when a frame was the newest. */
const upTo = (input: JudgeInput, last: number): JudgeInput => ({
  ...input,
  live: true,
  frames: input.frames.filter(({ frame }) => frame <= last),
  holds: input.holds.map((hold) => ({ ...hold, rows: hold.rows.filter(({ frame }) => frame <= last) })),
});

const oneHold = (seed: number, n: number, path: Path): JudgeInput => {
  const random = createRandom(0x6c69, seed);
  const options = { truth: random.between(0.8, 2), rho: random.between(0, 0.3), afterMove: random.next() < 0.3 };
  return shot([], [holdOf(random, head, outline, numbers(1, n), [path], options)], { bands: everythingReal });
};

test("with every band at zero a still hold that is judged after every frame raises a false alarm about once in 1000", () => {
  const holds = 700;
  const looks = 30;
  let alarms = 0;
  for (let seed = 0; seed < holds; seed++) {
    const input = oneHold(seed, looks, still);
    const newest = numbers(3, looks);
    if (newest.some((last) => judge(upTo(input, last)).flags.length > 0)) alarms++;
  }
  // Poisson of 0.7: more than 4 once in 1200. With the thresholds of a single look there are about ten.
  expect(alarms).toBeLessThanOrEqual(4);
}, 180_000);

test("thresholds for a running shot lie above those for a single look, and are told in the report", () => {
  for (const name of ["held", "camera", "light", "shape"] as const) {
    for (const family of ["slow", "step", "pop"] as const) {
      expect(thresholdsFor(name, 24, true)[family]).toBeGreaterThan(thresholdsFor(name, 24)[family]);
    }
  }
  const input = oneHold(1, 24, still);
  expect(judge({ ...input, live: true }).thresholds.knock).toBeGreaterThan(judge(input).thresholds.knock);
});

test("a sag of 0.03 px a frame is told while it is shot, a few frames after its onset", () => {
  const sag = sliding([0, 1], (frame) => 0.03 * (frame - 1));
  for (let seed = 0; seed < 10; seed++) {
    const input = oneHold(seed, 24, sag);
    const first = numbers(3, 24).find((last) => judge(upTo(input, last)).flags.length > 0);
    expect(first).toBeLessThanOrEqual(16);
  }
});

test("at the newest frame of a running shot a knock and a pop can't be told apart, and the flag says so; one frame later it can", () => {
  const random = createRandom(0x6c69, 99);
  const frames = numbers(1, 14);
  const told = (path: Path, last: number) => {
    const hold = holdOf(random, head, outline, frames, [path]);
    return judge(upTo(shot(framesOf(random, frames), [hold]), last)).flags.map(({ kind, message }) => [kind, message]);
  };
  const knocked = sliding([1, 0], (frame) => (frame >= 12 ? 0.8 : 0));
  const popped = sliding([1, 0], (frame) => (frame === 12 ? 0.8 : 0));
  for (const path of [knocked, popped]) {
    const [[kind, message]] = told(path, 12);
    expect(kind).toBe("knock");
    expect(message).toContain(
      "at frame 12, the newest: the next frame will tell whether it was knocked and stays or was out for this frame alone",
    );
  }
  expect(told(knocked, 13).map(([kind]) => kind)).toEqual(["knock"]);
  expect(told(popped, 13).map(([kind]) => kind)).toEqual(["pop"]);
});
