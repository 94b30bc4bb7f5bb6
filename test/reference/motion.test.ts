import { existsSync, readFileSync } from "node:fs";
import { gunzipSync } from "node:zlib";
import { expect, test } from "vitest";
import { decodePng } from "../../src/decode/png.ts";
import { reduceToLuma } from "../../src/decode/reduce.ts";
import { linearOfSrgb } from "../../src/decode/transfer.ts";
import { bestTemplate } from "../../src/measure/choose-prefilter.ts";
import { PartRegistrar } from "../../src/measure/part-register.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { prepareFrame, withGradient } from "../../src/measure/prepared.ts";
import { median } from "../../src/measure/statistics/robust.ts";
import { subsetReference, SubsetSolver } from "../../src/measure/subset.ts";
import { createRandom, type Random } from "../support/random.ts";
import rubberWhale from "./rubberwhale-patches.json" with { type: "json" };

const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

// Cramer-Rao bound of a shift, after Robinson & Milanfar 2004, Fundamental performance limits in image registration
// (formula from memory): var(dx) >= sigma^2 / sum(fx^2). Values computed apart from this project: sinusoid of amplitude
// 50 and period 16 px, 32 x 32 px, sigma 2.
const AMPLITUDE = 50;
const PERIOD = 16;
const SIDE = 32;
const SIGMA = 2;
const GRADIENT_ENERGY = 197392.088;
const BOUND_ONE_NOISY = 0.0045016;
const BOUND_BOTH_NOISY = 0.0063662;

const FREQUENCY = (2 * Math.PI) / PERIOD;
const MARGIN = 10;

/**
 * The sinusoid as a picture in linear light, moved by (dx, dy), with noise on the scale of grey levels. The same wave runs
 * downwards too, so that there is something to measure in y: it has no share in fx.
 */
function wave(dx: number, dy: number, sigma: number, random: Random): Plane {
  const plane = createPlane(SIDE + 2 * MARGIN, SIDE + 2 * MARGIN);
  for (let y = 0; y < plane.height; y++)
    for (let x = 0; x < plane.width; x++) {
      const value = Math.sin(FREQUENCY * (x - dx)) + Math.sin(FREQUENCY * (y - dy));
      const grey = 128 + AMPLITUDE * value + sigma * random.normal();
      plane.data[y * plane.width + x] = linearOfSrgb(grey / 255);
    }
  return plane;
}

test("the gradient energy and the bounds of the sinusoid are those computed elsewhere", () => {
  let energy = 0;
  for (let x = 0; x < SIDE; x++) energy += SIDE * (AMPLITUDE * FREQUENCY * Math.cos(FREQUENCY * x)) ** 2;
  expect(energy).toBeCloseTo(GRADIENT_ENERGY, 3);
  expect(SIGMA / Math.sqrt(energy)).toBeCloseTo(BOUND_ONE_NOISY, 7);
  expect((Math.SQRT2 * SIGMA) / Math.sqrt(energy)).toBeCloseTo(BOUND_BOTH_NOISY, 7);
});

const solver = new SubsetSolver(SIDE);

/** Errors of dx and dy over so many pairs of frames, the second one moved. */
function subsetErrors(pairs: number, referenceSigma: number): { dx: number[]; dy: number[] } {
  const random = createRandom(1, referenceSigma);
  const [dx, dy]: number[][] = [[], []];
  for (let i = 0; i < pairs; i++) {
    const [shiftX, shiftY] = [random.between(-0.5, 0.5), random.between(-0.5, 0.5)];
    const reference = withGradient(prepareFrame(wave(0, 0, referenceSigma, random)));
    const piece = subsetReference(reference, MARGIN, MARGIN, SIDE)!;
    const found = solver.solve(reference, piece, prepareFrame(wave(shiftX, shiftY, SIGMA, random)), 0, 0, 2);
    dx.push(found.dx - shiftX);
    dy.push(found.dy - shiftY);
  }
  return { dx, dy };
}

// 300 pairs tell a standard deviation to 4 %. The subset has a gain and an offset of its own, which whole periods of a
// sinusoid don't share information with; the prefilter takes as much of the wave as of the noise at its frequency.
test.each([
  ["one frame noisy", 0, BOUND_ONE_NOISY],
  ["both frames noisy", SIGMA, BOUND_BOTH_NOISY],
] as const)("a subset of the sinusoid, %s, scatters by the Cramer-Rao bound to 15 %", (_, referenceSigma, bound) => {
  const { dx, dy } = subsetErrors(300, referenceSigma);
  for (const errors of [dx, dy]) {
    expect(rms(errors) / bound).toBeGreaterThan(0.88);
    expect(rms(errors) / bound).toBeLessThan(1.15);
  }
});

