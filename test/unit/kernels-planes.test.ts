import * as fc from "fast-check";
import { expect, test } from "vitest";
import { differenceScatter } from "../../src/measure/difference.ts";
import { toEvenScale } from "../../src/measure/even-scale.ts";
import { gaussianBlur } from "../../src/measure/gaussian.ts";
import { gainStops } from "../../src/measure/light-gain.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { halve, levelOf, prepareFrame, releaseFrame, withGradient } from "../../src/measure/prepared.ts";
import { searchShift } from "../../src/measure/search.ts";
import { splineCoefficients, splineGradient } from "../../src/measure/spline.ts";
import { heapWorkspace, KernelWorkspace, type Workspace } from "../../src/measure/workspace.ts";
import { openWorkspace } from "../../workers/kernels.ts";
import { createRandom } from "../support/random.ts";

// Each kernel against its TypeScript twin on random pictures of random size. The limits are several times the largest
// error seen, in the unit of what is compared; values run over the whole scale, 0 to 255 grey levels.

const opened = await openWorkspace();
if (!(opened instanceof KernelWorkspace)) throw new Error("WebAssembly has no SIMD here: nothing could be compared");
const kernels = opened;

const SEED = { seed: 20_260_325, numRuns: 60 };
const size = fc.integer({ min: 1, max: 90 });
const seed = fc.integer({ min: 0, max: 1e6 });

function noise(width: number, height: number, seedNumber: number, low: number, high: number): Plane {
  const random = createRandom(seedNumber, width, height);
  const plane = createPlane(width, height);
  for (let i = 0; i < plane.data.length; i++) plane.data[i] = random.between(low, high);
  return plane;
}

const largest = (a: Float32Array, b: Float32Array): number => {
  expect(a.length).toBe(b.length);
  let most = 0;
  for (let i = 0; i < a.length; i++) {
    const difference = Math.abs(a[i] - b[i]);
    // Not a number on one side alone is as wrong as can be.
    if (Number.isNaN(a[i]) !== Number.isNaN(b[i])) return Number.POSITIVE_INFINITY;
    if (difference > most) most = difference;
  }
  return most;
};

/** Runs `act` with both kinds of planes and gives the largest difference of what it returns. */
function compare(act: (workspace: Workspace) => Plane[]): number {
  const twin = act(heapWorkspace);
  const mine = act(kernels);
  const most = Math.max(...twin.map((plane, i) => largest(plane.data, mine[i].data)));
  for (const plane of mine) kernels.release(plane);
  return most;
}

/** The same values in a plane of the workspace that may be written to. */
function copyOf(workspace: Workspace, source: Plane): Plane {
  const plane = workspace.plane(source.width, source.height);
  plane.data.set(source.data);
  return plane;
}

test("even scale: within 3e-4 grey levels, beyond black and white too", () => {
  fc.assert(
    fc.property(size, size, seed, (width, height, number) => {
      const linear = noise(width, height, number, -0.1, 1.1);
      // Where the curve begins is looked at closely.
      for (let i = 0; i < linear.data.length; i += 3) linear.data[i] *= 0.01;
      return (
        compare((workspace) => {
          const plane = copyOf(workspace, linear);
          toEvenScale(plane, plane);
          return [plane];
        }) < 3e-4
      );
    }),
    SEED,
  );
});

test("even scale: the sRGB curve within 2e-4 grey levels, by kernel and by twin", () => {
  const linear = createPlane(1001, 1);
  for (let i = 0; i <= 1000; i++) linear.data[i] = i / 1000;
  for (const workspace of [heapWorkspace, kernels]) {
    const plane = copyOf(workspace, linear);
    toEvenScale(plane, plane);
    // IEC 61966-2-1, not quantised.
    const curve = linear.data.map((v) => 255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055));
    expect(largest(plane.data, curve)).toBeLessThan(2e-4);
    workspace.release(plane);
  }
});

test("Gaussian: within 1e-4 grey levels for every sigma", () => {
  const sigma = fc.constantFrom(0.3, 0.8, Math.sqrt(1.2 ** 2 - 0.8 ** 2), 1.2, Math.sqrt(4 - 0.8 ** 2), 2, 7.9);
  fc.assert(
    fc.property(size, size, seed, sigma, fc.boolean(), (width, height, number, s, inPlace) => {
      const source = noise(width, height, number, 0, 255);
      return (
        compare((workspace) => {
          const from = copyOf(workspace, source);
          const into = inPlace ? from : workspace.plane(width, height);
          const scratch = workspace.plane(width, height);
          gaussianBlur(from, s, into, scratch);
          workspace.release(scratch);
          if (!inPlace) workspace.release(from);
          return [into];
        }) < 1e-4
      );
    }),
    SEED,
  );
});

