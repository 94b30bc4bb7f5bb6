import { expect, test } from "vitest";
import {
  countMask,
  erodeMask,
  insidePolygon,
  type Mask,
  type Polygon,
  polygonCentroid,
  polygonMask,
} from "../../src/measure/mask.ts";
import { outlineContains } from "../../src/model/index.ts";
import { createRandom } from "../support/random.ts";

const has = (mask: Mask, x: number, y: number): boolean => {
  const [u, v] = [x - mask.left, y - mask.top];
  return u >= 0 && v >= 0 && u < mask.width && v < mask.height && mask.data[v * mask.width + u] === 1;
};

const box = (left: number, top: number, right: number, bottom: number): Polygon => [
  [left, top],
  [right, top],
  [right, bottom],
  [left, bottom],
];

test("a pixel belongs to an outline when its centre is inside", () => {
  const mask = polygonMask(box(2.4, 1.6, 5.6, 4.4), [], 10, 10);
  // Centres 2.5, 3.5, 4.5, 5.5 across; 2.5, 3.5 down.
  expect(countMask(mask)).toBe(4 * 2);
  expect(has(mask, 2, 2)).toBe(true);
  expect(has(mask, 5, 3)).toBe(true);
  expect(has(mask, 2, 1)).toBe(false);
  expect(has(mask, 6, 2)).toBe(false);
});

test("two outlines that share a side through pixel centres share the pixels out, none twice and none lost", () => {
  const left = polygonMask(box(1, 1, 4.5, 6), [], 10, 10);
  const right = polygonMask(box(4.5, 1, 8, 6), [], 10, 10);
  for (let y = 1; y < 6; y++)
    for (let x = 1; x < 8; x++) expect(Number(has(left, x, y)) + Number(has(right, x, y))).toBe(1);
});

test("where an outline crosses itself the inside is even-odd: the middle of a five-pointed star is outside", () => {
  const star: Polygon = [0, 2, 4, 1, 3].map(
    (k) => [50 + 40 * Math.sin((2 * Math.PI * k) / 5), 50 - 40 * Math.cos((2 * Math.PI * k) / 5)] as const,
  );
  const mask = polygonMask(star, [], 100, 100);
  expect(has(mask, 50, 50)).toBe(false);
  expect(has(mask, 50, 20)).toBe(true);
  expect(insidePolygon(star, 50.5, 50.5)).toBe(false);
});

test("holes are cut out", () => {
  const mask = polygonMask(box(0, 0, 10, 10), [box(3, 3, 7, 7)], 20, 20);
  expect(countMask(mask)).toBe(100 - 16);
  expect(has(mask, 5, 5)).toBe(false);
  expect(has(mask, 7, 7)).toBe(true);
});

test("an outline that leaves the picture is cut to it; one wholly outside has no pixels", () => {
  expect(countMask(polygonMask(box(-5, -5, 5, 5), [], 12, 12))).toBe(25);
  expect(countMask(polygonMask(box(8, 8, 30, 30), [], 12, 12))).toBe(16);
  for (const outside of [box(-9, -9, -3, -3), box(20, 2, 30, 9), box(2, 20, 9, 30)])
    expect(countMask(polygonMask(outside, [], 12, 12))).toBe(0);
});

test("mask, point test and the sheet's own rule agree on random outlines", () => {
  const random = createRandom(11);
  for (let round = 0; round < 40; round++) {
    const corners = 3 + random.integer(7);
    const outline: Polygon = Array.from(
      { length: corners },
      () => [random.between(-4, 34), random.between(-4, 26)] as const,
    );
    const mask = polygonMask(outline, [], 30, 22);
    const odd: string[] = [];
    for (let y = 0; y < 22; y++)
      for (let x = 0; x < 30; x++) {
        const inside = insidePolygon(outline, x + 0.5, y + 0.5);
        const sheets = outlineContains({ points: outline, holes: [] }, x + 0.5, y + 0.5);
        if (has(mask, x, y) !== inside || sheets !== inside) odd.push(`${x}, ${y}`);
      }
    expect(odd, JSON.stringify(outline)).toEqual([]);
  }
});

test("erosion takes off every pixel that has a stranger within so many px, diagonals too", () => {
  const random = createRandom(12);
  const width = 24;
  const height = 18;
  const mask: Mask = {
    left: 3,
    top: 5,
    width,
    height,
    data: Uint8Array.from({ length: width * height }, () => (random.next() < 0.93 ? 1 : 0)),
  };
  const before = mask.data.slice();
  for (const distance of [1, 2, 3]) {
    const eroded = erodeMask(mask, distance);
    const expected = new Uint8Array(width * height);
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        let all = 1;
        for (let v = y - distance; v <= y + distance; v++)
          for (let u = x - distance; u <= x + distance; u++)
            if (u < 0 || v < 0 || u >= width || v >= height || mask.data[v * width + u] === 0) all = 0;
        expected[y * width + x] = all;
      }
    expect(eroded.data).toEqual(expected);
  }
  expect(mask.data).toEqual(before);
  expect(erodeMask(mask, 0)).toBe(mask);
});

test("area and centroid of a polygon don't depend on which way round it was drawn", () => {
  const triangle: Polygon = [
    [0, 0],
    [6, 0],
    [0, 3],
  ];
  for (const ring of [triangle, triangle.toReversed()]) {
    const { area, x, y } = polygonCentroid(ring);
    expect(area).toBeCloseTo(9, 12);
    expect(x).toBeCloseTo(2, 12);
    expect(y).toBeCloseTo(1, 12);
  }
});

test("a polygon without area has the mean of its corners for a centroid", () => {
  expect(
    polygonCentroid([
      [0, 0],
      [4, 2],
      [8, 4],
    ]),
  ).toEqual({ area: 0, x: 4, y: 2 });
});
