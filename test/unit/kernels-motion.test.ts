import * as fc from "fast-check";
import { expect, test, vi } from "vitest";
import { gridReference, measureGrid, measurePair } from "../../src/measure/grid.ts";
import { PartRegistrar } from "../../src/measure/part-register.ts";
import { partTemplate } from "../../src/measure/part-template.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { prepareFrame, releaseFrame, withGradient } from "../../src/measure/prepared.ts";
import { subsetReference, SubsetSolver } from "../../src/measure/subset.ts";
import type { SubsetShape } from "../../src/measure/subset-shape.ts";
import { heapWorkspace, KernelWorkspace } from "../../src/measure/workspace.ts";
import { openWorkspace } from "../../workers/kernels.ts";
import { createRandom } from "../support/random.ts";

// Subsets and parts measured by the kernels and by their twins, on random textures, motions, light and noise. Both do
// the same sums in another order and precision: what is told must agree far below any sigma (its floor is 0.0015 px).

const opened = await openWorkspace();
if (!(opened instanceof KernelWorkspace)) throw new Error("WebAssembly has no SIMD here: nothing could be compared");
const kernels = opened;
const both = [heapWorkspace, kernels];

const WIDTH = 120;
const HEIGHT = 100;
const SEED = { seed: 20_260_326, numRuns: 60 };
const seed = fc.integer({ min: 0, max: 1e6 });
const shift = fc.double({ min: -1.5, max: 1.5, noNaN: true });
const noise = fc.constantFrom(0, 0.002, 0.01);

/** Waves in all directions, 4 to 20 px long. */
function waves(seedNumber: number): (x: number, y: number) => number {
  const random = createRandom(seedNumber);
  const list = Array.from({ length: 8 }, () => {
    const [angle, length] = [random.between(0, Math.PI), random.between(4, 20)];
    const k = (2 * Math.PI) / length;
    return [k * Math.cos(angle), k * Math.sin(angle), random.between(0, 6.3)] as const;
  });
  return (x, y) => 0.4 + list.reduce((sum, [a, b, phase]) => sum + 0.03 * Math.sin(a * x + b * y + phase), 0);
}

/** The texture moved by (dx, dy) and turned about the middle, under a gain, with noise. */
function picture(seedNumber: number, motion: readonly [number, number, number], gain = 1, sigma = 0): Plane {
  const texture = waves(seedNumber);
  const random = createRandom(seedNumber, Math.round(1e6 * motion[0]));
  const [dx, dy, turn] = motion;
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const plane = createPlane(WIDTH, HEIGHT);
  for (let y = 0, i = 0; y < HEIGHT; y++)
    for (let x = 0; x < WIDTH; x++, i++) {
      const [u, v] = [x - dx - WIDTH / 2, y - dy - HEIGHT / 2];
      const value = texture(c * u + s * v + WIDTH / 2, c * v - s * u + HEIGHT / 2);
      plane.data[i] = gain * value + sigma * random.normal();
    }
  return plane;
}

/** The texture, its surface moved by (dx, dy) and turned, stretched and sheared about a place. */
function shaped(
  seedNumber: number,
  [cx, cy]: readonly [number, number],
  [dx, dy]: readonly [number, number],
  { xx, xy, yx, yy }: SubsetShape,
  sigma: number,
): Plane {
  const texture = waves(seedNumber);
  const random = createRandom(seedNumber, 7);
  const plane = createPlane(WIDTH, HEIGHT);
  const determinant = xx * yy - xy * yx;
  for (let y = 0, i = 0; y < HEIGHT; y++)
    for (let x = 0; x < WIDTH; x++, i++) {
      const [u, v] = [x - cx - dx, y - cy - dy];
      const value = texture(cx + (yy * u - xy * v) / determinant, cy + (xx * v - yx * u) / determinant);
      plane.data[i] = value + sigma * random.normal();
    }
  return plane;
}

const near = (a: number, b: number, limit: number): boolean =>
  Number.isNaN(a) ? Number.isNaN(b) : Math.abs(a - b) <= limit;

