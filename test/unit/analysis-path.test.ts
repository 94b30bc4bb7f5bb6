import { expect, test } from "vitest";
import { PartPath, type ShapeKey } from "../../src/analysis/part-path.ts";
import { movePoint, movePointBack, regionMotion, type RegionMotion } from "../../src/analysis/region-motion.ts";
import type { Polygon } from "../../src/measure/mask.ts";
import { polygonCentroid } from "../../src/measure/mask.ts";
import { frameNumber } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import type { Motion } from "../support/similarity.ts";
import { applyTo, similarityOf } from "../support/similarity.ts";
import { box, displacementBy, framesFrom, gridOf, inBox, type Point } from "./analysis-grids.ts";

const arm = box(120, 100, 240, 200);
const fine = { step: 16, cols: 24, rows: 18, origin: 20, sigma: 0.01 };

/** A pair of frames in which what is inside an outline did something and the rest stood still. */
const pairOf = (seed: number, outline: readonly Point[], motion: Motion) =>
  gridOf(createRandom(seed), (x, y) => (inBox(outline)(x, y) ? motion : {}), fine);

const moved = (outline: readonly Point[], motion: Motion): Point[] =>
  outline.map((point) => applyTo(similarityOf(motion), point));

const nearOutline = (found: Polygon, wanted: readonly Point[], within: number): void => {
  expect(found).toHaveLength(wanted.length);
  found.forEach(([x, y], i) => expect(Math.hypot(x - wanted[i][0], y - wanted[i][1])).toBeLessThan(within));
};

const key = (frame: number, outline: readonly Point[]): ShapeKey => ({ frame: frameNumber(frame), outline, holes: [] });

// The region's own motion

test("a region's motion is told at the place asked for, with its turn and scale", () => {
  const motion: Motion = { dx: 2.3, dy: -1.1, turn: 0.02, scale: 1.01, pivot: [120, 150] };
  const found = regionMotion(pairOf(1, arm, motion), arm, 180, 150)!;
  const [dx, dy] = displacementBy(motion, [180, 150]);
  expect(found.dx).toBeCloseTo(dx, 1);
  expect(found.dy).toBeCloseTo(dy, 1);
  expect(Math.abs(found.turn - 0.02)).toBeLessThan(4 * Math.sqrt(found.varTurn));
  expect(found.scale).toBeCloseTo(1.01, 3);
  expect(found.measured).toBe(1);
  expect(found.leftOver).toBeLessThan(0.04);
});

test("nodes outside the outline don't count, and a third of wild ones inside doesn't either", () => {
  const random = createRandom(2);
  const grid = gridOf(
    random,
    (x, y) => (!inBox(arm)(x, y) ? { dx: 9 } : random.next() < 0.3 ? { dx: random.between(-6, 6), dy: 5 } : { dx: 1 }),
    fine,
  );
  const found = regionMotion(grid, arm, 180, 150)!;
  expect(Math.abs(found.dx - 1)).toBeLessThan(0.02);
  expect(Math.abs(found.dy)).toBeLessThan(0.02);
});

test("nodes that stand still by their pixels say that nothing moved, without being sure to a hundredth", () => {
  const found = regionMotion(
    gridOf(createRandom(3), () => ({}), { ...fine, valid: () => 2 }),
    arm,
    180,
    150,
  )!;
  expect([found.dx, found.dy, found.turn]).toEqual([0, 0, 0]);
  expect(Math.sqrt(found.varX)).toBeGreaterThan(0.01);
});

test("with three nodes found again the region's motion is not known", () => {
  const few = [
    [132, 116],
    [148, 132],
    [164, 180],
  ];
  const valid = (x: number, y: number): number => (few.some(([u, v]) => u === x && v === y) ? 1 : 0);
  expect(
    regionMotion(
      gridOf(createRandom(4), () => ({ dx: 1 }), { ...fine, valid }),
      arm,
      180,
      150,
    ),
  ).toBeNull();
  expect(regionMotion(pairOf(4, arm, {}), box(2, 2, 12, 12), 7, 7)).toBeNull();
});

test("going back undoes going forward", () => {
  const random = createRandom(5);
  for (let round = 0; round < 50; round++) {
    const motion: RegionMotion = {
      x: random.between(0, 300),
      y: random.between(0, 300),
      dx: random.between(-20, 20),
      dy: random.between(-20, 20),
      turn: random.between(-1, 1),
      scale: random.between(0.8, 1.25),
      varX: 0,
      varY: 0,
      covXY: 0,
      varTurn: 0,
      leftOver: 0,
      measured: 1,
    };
    const point: Point = [random.between(0, 300), random.between(0, 300)];
    const [x, y] = movePointBack(motion, movePoint(motion, point));
    expect(x).toBeCloseTo(point[0], 8);
    expect(y).toBeCloseTo(point[1], 8);
  }
});

