import { describe, expect, test } from "vitest";
import { jitterOf } from "../../src/analysis/kinds/evidence/left-over-jitter.ts";
import { sizeOf } from "../../src/analysis/kinds/evidence/left-over-size.ts";
import { stepWeights } from "../../src/analysis/kinds/evidence/left-over-step.ts";
import { stepContrasts } from "../../src/analysis/kinds/evidence/left-over-contrast.ts";
import { nodeSeries } from "../../src/analysis/kinds/evidence/left-over-windows.ts";
import type { LeftOverSeries } from "../../src/analysis/series.ts";
import { createPart } from "../../src/model/index.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";

// Surfaces whose nodes average over 21 px of a displacement that is known everywhere, with noise of known size.

const SIDE = 12;
const STEP = 8;
const SIZE = 21;
const FRAMES = 24;

type Moved = (x: number, y: number, row: number) => readonly [number, number];

function surface(seed: number, sigma: number, held: boolean, moved: Moved): LeftOverSeries {
  const random = createRandom(seed, 0x73697a65);
  const count = SIDE * SIDE;
  const cells = Array.from({ length: count }, (_, i) => [i % SIDE, Math.floor(i / SIDE)]).flat();
  const [dx, dy] = [new Float32Array(FRAMES * count), new Float32Array(FRAMES * count)];
  // Subsets share pixels, and with them their noise: each is the mean of five by five of a lattice of half a node's step.
  const wide = 2 * (SIDE - 1) + 5;
  for (let r = 0; r < FRAMES; r++) {
    const white = [0, 1].map(() => Float64Array.from({ length: wide * wide }, () => random.normal()));
    const noise = (axis: number, i: number): number => {
      let sum = 0;
      for (let k = 0; k < 25; k++)
        sum += white[axis][(2 * cells[2 * i + 1] + Math.floor(k / 5)) * wide + 2 * cells[2 * i] + (k % 5)];
      return (sigma / Math.SQRT2) * (sum / 5);
    };
    for (let i = 0; i < count; i++) {
      let [x, y] = [0, 0];
      for (let k = 0; k < 49; k++) {
        const [u, v] = moved(
          STEP * cells[2 * i] + SIZE * (((k % 7) + 0.5) / 7 - 0.5),
          STEP * cells[2 * i + 1] + SIZE * ((Math.floor(k / 7) + 0.5) / 7 - 0.5),
          r,
        );
        [x, y] = [x + u / 49, y + v / 49];
      }
      dx[r * count + i] = x + noise(0, i);
      dy[r * count + i] = y + noise(1, i);
    }
  }
  return {
    part: createPart({ id: "surface", name: "Surface", kind: "costume", outlines: [] }),
    anchor: frameNumber(1),
    held,
    carrierBy: "carrier",
    frames: Array.from({ length: FRAMES }, (_, r) => frameNumber(r + 1)),
    step: px(STEP),
    size: px(SIZE),
    cells,
    places: new Float64Array(2 * count),
    dx,
    dy,
    found: new Uint8Array(FRAMES * count).fill(1),
    covariance: Float64Array.from(Array.from({ length: count }, () => [sigma ** 2, 0, sigma ** 2]).flat()),
    carrierCovariance: new Float64Array(3 * FRAMES),
  };
}

const MIDDLE = 44;
const ROW = 12;

/** Told height of a patch of 1 px, and its sigma. */
function toldOf(seed: number, shape: (far: number) => number, sigma = 0.1) {
  const series = surface(seed, sigma, true, (x, y, r) => [r < ROW ? 0 : shape(Math.hypot(x - MIDDLE, y - MIDDLE)), 0]);
  const nodes = nodeSeries(series);
  const members = nodes.flatMap((_, i) =>
    shape(Math.hypot(STEP * series.cells[2 * i] - MIDDLE, STEP * series.cells[2 * i + 1] - MIDDLE)) > 0.5 ? [i] : [],
  );
  const [contrast] = stepContrasts(ROW, FRAMES, false);
  const told = sizeOf(series, nodes, contrast, members, [1, 0], false);
  if (told === null) throw new Error("the patch has no size");
  return told;
}

