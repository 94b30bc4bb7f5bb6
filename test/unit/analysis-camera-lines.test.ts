import { expect, test } from "vitest";
import { fitCamera } from "../../src/analysis/camera.ts";
import type { GridMeasurement } from "../../src/analysis/measurement.ts";
import { ACROSS } from "../../src/measure/grid-across.ts";
import { gridReference, measureGrid } from "../../src/measure/grid.ts";
import { prepareFrame, withGradient } from "../../src/measure/prepared.ts";
import { SubsetSolver } from "../../src/measure/subset.ts";
import { createRandom } from "../support/random.ts";
import { createRenderer, lumaPlane } from "../support/render.ts";
import { shotOf } from "../support/shot.ts";
import { gridOf, type Point } from "./analysis-grids.ts";

// Sets of planks, fur or curtains: cells that tell what is across their lines, and nothing else.

const [width, height] = [464, 336];
const CAMERA = { dx: 0.4, dy: -0.25 };
const SIGMA = 0.02;

/** A camera seen in a grid of which all cells but some show lines; `direction`: angle of the lines of a cell. */
function linesOf(seed: number, direction: (x: number) => number, isRound: (cell: number) => boolean): GridMeasurement {
  const random = createRandom(seed, 0x6c6e);
  const grid = gridOf(random, () => CAMERA, { sigma: SIGMA });
  grid.valid.forEach((_, i) => {
    if (isRound(i)) return;
    const angle = direction(24 + (i % grid.cols) * 32);
    const [nx, ny] = [-Math.sin(angle), Math.cos(angle)];
    const across = CAMERA.dx * nx + CAMERA.dy * ny + SIGMA * random.normal();
    // Along its lines it stays where it was sought.
    const along = 0.3;
    grid.dx[i] = across * nx - along * ny;
    grid.dy[i] = across * ny + along * nx;
    grid.varX[i] = SIGMA ** 2 * nx * nx + 0.25 * ny * ny;
    grid.varY[i] = SIGMA ** 2 * ny * ny + 0.25 * nx * nx;
    grid.covXY[i] = (SIGMA ** 2 - 0.25) * nx * ny;
    grid.valid[i] = ACROSS;
  });
  return grid;
}

const fit = (grid: GridMeasurement, outlined: (x: number, y: number) => boolean = () => false) =>
  fitCamera(grid, () => false, outlined, width, height);

test("a set of lines of several directions tells the camera, with a sigma that is right", () => {
  const zs: number[] = [];
  for (let seed = 1; seed <= 60; seed++) {
    const camera = fit(
      linesOf(
        seed,
        (x) => 0.6 + x / 300,
        (i) => i % 14 === 5,
      ),
    )!;
    zs.push((camera.dx - CAMERA.dx) / Math.sqrt(camera.covariance[0]));
    zs.push((camera.dy - CAMERA.dy) / Math.sqrt(camera.covariance[5]));
    expect(Math.abs(camera.dx - CAMERA.dx)).toBeLessThan(0.02);
    expect(Math.abs(camera.dy - CAMERA.dy)).toBeLessThan(0.02);
  }
  const spread = Math.sqrt(zs.reduce((sum, z) => sum + z * z, 0) / zs.length);
  expect(spread).toBeGreaterThan(0.75);
  expect(spread).toBeLessThan(1.25);
});

test("lines of one direction leave the other open: nothing is told, whatever parts before them show", () => {
  const rounds = (i: number): boolean => i >= 58 && i < 66;
  const vertical = linesOf(3, () => Math.PI / 2, rounds);
  expect(fit(vertical)).toBeNull();
  const isPart = (x: number, y: number): boolean => x > 150 && x < 320 && y > 100 && y < 240;
  const partBefore = linesOf(
    3,
    () => Math.PI / 2,
    (i) => isPart(24 + (i % 14) * 32, 24 + Math.floor(i / 14) * 32),
  );
  expect(fit(partBefore, isPart)).toBeNull();
});

test("cells of fur are found across its strands, and not taken for cells that tell both directions", () => {
  const motion: Point = [0.35, -0.2];
  const { scene } = shotOf(
    {
      width: 320,
      height: 256,
      background: "hair",
      seed: 4,
      jpeg: null,
      camera: (frame) => (frame === 1 ? {} : { dx: motion[0], dy: motion[1] }),
    },
    [],
    () => [],
  );
  const { layers, ...rest } = scene;
  // A woven patch says where along the strands the rest is to be sought.
  const woven = shotOf({ width: 320, height: 256, background: "woven", seed: 5 }, [], () => []).scene.background;
  const patch = {
    id: "patch",
    outline: [
      [0, 0],
      [130, 0],
      [130, 256],
      [0, 256],
    ] as const,
    ...woven,
  };
  const renderer = createRenderer({ ...rest, layers: [...layers, patch] });
  const [first, second] = [1, 2].map((frame) => prepareFrame(lumaPlane(renderer.frame(frame))));
  const reference = gridReference(withGradient(first), 32);
  const grid = measureGrid(reference, second, new SubsetSolver());
  const lines = [...grid.valid.keys()].filter((i) => grid.valid[i] === ACROSS);
  expect(lines.length).toBeGreaterThan(10);
  for (const i of lines) {
    const { lines: along } = reference.across(i)!;
    const [nx, ny] = [-along![1], along![0]];
    const sigma = Math.sqrt(nx * nx * grid.varX[i] + 2 * nx * ny * grid.covXY[i] + ny * ny * grid.varY[i]);
    expect(sigma).toBeLessThan(0.05);
    const error = nx * (grid.dx[i] - motion[0]) + ny * (grid.dy[i] - motion[1]);
    expect(Math.abs(error)).toBeLessThan(5 * sigma);
    // Their own light is told as that of any cell is.
    expect(Math.abs(grid.gainStops[i])).toBeLessThan(0.02);
  }
});
