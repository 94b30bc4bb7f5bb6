import { expect, test } from "vitest";
import { capsule, type Layer, roundedBox, type Scene } from "../support/scene.ts";
import { applyTo, compose, invert, motionOf, type Point, similarityOf } from "../support/similarity.ts";
import { centroidOf, displacementOf, largestDisplacement, placeOf, truthAt, turnOf } from "../support/truth.ts";

const flat = { texture: () => 0, contrast: 0, brightness: 0.18 };

const sceneOf = (layers: readonly Layer[], more: Partial<Scene> = {}): Scene => ({
  name: "hive_010",
  width: 400,
  height: 300,
  fps: 24,
  seed: 1,
  background: flat,
  layers,
  blur: 0.7,
  noise: null,
  jpegQuality: null,
  ...more,
});

const near = (got: readonly number[], wanted: readonly number[], digits = 10): void => {
  expect(got).toHaveLength(wanted.length);
  for (const [i, value] of got.entries()) expect(value).toBeCloseTo(wanted[i], digits);
};

test("a motion turns and scales about its pivot, then shifts", () => {
  const map = similarityOf({ dx: 5, dy: -2, turn: Math.PI / 2, scale: 2, pivot: [10, 20] });
  near(applyTo(map, [10, 20]), [15, 18]);
  // A quarter turn from x towards y takes (1, 0) to (0, 1).
  near(applyTo(map, [11, 20]), [15, 20]);
  near(applyTo(map, [10, 21]), [13, 18]);
});

test("composing and inverting similarities does what doing them one by one does", () => {
  const p = similarityOf({ dx: 3, dy: 1, turn: 0.3, scale: 1.1, pivot: [40, 7] });
  const q = similarityOf({ dx: -8, dy: 0.2, turn: -1.2, scale: 0.9, pivot: [-3, 11] });
  near(applyTo(compose(p, q), [12, -5]), applyTo(p, applyTo(q, [12, -5])));
  near(applyTo(compose(invert(p), p), [12, -5]), [12, -5]);
  near(applyTo(similarityOf(motionOf(p)), [12, -5]), applyTo(p, [12, -5]));
});

const arm: Layer = {
  id: "arm",
  ...flat,
  outline: capsule([100, 100], [200, 100], 12),
  motion: (frame) => ({ turn: 0.01 * (frame - 1), pivot: [100, 100] }),
};
const camera = (frame: number) => (frame < 3 ? {} : { dx: 0.5, dy: 0.25, turn: 0.002, scale: 1.001 });

test("a place on a layer goes where the layer goes; the camera is in or out as asked", () => {
  const scene = sceneOf([arm], { camera });
  const wanted: Point = [100 + 100 * Math.cos(0.02), 100 + 100 * Math.sin(0.02)];
  near(placeOf(scene, "arm", [200, 100], 3), wanted);
  const [x, y] = [wanted[0] - 200, wanted[1] - 150];
  const [c, s] = [1.001 * Math.cos(0.002), 1.001 * Math.sin(0.002)];
  const inPicture = [200 + c * x - s * y + 0.5, 150 + s * x + c * y + 0.25];
  near(placeOf(scene, "arm", [200, 100], 3, "in"), inPicture);
  near(applyTo(truthAt(scene, 3).layers["arm"], [200, 100]), inPicture);
  near(displacementOf(scene, null, [200, 150], 3, { camera: "in" }), [0.5, 0.25]);
  near(displacementOf(scene, null, [200, 150], 3), [0, 0]);
});

test("displacement against a later frame starts from there", () => {
  const scene = sceneOf([arm]);
  const [dx, dy] = displacementOf(scene, "arm", [200, 100], 5, { against: 3 });
  near([dx, dy], [100 * (Math.cos(0.04) - Math.cos(0.02)), 100 * (Math.sin(0.04) - Math.sin(0.02))]);
  expect(turnOf(scene, "arm", 5, { against: 3 })).toBeCloseTo(0.02, 12);
  expect(turnOf(sceneOf([arm], { camera }), "arm", 3, { camera: "in" })).toBeCloseTo(0.022, 12);
});

test("the largest displacement of a turning limb is that of its far end", () => {
  const scene = sceneOf([arm]);
  expect(largestDisplacement(scene, ["arm"], 3)).toBeCloseTo(2 * 112 * Math.sin(0.01), 6);
});

test("material that crawls is followed inside its layer, from where it was in frame 1", () => {
  const crawl: NonNullable<Layer["crawl"]> = (u, _v, frame) => [0.1 * frame + 0.001 * (u - 100), 0];
  const scene = sceneOf([{ ...arm, crawl }]);
  // What is at u = 150 in frame 1 is the material m with m + 0.1 + 0.001 (m - 100) = 150.
  const material = (150 - 0.1 + 0.1) / 1.001;
  near(placeOf(scene, "arm", [150, 100], 1), [150, 100], 8);
  const now = material + 0.4 + 0.001 * (material - 100);
  near(
    placeOf(scene, "arm", [150, 100], 4),
    [100 + (now - 100) * Math.cos(0.03), 100 + (now - 100) * Math.sin(0.03)],
    8,
  );
});

test("an unknown layer is named", () => {
  expect(() => displacementOf(sceneOf([arm]), "leg", [0, 0], 2)).toThrow("has no layer 'leg'");
});

test("centroid of a polygon: by hand for an L of three squares, whichever way round", () => {
  const shape: Point[] = [
    [0, 0],
    [2, 0],
    [2, 1],
    [1, 1],
    [1, 2],
    [0, 2],
  ];
  near(centroidOf(shape), [5 / 6, 5 / 6]);
  near(centroidOf(shape.toReversed()), [5 / 6, 5 / 6]);
});

test("ready outlines have the size that was asked for", () => {
  const box = roundedBox([50, 40], 30, 20);
  expect(Math.max(...box.map((p) => p[0]))).toBeCloseTo(65, 9);
  expect(Math.min(...box.map((p) => p[1]))).toBeCloseTo(30, 9);
  const limb = capsule([10, 10], [40, 10], 5, 3);
  expect(Math.min(...limb.map((p) => p[0]))).toBeCloseTo(5, 9);
  expect(Math.max(...limb.map((p) => p[0]))).toBeCloseTo(43, 9);
  near(centroidOf(capsule([10, 10], [40, 10], 5)), [25, 10], 9);
});