describe("the size of a patch", () => {
  test.each([
    ["a soft bump of 40 px radius", (far: number) => Math.max(0, 1 - (far / 40) ** 2) ** 2],
    ["a plateau of 34 px radius", (far: number) => (far < 34 ? 1 : 0)],
    ["all of the surface", () => 1],
  ] as const)("%s is told to a tenth on the average, with a sigma that holds", (_, shape) => {
    const told = Array.from({ length: 6 }, (__, seed) => toldOf(seed, shape));
    const mean = told.reduce((sum, one) => sum + one.px, 0) / told.length;
    expect(Math.abs(mean - 1)).toBeLessThan(0.1);
    for (const one of told) {
      expect(Math.abs(one.px - 1)).toBeLessThan(0.15);
      expect(Math.abs(one.px - 1)).toBeLessThan(3 * one.sigma);
    }
  });
});

describe("the weights of a step", () => {
  const noisy = (seed: number, white: number, walk: number): Float64Array => {
    const random = createRandom(seed, 0x77);
    let level = 0;
    return Float64Array.from({ length: FRAMES }, (_, r) => {
      level += walk * random.normal();
      return level + white * random.normal() + (r < ROW ? 0 : 5);
    });
  };

  test.each([
    ["rows that are independent", 0.1, 0, 0.06],
    ["rows that wander", 0, 0.1, 0.13],
    ["rows that do both", 0.1, 0.1, 0.2],
  ] as const)("%s: the step is told about as well as it can be, with a sigma that holds", (_, white, walk, atMost) => {
    let [square, ratio] = [0, 0];
    const rounds = 200;
    for (let seed = 0; seed < rounds; seed++) {
      const trace = noisy(seed, white, walk);
      const told = stepWeights(trace, ROW, false);
      if (told === null) throw new Error("no weights");
      const value = trace.reduce((sum, one, r) => sum + one * told.weights[r], 0);
      square += (value - 5) ** 2 / rounds;
      ratio += ((value - 5) / told.sigma) ** 2 / rounds;
    }
    expect(Math.sqrt(square)).toBeLessThan(atMost);
    expect(Math.sqrt(ratio)).toBeGreaterThan(0.7);
    expect(Math.sqrt(ratio)).toBeLessThan(1.7);
  });

  test("a steady way beneath is no part of the step", () => {
    const trace = Float64Array.from({ length: FRAMES }, (_, r) => 0.2 * r + (r % 2) * 0.01 + (r < ROW ? 0 : 1));
    const told = stepWeights(trace, ROW, true);
    expect(trace.reduce((sum, one, r) => sum + one * (told?.weights[r] ?? Number.NaN), 0)).toBeCloseTo(1, 1);
  });
});

test("a boil is told as the 95th percentile of what the surface did, subsets and noise taken into account", () => {
  const random = createRandom(7, 0x62);
  // Plane waves of 60 to 90 px in each frame, 0.3 px rms a component.
  const waves = Array.from({ length: FRAMES }, () =>
    [0, 1].map(() =>
      Array.from({ length: 6 }, () => {
        const [angle, k] = [random.between(0, 2 * Math.PI), (2 * Math.PI) / random.between(60, 90)];
        return [k * Math.cos(angle), k * Math.sin(angle), random.between(0, 2 * Math.PI)] as const;
      }),
    ),
  );
  const at = (x: number, y: number, r: number): readonly [number, number] => {
    const [u, v] = waves[r].map((all) =>
      all.reduce((sum, [kx, ky, phase]) => sum + (0.3 / Math.sqrt(3)) * Math.sin(kx * x + ky * y + phase), 0),
    );
    return [u, v];
  };
  const jitter = jitterOf(surface(3, 0.06, true, at));
  // The same of points all over the surface.
  const places = Array.from({ length: 26 * 26 }, (_, k) => [(k % 26) * 4 - 6, Math.floor(k / 26) * 4 - 6] as const);
  const rows = Array.from({ length: FRAMES }, (_, r) => {
    const moved = places.map(([x, y]) => at(x, y, r));
    const mean = [0, 1].map((axis) => moved.reduce((sum, one) => sum + one[axis], 0) / moved.length);
    return moved.map((one) => [one[0] - mean[0], one[1] - mean[1]] as const);
  });
  const lengths = places.flatMap((_, k) => {
    const mean = [0, 1].map((axis) => rows.reduce((sum, row) => sum + row[k][axis], 0) / FRAMES);
    return rows.map((row) => Math.hypot(row[k][0] - mean[0], row[k][1] - mean[1]));
  });
  const truth = lengths.sort((a, b) => a - b)[Math.floor(0.95 * lengths.length)];
  expect(Math.abs((jitter?.px ?? Number.NaN) - truth), `${jitter?.px} px, truth ${truth}`).toBeLessThan(0.05);
});
