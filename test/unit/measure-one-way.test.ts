import { expect, test } from "vitest";
import { measureNodes } from "../../src/measure/left-over.ts";
import { NODE_VALUES } from "../../src/measure/node-samples.ts";
import { ALONG_SIGMA, axesOf } from "../../src/measure/one-way.ts";
import { STAY } from "../../src/measure/carry.ts";
import { prepareFrame, withGradient } from "../../src/measure/prepared.ts";
import { SubsetSolver } from "../../src/measure/subset.ts";
import { mean, picturesOf, rms, sceneOf } from "./measure-pictures.ts";

// Nodes of a surface whose texture is lines.

const SHIFT = { dx: 0.23, dy: -0.11 };
const places = Array.from({ length: 60 }, (_, i) => [22.5 + 8 * (i % 10), 22.5 + 8 * Math.floor(i / 10)]).flat();

/** What the nodes say when the picture moved by SHIFT, noise and all. */
function nodesOf(background: "stripes" | "hair" | "woven", noise: number): Float32Array[] {
  const scene = sceneOf({ width: 120, height: 90, noise, background, camera: (frame) => (frame === 1 ? {} : SHIFT) });
  const pictures = picturesOf(scene);
  const reference = withGradient(prepareFrame(pictures(1)));
  const solver = new SubsetSolver(21);
  const values = measureNodes(reference, prepareFrame(pictures(2)), solver, places, STAY, STAY, true);
  return Array.from({ length: places.length / 2 }, (_, i) => values.subarray(i * NODE_VALUES, (i + 1) * NODE_VALUES));
}

test("every node of stripes is found across its lines, and stays where it was sought along them", () => {
  for (const noise of [0.5, 2]) {
    const nodes = nodesOf("stripes", noise);
    expect(nodes.every(([dx]) => Number.isFinite(dx))).toBe(true);
    const scores = nodes.map(([dx, dy, varX, varY, covXY]) => {
      const { smaller, larger, axis } = axesOf([varX, covXY, varY]);
      expect(Math.sqrt(larger)).toBeCloseTo(ALONG_SIGMA, 3);
      expect(Math.abs(dy * axis[0] - dx * axis[1])).toBeLessThan(1e-3);
      return ((dx - SHIFT.dx) * axis[0] + (dy - SHIFT.dy) * axis[1]) / Math.sqrt(smaller);
    });
    expect(rms(scores)).toBeGreaterThan(0.6);
    expect(rms(scores)).toBeLessThan(1.5);
  }
});

test("a weave is told both ways as before", () => {
  const nodes = nodesOf("woven", 2);
  expect(Math.abs(mean(nodes.map(([dx]) => dx)) - SHIFT.dx)).toBeLessThan(0.03);
  expect(Math.abs(mean(nodes.map(([, dy]) => dy)) - SHIFT.dy)).toBeLessThan(0.03);
  expect(nodes.every(([, , varX, varY]) => Math.max(varX, varY) < 0.1 ** 2)).toBe(true);
});