test("subsets: shift within 2e-5 px, variances within 1 %, and the same ones converge", () => {
  const side = fc.integer({ min: 9, max: 41 });
  const light = fc.double({ min: 0.7, max: 1.3, noNaN: true });
  let solved = 0;
  fc.assert(
    fc.property(seed, shift, shift, noise, side, light, (number, dx, dy, sigma, size, gain) => {
      const pictures = [picture(number, [0, 0, 0], 1, sigma), picture(number, [dx, dy, 0], gain, sigma)];
      const random = createRandom(number, 5);
      // Near the border too, where the support leaves the picture.
      const [left, top] = [random.integer(WIDTH - size), random.integer(HEIGHT - size)];
      const [twin, mine] = both.map((workspace) => {
        const reference = withGradient(prepareFrame(pictures[0], 0.8, workspace));
        const current = prepareFrame(pictures[1], 0.8, workspace);
        const piece = subsetReference(reference, left, top, size);
        const found = piece && { ...new SubsetSolver(size).solve(reference, piece, current, 0, 0, 4) };
        releaseFrame(reference);
        releaseFrame(current);
        return found;
      });
      if (!twin || !mine) return twin === mine;
      if (twin.converged) solved++;
      return (
        twin.converged === mine.converged &&
        near(twin.dx, mine.dx, 2e-5) &&
        near(twin.dy, mine.dy, 2e-5) &&
        near(twin.varX, mine.varX, 0.01 * twin.varX) &&
        near(twin.varY, mine.varY, 0.01 * twin.varY) &&
        near(twin.covXY, mine.covXY, 0.01 * Math.sqrt(twin.varX * twin.varY)) &&
        near(twin.gain, mine.gain, 1e-4) &&
        near(twin.correlation, mine.correlation, 1e-5) &&
        near(twin.residual, mine.residual, 1e-3)
      );
    }),
    { ...SEED, numRuns: 150 },
  );
  expect(solved).toBeGreaterThan(75);
});

test("subsets that turn, stretch and shear: as those that don't, and the shift is the one that was painted", () => {
  const side = fc.integer({ min: 9, max: 31 });
  const part = fc.double({ min: -0.06, max: 0.06, noNaN: true });
  let solved = 0;
  fc.assert(
    fc.property(
      seed,
      shift,
      shift,
      noise,
      side,
      fc.tuple(part, part, part, part),
      (number, dx, dy, sigma, size, by) => {
        const random = createRandom(number, 6);
        // Near the border too.
        const [left, top] = [random.integer(WIDTH - size), random.integer(HEIGHT - size)];
        const middle = [left + (size - 1) / 2, top + (size - 1) / 2] as const;
        const shape = { xx: 1 + by[0], xy: by[1], yx: by[2], yy: 1 + by[3] };
        const pictures = [picture(number, [0, 0, 0], 1, sigma), shaped(number, middle, [dx, dy], shape, sigma)];
        const [twin, mine] = both.map((workspace) => {
          const reference = withGradient(prepareFrame(pictures[0], 0.8, workspace));
          const current = prepareFrame(pictures[1], 0.8, workspace);
          const piece = subsetReference(reference, left, top, size);
          const found = piece && { ...new SubsetSolver(size).solve(reference, piece, current, 0, 0, 4, shape) };
          releaseFrame(reference);
          releaseFrame(current);
          return found;
        });
        if (!twin || !mine) return twin === mine;
        if (twin.converged && sigma === 0 && size > 20) {
          solved++;
          if (!near(twin.dx, dx, 0.02) || !near(twin.dy, dy, 0.02)) return false;
        }
        return (
          twin.converged === mine.converged &&
          near(twin.dx, mine.dx, 2e-5) &&
          near(twin.dy, mine.dy, 2e-5) &&
          near(twin.varX, mine.varX, 0.01 * twin.varX) &&
          near(twin.varY, mine.varY, 0.01 * twin.varY) &&
          near(twin.covXY, mine.covXY, 0.01 * Math.sqrt(twin.varX * twin.varY)) &&
          near(twin.gain, mine.gain, 1e-4) &&
          near(twin.correlation, mine.correlation, 1e-5) &&
          near(twin.residual, mine.residual, 1e-3)
        );
      },
    ),
    { ...SEED, numRuns: 100 },
  );
  expect(solved).toBeGreaterThan(8);
});

test("subsets: the change of blur within a thousandth of the contrast, its variance within 1 %", () => {
  let told = 0;
  fc.assert(
    fc.property(seed, shift, shift, (number, dx, dy) => {
      const pictures = [picture(number, [0, 0, 0], 1, 0.002), picture(number, [dx, dy, 0], 0.9, 0.002)];
      const [twin, mine] = both.map((workspace) => {
        const reference = withGradient(prepareFrame(pictures[0], 0.8, workspace));
        const current = prepareFrame(pictures[1], 1, workspace);
        const piece = subsetReference(reference, 40, 30, 31);
        const solver = new SubsetSolver(31);
        const blur = { loss: Number.NaN, variance: Number.NaN };
        if (piece !== null && solver.solve(reference, piece, current, 0, 0, 4).converged)
          solver.blur(reference, piece, current, blur);
        releaseFrame(reference);
        releaseFrame(current);
        return blur;
      });
      if (twin.loss > 0.1) told++;
      return near(twin.loss, mine.loss, 1e-3) && near(twin.variance / mine.variance, 1, 0.01);
    }),
    SEED,
  );
  expect(told).toBeGreaterThan(20);
});

