import { expect, test } from "vitest";
import { CELL_SIGMA_LIMIT } from "../../src/measure/cell-limits.ts";
import {
  commonShift,
  gridLayout,
  gridReference,
  type GridReference,
  type GridResult,
  measureGrid,
  measurePair,
} from "../../src/measure/grid.ts";
import { type PreparedFrame, prepareFrame, type ReferenceFrame, withGradient } from "../../src/measure/prepared.ts";
import { SUBSET_SIZE, SubsetSolver } from "../../src/measure/subset.ts";
import { roundedBox } from "../support/scene.ts";
import { surfaceOf } from "../support/shot.ts";
import { mean, partScene, preparedOf, sceneOf } from "./measure-pictures.ts";

const solver = new SubsetSolver();

/** The cells of a pair of frames, with the background grid of the same two frames. */
function pairOf(reference: ReferenceFrame, current: PreparedFrame): { fine: GridReference; result: GridResult } {
  const coarse = gridReference(reference, 32);
  const fine = gridReference(reference, 16);
  const background = { layout: coarse.layout, result: measureGrid(coarse, current, solver) };
  return { fine, result: measurePair(fine, current, solver, background) };
}

const kept = (result: GridResult, values: Float32Array): number[] =>
  Array.from(values).filter((_, i) => result.valid[i] === 1);

test("the cells of a grid lie inside the picture with room for the spline, and evenly about its middle", () => {
  for (const [width, height] of [
    [200, 150],
    [1920, 1080],
    [333, 251],
  ] as const) {
    const layout = gridLayout(width, height, 32);
    const half = (SUBSET_SIZE - 1) / 2;
    const right = layout.originX + (layout.cols - 1) * 32;
    const below = layout.originY + (layout.rows - 1) * 32;
    expect(layout.originX - 0.5 - half).toBeGreaterThanOrEqual(1);
    expect(layout.originY - 0.5 - half).toBeGreaterThanOrEqual(1);
    expect(right - 0.5 + half + 2).toBeLessThan(width);
    expect(below - 0.5 + half + 2).toBeLessThan(height);
    expect(Math.abs(layout.originX - (width - right))).toBeLessThanOrEqual(1);
    expect(right + 32 + half + 3).toBeGreaterThan(width - 3);
  }
  expect(gridLayout(20, 20, 32)).toMatchObject({ cols: 0, rows: 0 });
});

test("every cell of a still set tells the camera's shift, and the gain of the light in stops", () => {
  const frames = preparedOf(
    sceneOf({
      noise: 1,
      camera: (at) => (at === 1 ? {} : { dx: 0.4, dy: -0.7 }),
      light: (at) => (at === 1 ? {} : { gain: 1.02 }),
    }),
  );
  const reference = gridReference(withGradient(frames(1)), 32);
  const result = measureGrid(reference, frames(2), solver);
  const cells = reference.layout.cols * reference.layout.rows;
  expect(kept(result, result.dx).length).toBe(cells);
  expect(mean(kept(result, result.dx))).toBeCloseTo(0.4, 1);
  expect(Math.abs(mean(kept(result, result.dy)) + 0.7)).toBeLessThan(0.03);
  // A gain of 1.02 is 0.02857 of a stop.
  expect(Math.abs(mean(kept(result, result.gainStops)) - 0.02857)).toBeLessThan(0.002);
});

test("what is not measured is marked so, and has no number", () => {
  const bare = withGradient(prepareFrame({ width: 120, height: 90, data: new Float32Array(120 * 90).fill(0.2) }));
  const result = measureGrid(gridReference(bare, 32), bare, solver);
  expect([...result.valid].every((valid) => valid === 0)).toBe(true);
  for (const values of [result.dx, result.dy, result.varX, result.gainStops])
    expect([...values].every((value) => Number.isNaN(value))).toBe(true);
});

test("no cell is kept whose sigma is above the limit", () => {
  const frames = preparedOf(sceneOf({ background: "silicone", noise: 2 }));
  const result = measureGrid(gridReference(withGradient(frames(1)), 32), frames(2), solver);
  for (const variance of [...kept(result, result.varX), ...kept(result, result.varY)])
    expect(variance).toBeLessThanOrEqual(CELL_SIGMA_LIMIT ** 2);
});