test("spline coefficients: within 1e-3 grey levels, and their gradient within 1e-4 a px of its twin on the same ones", () => {
  fc.assert(
    fc.property(size, size, seed, (width, height, number) => {
      const source = noise(width, height, number, 0, 255);
      const coefficients = compare((workspace) => {
        const plane = copyOf(workspace, source);
        splineCoefficients(plane);
        return [plane];
      });
      const gradient = compare((workspace) => {
        const plane = copyOf(workspace, source);
        const [x, y] = [workspace.plane(width, height), workspace.plane(width, height)];
        splineGradient(plane, x, y);
        workspace.release(plane);
        return [x, y];
      });
      return coefficients < 1e-3 && gradient < 1e-4;
    }),
    SEED,
  );
});

test("halving: within 1e-4 grey levels, odd sizes too", () => {
  fc.assert(
    fc.property(size, size, seed, (width, height, number) => {
      const source = noise(width, height, number, 0, 255);
      return (
        compare((workspace) => {
          const from = copyOf(workspace, source);
          const into = workspace.plane(width >> 1, height >> 1);
          halve(from, into);
          workspace.release(from);
          return [into];
        }) < 1e-4
      );
    }),
    SEED,
  );
});

test("a prepared frame: even levels within 3e-4, coefficients within 1e-3 grey levels, gradient within 1e-3 a px", () => {
  fc.assert(
    fc.property(size, size, seed, (width, height, number) => {
      const linear = noise(width, height, number, 0, 1);
      const frames = [heapWorkspace, kernels].map((workspace) => {
        const frame = withGradient(prepareFrame(linear, 0.8, workspace));
        levelOf(frame, 2);
        return frame;
      });
      const worst = (key: "even" | "coefficients" | "half" | "quarter" | "gradientX" | "gradientY"): number =>
        largest(frames[0][key].data, frames[1][key].data);
      const coarse = frames.map((frame) => levelOf(frame, 2).coefficients.data);
      const good =
        worst("even") < 3e-4 &&
        worst("half") < 3e-4 &&
        worst("quarter") < 3e-4 &&
        worst("coefficients") < 1e-3 &&
        worst("gradientX") < 1e-3 &&
        worst("gradientY") < 1e-3 &&
        largest(coarse[0], coarse[1]) < 1e-3;
      releaseFrame(frames[1]);
      return good;
    }),
    SEED,
  );
});

test("search by whole px: the same shift and correlations within 1e-5, where twin and kernel look at the same piece", () => {
  const piece = fc.integer({ min: 1, max: 33 });
  const away = fc.integer({ min: -4, max: 4 });
  fc.assert(
    fc.property(piece, fc.integer({ min: 0, max: 6 }), seed, away, away, (side, radius, number, ax, ay) => {
      const random = createRandom(number);
      const pictures = [noise(70, 60, number, 100, 140), noise(70, 60, number + 1, 100, 140)];
      const [left, top] = [random.integer(70 - side), random.integer(60 - side)];
      const planes = pictures.map((picture) => copyOf(kernels, picture));
      const twin = searchShift(pictures[0], pictures[1], left, top, side, radius, ax, ay);
      const mine = searchShift(planes[0], planes[1], left, top, side, radius, ax, ay);
      for (const plane of planes) kernels.release(plane);
      if (twin === null || mine === null) return twin === mine;
      // One px has no contrast to correlate; pieces of a few px fit perfectly in many places.
      const same = twin.dx === mine.dx && twin.dy === mine.dy;
      return (
        Math.abs(twin.correlation - mine.correlation) < 1e-5 &&
        (same || twin.correlation - twin.rival < 1e-5 || twin.correlation > 1 - 1e-5) &&
        (!same || Math.abs(twin.rival - mine.rival) < 1e-5)
      );
    }),
    { ...SEED, numRuns: 200 },
  );
});

test("scatter of a difference within 1e-3 grey levels, gain of the light within 1e-6 stops", () => {
  const side = fc.integer({ min: 2, max: 40 });
  const part = fc.double({ min: -3, max: 3, noNaN: true });
  fc.assert(
    fc.property(side, seed, part, part, (square, number, dx, dy) => {
      const random = createRandom(number);
      const pictures = [noise(60, 50, number, 0.1, 0.9), noise(60, 50, number + 1, 0.1, 0.9)];
      const levels = pictures.map((picture) => noise(60, 50, Math.round(picture.data[0] * 1e6), 0, 255));
      const [left, top] = [random.integer(60 - square), random.integer(50 - square)];
      const both = [pictures, pictures.map((picture) => copyOf(kernels, picture))] as const;
      const bothLevels = [levels, levels.map((picture) => copyOf(kernels, picture))] as const;
      const scatters = bothLevels.map(([a, b]) => differenceScatter(a, b, left, top, square));
      const gains = both.map(([a, b]) => gainStops(a, b, left, top, square, dx, dy));
      for (const plane of [...both[1], ...bothLevels[1]]) kernels.release(plane);
      const sameGain = Number.isNaN(gains[0]) ? Number.isNaN(gains[1]) : Math.abs(gains[0] - gains[1]) < 1e-6;
      return Math.abs(scatters[0] - scatters[1]) < 1e-3 && sameGain;
    }),
    { ...SEED, numRuns: 200 },
  );
});