test("parts: shift within 2e-5 px, turn within 1e-6, covariance within 1 %, and the same state", () => {
  const far = fc.double({ min: -30, max: 30, noNaN: true });
  const turn = fc.double({ min: -0.02, max: 0.02, noNaN: true });
  const registrar = new PartRegistrar();
  const outline = [
    [30.5, 28],
    [95, 31.2],
    [90, 74],
    [52, 80.5],
    [33, 66],
  ] as const;
  let measured = 0;
  fc.assert(
    // Now and then the part goes so far that some of it leaves the picture.
    fc.property(
      seed,
      shift,
      fc.oneof({ weight: 4, arbitrary: shift }, far),
      turn,
      noise,
      (number, dx, dy, a, sigma) => {
        const pictures = [picture(number, [0, 0, 0], 1, sigma), picture(number, [dx, dy, a], 0.93, sigma)];
        const [twin, mine] = both.map((workspace) => {
          const [before, after] = pictures.map((plane) => prepareFrame(plane, 0.8, workspace));
          const template = partTemplate(before, outline, [], [60, 55])!;
          const chosen = { template, coarse: null, noise: null, promised: null, rivals: () => [] };
          const found = registrar.register(chosen, after, Math.round(dx), Math.round(dy));
          releaseFrame(before);
          releaseFrame(after);
          return found;
        });
        if (twin.state === "ok") measured++;
        return (
          twin.state === mine.state &&
          twin.reason === mine.reason &&
          near(twin.dx, mine.dx, 2e-5) &&
          near(twin.dy, mine.dy, 2e-5) &&
          near(twin.turn, mine.turn, 1e-6) &&
          near(twin.trusted, mine.trusted, 0.01) &&
          near(twin.gain, mine.gain, 1e-4) &&
          near(twin.offset, mine.offset, 1e-2) &&
          near(twin.residual, mine.residual, 1e-3) &&
          twin.covariance.every((value, i) => {
            const [p, q] = [[0, 0, 0, 3, 3, 5][i], [0, 3, 5, 3, 5, 5][i]];
            return near(value, mine.covariance[i], 0.01 * Math.sqrt(twin.covariance[p] * twin.covariance[q]));
          })
        );
      },
    ),
    SEED,
  );
  expect(measured).toBeGreaterThan(40);
});

test("a pair's grid with something that turns while it moves: alike, and nothing of it left to the twin", () => {
  // A disc of 34 px that moves and turns on a set that stands still, by so much that only coarse texture matches.
  const [still, moved] = [waves(3), waves(4)];
  const paint = (dx: number, dy: number, turn: number, seedNumber: number): Plane => {
    const random = createRandom(seedNumber);
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    const plane = createPlane(200, 160);
    for (let y = 0, i = 0; y < 160; y++)
      for (let x = 0; x < 200; x++, i++) {
        const [u, v] = [x - 100 - dx, y - 80 - dy];
        const value = Math.hypot(u, v) < 34 ? moved(c * u + s * v, c * v - s * u) : still(x, y);
        plane.data[i] = value + 0.004 * random.normal();
      }
    return plane;
  };
  const pictures = [paint(0, 0, 0, 1), paint(5.3, 2.2, 0.16, 2)];
  const twin = vi.spyOn(SubsetSolver.prototype as unknown as { sample: () => boolean }, "sample");
  const [byTwin, byKernel] = both.map((workspace) => {
    twin.mockClear();
    const [before, after] = pictures.map((plane) => prepareFrame(plane, 0.8, workspace));
    const reference = withGradient(before);
    const background = gridReference(reference, 32);
    const solver = new SubsetSolver();
    const grid = { layout: background.layout, result: measureGrid(background, after, solver) };
    const pair = measurePair(gridReference(reference, 16), after, solver, grid);
    const calls = twin.mock.calls.length;
    releaseFrame(before);
    releaseFrame(after);
    return { pair, calls };
  });
  twin.mockRestore();
  expect(byTwin.calls).toBeGreaterThan(0);
  expect(byKernel.calls).toBe(0);
  // Some were found through the coarse prefilter, whose sigma is fixed.
  expect(byTwin.pair.varX.some((value) => Math.abs(value - 0.15 ** 2) < 1e-6)).toBe(true);
  expect(Array.from(byKernel.pair.valid)).toEqual(Array.from(byTwin.pair.valid));
  for (const key of ["dx", "dy"] as const)
    byTwin.pair[key].forEach((value, i) => expect(near(value, byKernel.pair[key][i], 2e-5)).toBe(true));
});