test("a part with the sinusoid on it, both frames noisy, scatters by less than 1.25 times the Cramer-Rao bound", () => {
  // One pixel of a small part's edge is taken off: 34 px leave 32. Turn, and gain and offset of each tile, are unknown too.
  const [low, high] = [MARGIN - 1, MARGIN + SIDE + 1];
  const outline = [
    [low, low],
    [high, low],
    [high, high],
    [low, high],
  ] as const;
  const middle = (low + high) / 2;
  const registrar = new PartRegistrar();
  const random = createRandom(2);
  const errors: number[] = [];
  for (let i = 0; i < 150; i++) {
    const [shiftX, shiftY] = [random.between(-0.5, 0.5), random.between(-0.5, 0.5)];
    const chosen = bestTemplate(prepareFrame(wave(0, 0, SIGMA, random)), [], outline, [], [middle, middle], 1)!;
    expect(chosen.template.count).toBe(SIDE * SIDE);
    const found = registrar.register(chosen, prepareFrame(wave(shiftX, shiftY, SIGMA, random)));
    errors.push(found.dx - shiftX, found.dy - shiftY);
  }
  expect(rms(errors) / BOUND_BOTH_NOISY).toBeGreaterThan(0.9);
  expect(rms(errors) / BOUND_BOTH_NOISY).toBeLessThan(1.25);
});

interface Shift {
  readonly dx: number;
  readonly dy: number;
}

// RubberWhale: real objects in real photographs. Baker, Scharstein, Lewis, Roth, Black, Szeliski, A Database and
// Evaluation Methodology for Optical Flow, IJCV 92:1-31, 2011, frames 10 and 11; their hidden-texture ground truth
// averaged over patches of 40 x 40 px (rubberwhale-patches.json). Good codes reach a median error of 0.022 px.
// `npm test` fetches the frames and says where they are; without it they are looked for where Debian puts them.
const FOLDER = process.env["PHOTOGRAPHS"] || "/usr/share/doc/opencv-doc/examples/data";
const files = ["rubberwhale1.png", "rubberwhale2.png"].map((name) =>
  [`${FOLDER}/${name}`, `${FOLDER}/${name}.gz`].find((file) => existsSync(file)),
);
const missing = files.some((file) => file === undefined);
const note = missing
  ? `: SKIPPED, since the frames are not on this machine (apt-get install opencv-doc puts them into ${FOLDER})`
  : "";
if (missing) process.stderr.write(`RubberWhale${note}\n`);

function photograph(file: string): Plane {
  const bytes = new Uint8Array(readFileSync(file));
  const pixels = decodePng(file.endsWith(".gz") ? new Uint8Array(gunzipSync(bytes)) : bytes);
  return reduceToLuma(pixels, pixels.width);
}

const endPointError = (found: Shift, truth: Shift): number => Math.hypot(found.dx - truth.dx, found.dy - truth.dy);

test("the end-point error of (1, 0) against (0, 1) is that of the Middlebury benchmark, 1.41421 px", () => {
  expect(endPointError({ dx: 1, dy: 0 }, { dx: 0, dy: 1 })).toBeCloseTo(Math.SQRT2, 5);
});

const endPointErrors = (find: (left: number, top: number) => Shift): number[] =>
  rubberWhale.patches.map(({ x, y, ...truth }) => endPointError(find(x, y), truth));

const expectNearTruth = (errors: readonly number[]): void => {
  expect(errors).toHaveLength(12);
  expect(median(errors)).toBeLessThanOrEqual(0.022);
  expect(Math.max(...errors)).toBeLessThanOrEqual(0.06);
};

test.skipIf(missing)(
  `patches of RubberWhale, as parts, are found to 0.022 px in the median and 0.06 px at most${note}`,
  () => {
    const [before, after] = files.map((file) => prepareFrame(photograph(file!)));
    const registrar = new PartRegistrar();
    const { size } = rubberWhale;
    expectNearTruth(
      endPointErrors((left, top) => {
        const outline = [
          [left, top],
          [left + size, top],
          [left + size, top + size],
          [left, top + size],
        ] as const;
        const chosen = bestTemplate(before, [], outline, [], [left + size / 2, top + size / 2], 1)!;
        return registrar.register(chosen, after);
      }),
    );
  },
);

test.skipIf(missing)(
  `patches of RubberWhale, as subsets, are found to 0.022 px in the median and 0.06 px at most${note}`,
  () => {
    const [before, after] = files.map((file) => prepareFrame(photograph(file!)));
    const reference = withGradient(before);
    const wide = new SubsetSolver(rubberWhale.size);
    expectNearTruth(
      endPointErrors((left, top) => {
        const piece = subsetReference(reference, left, top, rubberWhale.size)!;
        return { ...wide.solve(reference, piece, after, 0, 0, 4) };
      }),
    );
  },
);
