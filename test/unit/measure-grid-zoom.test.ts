import { expect, test } from "vitest";
import { gridReference, measureGrid } from "../../src/measure/grid.ts";
import { gridZoom } from "../../src/measure/grid-zoom.ts";
import { PartRegistrar } from "../../src/measure/part-register.ts";
import { SubsetSolver } from "../../src/measure/subset.ts";
import { withGradient } from "../../src/measure/prepared.ts";
import { chosenFor, partScene, preparedOf } from "./measure-pictures.ts";

const ZOOM = 1.012;

test("a zoom is told by the picture as a whole, and a part under it by its own centroid", () => {
  const size = { width: 260, height: 200 };
  const part = partScene({ ...size, size: 56, noise: 0.5, camera: (frame) => ({ scale: frame === 1 ? 1 : ZOOM }) });
  const prepared = preparedOf(part.scene);
  const reference = gridReference(withGradient(prepared(1)), 32);
  const zoom = gridZoom(reference.layout, measureGrid(reference, prepared(2), new SubsetSolver()));
  expect(Math.abs(zoom - ZOOM)).toBeLessThan(0.001);
  const { dx, dy } = new PartRegistrar().register(chosenFor(part), prepared(2), 0, 0, zoom);
  expect(Math.abs(dx - (ZOOM - 1) * (part.centroid[0] - size.width / 2))).toBeLessThan(0.03);
  expect(Math.abs(dy - (ZOOM - 1) * (part.centroid[1] - size.height / 2))).toBeLessThan(0.03);
});

test("where the camera only shifts the zoom is exactly none", () => {
  const part = partScene({ width: 260, height: 200, noise: 0.5, camera: (frame) => ({ dx: 0.7 * (frame - 1) }) });
  const prepared = preparedOf(part.scene);
  const reference = gridReference(withGradient(prepared(1)), 32);
  expect(gridZoom(reference.layout, measureGrid(reference, prepared(2), new SubsetSolver()))).toBe(1);
});