test("a camera that jumped by 30 px is seeded from the small picture and followed", () => {
  const frames = preparedOf(
    sceneOf({ width: 240, height: 180, noise: 1, camera: (at) => (at === 1 ? {} : { dx: 30.3, dy: 14.8 }) }),
  );
  const reference = withGradient(frames(1));
  const seed = commonShift(reference, frames(2));
  expect(Math.abs(seed.dx - 30.3)).toBeLessThanOrEqual(4);
  expect(Math.abs(seed.dy - 14.8)).toBeLessThanOrEqual(4);
  const result = measureGrid(gridReference(reference, 32), frames(2), solver);
  const found = kept(result, result.dx);
  expect(found.length).toBeGreaterThan(8);
  for (const dx of found) expect(Math.abs(dx - 30.3)).toBeLessThan(0.5);
});

test("a picture that stands still has no common shift", () => {
  const frames = preparedOf(sceneOf({ noise: 1 }));
  expect(commonShift(frames(1), frames(2))).toEqual({ dx: 0, dy: 0 });
});

test("cells on what moved by itself tell its motion, the others the set's", () => {
  const { scene, outline } = partScene({ size: 80, noise: 1, motion: (at) => (at === 1 ? {} : { dy: 0.5 }) });
  const frames = preparedOf(scene);
  const reference = gridReference(withGradient(frames(1)), 16);
  const result = measureGrid(reference, frames(2), solver);
  const [left, top] = [Math.min(...outline.map((p) => p[0])), Math.min(...outline.map((p) => p[1]))];
  let inside = 0;
  for (let i = 0; i < result.valid.length; i++) {
    const corner = reference.corner(i);
    const within =
      corner.left > left + 2 && corner.top > top + 2 && corner.left + 31 < left + 78 && corner.top + 31 < top + 78;
    const outside = corner.left + 31 < left - 2 || corner.left > left + 82;
    if (result.valid[i] !== 1) continue;
    if (within) {
      expect(Math.abs(result.dy[i] - 0.5)).toBeLessThan(0.06);
      inside++;
    } else if (outside) expect(Math.abs(result.dy[i])).toBeLessThan(0.25);
  }
  expect(inside).toBeGreaterThanOrEqual(4);
});

test("in a pair of frames the cells that stand still by their pixels are not measured, those that move are followed far", () => {
  const head = {
    id: "head",
    outline: roundedBox([90, 90], 76, 76),
    ...surfaceOf("skin", 5, 0.3),
    motion: (at: number) => (at === 1 ? {} : { dx: 17.4, dy: -6.2 }),
  };
  const frames = preparedOf(sceneOf({ width: 240, height: 180, noise: 1, layers: [head] }));
  const { fine, result } = pairOf(withGradient(frames(1)), frames(2));
  const still = result.valid.filter((valid) => valid === 2).length;
  expect(still).toBeGreaterThan(result.valid.length / 4);
  for (let i = 0; i < result.valid.length; i++)
    if (result.valid[i] === 2) expect([result.dx[i], result.dy[i], result.varX[i]]).toEqual([0, 0, Number.NaN]);
  const inHead: [number, number][] = [];
  for (let i = 0; i < result.valid.length; i++) {
    const { left, top } = fine.corner(i);
    if (result.valid[i] === 1 && left > 56 && top > 56 && left + 31 < 124 && top + 31 < 124)
      inHead.push([result.dx[i], result.dy[i]]);
  }
  expect(inHead.length).toBeGreaterThanOrEqual(4);
  for (const [dx, dy] of inHead) expect(Math.hypot(dx - 17.4, dy + 6.2)).toBeLessThan(0.4);
});

test("where the camera was knocked no cell of the pair is said to stand still", () => {
  const frames = preparedOf(sceneOf({ noise: 1, camera: (at) => (at === 1 ? {} : { dx: 0.5, dy: 0.3 }) }));
  const { result } = pairOf(withGradient(frames(1)), frames(2));
  const still = result.valid.filter((valid) => valid === 2).length;
  expect(still).toBeLessThan(0.05 * result.valid.length);
});
