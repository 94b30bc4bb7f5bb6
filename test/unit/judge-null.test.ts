import { expect, test } from "vitest";
import { defaultBands } from "../../src/analysis/kinds/index.ts";
import { thresholdsFor } from "../../src/analysis/kinds/threshold-at.ts";
import { createRandom } from "../support/random.ts";
import { box, framesOf, holdOf, inShort, judge, numbers, partOf, shot, sliding, still } from "./judge-series.ts";

const everythingReal = Object.fromEntries(Object.keys(defaultBands).map((key) => [key, 0]));
const outline = box(400, 200, 430, 320);
const head = partOf("head", "Head", "head");

/** A hold in which nothing happens: noise 0.8 to 2 times what is reported, correlated from frame to frame by up to 0.3. */
function nothing(seed: number, n: number) {
  const random = createRandom(2, seed, n);
  const frames = numbers(1, n);
  const options = { truth: random.between(0.8, 2), rho: random.between(0, 0.3), afterMove: random.next() < 0.3 };
  return shot(framesOf(random, frames), [holdOf(random, head, outline, frames, [still], options)]);
}

test("with every band at zero about one still hold in 1000 raises a false alarm", () => {
  const holds = 4800;
  let alarms = 0;
  for (let seed = 0; seed < holds; seed++) {
    const { flags } = judge({ ...nothing(seed, [6, 12, 24, 36][seed % 4]), bands: everythingReal });
    if (flags.some(({ part }) => part !== null)) alarms++;
  }
  // Poisson of 4.8: more than 12 once in 700.
  expect(alarms).toBeLessThanOrEqual(12);
}, 120_000);

test("with every band at zero about one still shot in 1000 raises a false alarm of camera or light", () => {
  const shots = 3000;
  let alarms = 0;
  for (let seed = 0; seed < shots; seed++) {
    const random = createRandom(3, seed);
    const frames = framesOf(random, numbers(1, 24), { flicker: random.between(0.002, 0.012), shapeFlicker: 0.003 });
    if (judge({ ...shot(frames, []), bands: everythingReal }).flags.length > 0) alarms++;
  }
  // At most two in 1000 from both: more than 13 once in 200.
  expect(alarms).toBeLessThanOrEqual(13);
}, 120_000);

test("with the bands as they are a still shot of six parts says nothing, whatever its camera and flicker do below them", () => {
  for (let seed = 0; seed < 150; seed++) {
    const random = createRandom(4, seed);
    const frames = numbers(1, 24);
    const rows = framesOf(random, frames, {
      camera: (frame) => ({ dx: 0.002 * frame, dy: frame > 12 ? 0.05 : 0 }),
      flicker: random.between(0.002, 0.01),
      shapeFlicker: 0.003,
    });
    const holds = Array.from({ length: 6 }, (_, k) =>
      holdOf(random, partOf(`part-${k}`, `Part ${k}`), box(100 * k, 100, 100 * k + 60, 220), frames, [still], {
        sigma: random.between(0.005, 0.03),
        truth: random.between(0.8, 2),
        rho: 0.3,
        afterMove: k % 2 === 0,
      }),
    );
    expect(inShort(judge(shot(rows, holds)))).toEqual([]);
  }
});

test("what a large textured part must be able to show is significant: knock 0.02 px, pop 0.05 px, sag 0.01 px a frame", () => {
  const frames = numbers(1, 24);
  const paths = {
    knock: sliding([0, 1], (frame) => (frame >= 12 ? 0.02 : 0)),
    pop: sliding([0, 1], (frame) => (frame === 12 ? 0.05 : 0)),
    sag: sliding([0, 1], (frame) => 0.01 * (frame - 1)),
  };
  for (const [kind, path] of Object.entries(paths)) {
    let told = 0;
    for (let seed = 0; seed < 20; seed++) {
      const random = createRandom(5, seed);
      const hold = holdOf(random, head, box(400, 200, 600, 400), frames, [path], { sigma: 0.004 });
      const { flags } = judge({ ...shot(framesOf(random, frames), [hold]), bands: everythingReal });
      if (flags.some((flag) => flag.kind === kind)) told++;
    }
    expect(told, kind).toBeGreaterThanOrEqual(18);
  }
});

test("thresholds go smoothly from one length of hold to the next", () => {
  for (const name of ["held", "camera", "light", "shape"] as const) {
    for (let rows = 8; rows < 900; rows++) {
      const [one, next] = [thresholdsFor(name, rows), thresholdsFor(name, rows + 1)];
      for (const family of ["slow", "step", "pop"] as const) {
        expect(one[family]).toBeGreaterThan(4);
        expect(Math.abs(next[family] - one[family])).toBeLessThan(0.8);
      }
    }
  }
});