// Outlines carried through a shot

/** The arm swings about its left end: a motion a frame, the same one each time. */
const swing: Motion = { turn: 0.03, pivot: [120, 150] };

function followed(keys: readonly ShapeKey[], frames: number, at: (frame: number) => readonly Point[]): PartPath {
  const path = new PartPath(keys);
  path.start(frameNumber(1));
  for (let frame = 2; frame <= frames; frame++) {
    const from = frameNumber(frame - 1);
    // What is inside the true outline moves on: the picture doesn't know what was drawn.
    const outline = at(frame - 1);
    const { x, y } = polygonCentroid(outline);
    const inside = (u: number, v: number): boolean => Math.hypot(u - x, v - y) < 75;
    const pair = gridOf(createRandom(frame), (u, v) => (inside(u, v) ? swing : {}), fine);
    path.step(from, frameNumber(frame), path.motionOf(from, pair), pair);
  }
  return path;
}

const swung = (frame: number): Point[] => {
  let outline: Point[] = arm;
  for (let i = 1; i < frame; i++) outline = moved(outline, swing);
  return outline;
};

test("an outline drawn at the first frame is carried along", () => {
  const path = followed([key(1, arm)], 9, swung);
  for (const frame of [1, 5, 9]) nearOutline(path.shapes.get(frameNumber(frame))!.outline, swung(frame), 0.1);
});

test("an outline drawn in the middle is carried forwards and backwards", () => {
  const path = followed([key(5, swung(5))], 9, swung);
  for (const frame of [1, 3, 5, 7, 9]) nearOutline(path.shapes.get(frameNumber(frame))!.outline, swung(frame), 0.1);
});

test("a second key counts from its frame on, the first one until then", () => {
  const corrected = swung(6).map(([x, y]) => [x + 3, y] as const);
  const path = followed([key(1, arm), key(6, corrected)], 7, swung);
  nearOutline(path.shapes.get(frameNumber(5))!.outline, swung(5), 0.1);
  expect(path.shapes.get(frameNumber(6))!.outline).toEqual(corrected);
  nearOutline(path.shapes.get(frameNumber(7))!.outline, moved(corrected, swing), 0.1);
});

test("a key drawn at a frame that could not be read counts for the next one that could", () => {
  const path = new PartPath([key(1, arm), key(3, box(10, 10, 60, 60))]);
  path.start(frameNumber(1));
  path.step(frameNumber(1), frameNumber(2), null, null);
  path.step(frameNumber(2), frameNumber(4), null, null);
  expect(path.shapes.get(frameNumber(2))!.outline).toEqual(arm);
  expect(path.shapes.get(frameNumber(4))!.outline).toEqual(box(10, 10, 60, 60));
});

test("where the part was not found again its outline stays where it was", () => {
  const path = new PartPath([key(1, arm)]);
  path.start(frameNumber(1));
  path.step(frameNumber(1), frameNumber(2), null, null);
  expect(path.shapes.get(frameNumber(2))!.outline).toEqual(arm);
  expect(path.motions.has(frameNumber(2))).toBe(false);
  expect(path.shapeNear(frameNumber(7)).outline).toEqual(arm);
});

test("holes go where their outline goes", () => {
  const hole = box(150, 130, 170, 150);
  const path = new PartPath([{ ...key(1, arm), holes: [hole] }]);
  path.start(frameNumber(1));
  const pair = pairOf(6, arm, { dx: 4, dy: 2 });
  path.step(frameNumber(1), frameNumber(2), path.motionOf(frameNumber(1), pair), pair);
  nearOutline(path.shapes.get(frameNumber(2))!.holes[0], moved(hole, { dx: 4, dy: 2 }), 0.05);
});

test("a joint told at one frame is carried to any other, before and after", () => {
  const frames = framesFrom(1, 9);
  const path = followed([key(1, arm)], 9, swung);
  const hand: Point = [235, 150];
  const at = (frame: number): Point => {
    let point: Point = hand;
    for (let i = 1; i < frame; i++) point = applyTo(similarityOf(swing), point);
    return point;
  };
  for (const [from, to] of [
    [1, 9],
    [9, 1],
    [5, 2],
    [4, 4],
  ]) {
    const [x, y] = path.carryPoint(at(from), frameNumber(from), frameNumber(to), frames);
    expect(Math.hypot(x - at(to)[0], y - at(to)[1])).toBeLessThan(0.15);
  }
});
