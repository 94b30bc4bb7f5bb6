import * as fc from "fast-check";
import { expect, test } from "vitest";
import {
  boundsOf,
  centroidOf,
  enclosesArea,
  isInPicture,
  outlineContains,
  polygonArea,
} from "../../src/model/index.ts";

type Corner = readonly [number, number];
const box = (x: number, y: number, width: number, height: number): Corner[] => [
  [x, y],
  [x + width, y],
  [x + width, y + height],
  [x, y + height],
];
const outline = (points: readonly Corner[], ...holes: Corner[][]) => ({ points, holes });

test("the area of a polygon is signed by the way it runs", () => {
  expect(polygonArea(box(10, 20, 4, 3))).toBe(12);
  expect(polygonArea(box(10, 20, 4, 3).toReversed())).toBe(-12);
  expect(polygonArea([])).toBe(0);
});

test("a hole pulls the centroid away from itself, whichever way it runs", () => {
  expect(centroidOf(outline(box(0, 0, 8, 4)))).toEqual([4, 2]);
  for (const hole of [box(4, 0, 4, 4), box(4, 0, 4, 4).toReversed()]) {
    expect(centroidOf(outline(box(0, 0, 8, 4), hole))).toEqual([2, 2]);
  }
});

test("a bow tie has its centroid where it crosses", () => {
  const bowTie: Corner[] = [
    [0, 0],
    [10, 10],
    [10, 0],
    [0, 10],
  ];
  expect(centroidOf(outline(bowTie))).toEqual([5, 5]);
});

test("a far and small polygon keeps the digits of its centroid", () => {
  const [x, y] = centroidOf(outline(box(900_000.25, 800_000.5, 0.5, 0.25)));
  expect(x).toBeCloseTo(900_000.5, 9);
  expect(y).toBeCloseTo(800_000.625, 9);
});

test("a point is inside even-odd: not in a hole, not where an outline covers twice", () => {
  const ring = outline(box(0, 0, 10, 10), box(4, 4, 2, 2));
  expect([outlineContains(ring, 2, 2), outlineContains(ring, 5, 5), outlineContains(ring, 11, 5)]).toEqual([
    true,
    false,
    false,
  ]);
  const star: Corner[] = [0, 2, 4, 1, 3].map((k) => [
    Math.sin((k * 2 * Math.PI) / 5),
    -Math.cos((k * 2 * Math.PI) / 5),
  ]);
  expect(outlineContains(outline(star), 0, 0)).toBe(false);
  expect(outlineContains(outline(star), 0, -0.8)).toBe(true);
});

test("points on a shared edge belong to one of two neighbours, never to both or none", () => {
  const [left, right] = [outline(box(0, 0, 5, 5)), outline(box(5, 0, 5, 5))];
  for (const y of [0.5, 2.5, 4.5]) {
    expect(Number(outlineContains(left, 5, y)) + Number(outlineContains(right, 5, y))).toBe(1);
  }
});

test("rings that enclose nothing are told from those that merely cross themselves", () => {
  const line: Corner[] = [
    [0, 0],
    [3, 1],
    [9, 3],
  ];
  const twiceRound = [...box(0, 0, 9, 9), ...box(0, 0, 9, 9)];
  const bowTie: Corner[] = [
    [0, 0],
    [10, 10],
    [10, 0],
    [0, 10],
  ];
  expect([[], line, box(1, 1, 0, 9), box(1, 1, 9, 0), twiceRound].map(enclosesArea)).toEqual(Array(5).fill(false));
  expect([box(0, 0, 0.01, 0.01), bowTie, [...twiceRound, ...box(20, 20, 3, 3)]].map(enclosesArea)).toEqual(
    Array(3).fill(true),
  );
});

test("an outline is in the picture exactly when the two share a point", () => {
  const cases: [readonly Corner[], boolean][] = [
    [box(10, 10, 5, 5), true],
    [box(-10, -10, 5, 5), false],
    [box(-10, -10, 500, 500), true],
    [box(-10, 40, 500, 5), true],
    [
      [
        [95, 110],
        [110, 95],
        [110, 110],
      ],
      false,
    ],
  ];
  for (const [points, inside] of cases) expect(isInPicture(outline(points), 100, 100)).toBe(inside);
  // The whole picture lies in the hole.
  expect(isInPicture(outline(box(-50, -50, 200, 200), box(-20, -20, 140, 140)), 100, 100)).toBe(false);
});

test("moving any polygon moves its centroid and bounds along and keeps its area", () => {
  const at = fc.integer({ min: -1000, max: 1000 });
  fc.assert(
    fc.property(fc.array(fc.tuple(at, at), { minLength: 3, maxLength: 9 }), at, at, (points, dx, dy) => {
      const moved = points.map(([x, y]): Corner => [x + dx, y + dy]);
      expect(polygonArea(moved)).toBeCloseTo(polygonArea(points), 6);
      expect(enclosesArea(moved)).toBe(enclosesArea(points));
      const [x, y] = centroidOf(outline(points));
      const [movedX, movedY] = centroidOf(outline(moved));
      expect(movedX).toBeCloseTo(x + dx, 4);
      expect(movedY).toBeCloseTo(y + dy, 4);
      const [left, top] = boundsOf(points);
      expect(boundsOf(moved).slice(0, 2)).toEqual([left + dx, top + dy]);
    }),
    { seed: 20260305 },
  );
});
