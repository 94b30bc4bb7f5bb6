import { expect, test } from "vitest";
import { coverageOf } from "../support/coverage.ts";
import { createRandom } from "../support/random.ts";
import type { Point } from "../support/similarity.ts";

const BOX = { left: 0, top: 0, right: 60, bottom: 50 };

const areaOf = (ring: readonly Point[]): number =>
  Math.abs(
    ring.reduce((sum, [x, y], i) => {
      const [nx, ny] = ring[(i + 1) % ring.length];
      return sum + x * ny - nx * y;
    }, 0) / 2,
  );

/** A star about a place: simple whatever its radii, and concave. */
const star = (seed: number, x: number, y: number, large: number): Point[] => {
  const random = createRandom(seed);
  return Array.from({ length: 11 }, (_, i) => {
    const radius = random.between(0.3, 1) * large;
    return [x + radius * Math.cos((i * 2 * Math.PI) / 11), y + radius * Math.sin((i * 2 * Math.PI) / 11)] as const;
  });
};

const sumOf = (data: Float32Array): number => data.reduce((sum, value) => sum + value, 0);

test("the covered area of a polygon is its area, either way round", () => {
  for (let seed = 0; seed < 40; seed++) {
    const ring = star(seed, 30.3, 24.6, 22);
    const coverage = coverageOf(ring, [], BOX);
    const reversed = coverageOf(ring.toReversed(), [], BOX);
    expect(sumOf(coverage!.data)).toBeCloseTo(areaOf(ring), 4);
    expect(sumOf(reversed!.data)).toBeCloseTo(areaOf(ring), 4);
  }
});

test("each cell's share agrees with counting points in it", () => {
  const ring = star(4, 30.3, 24.6, 22);
  const coverage = coverageOf(ring, [], BOX)!;
  const inside = (x: number, y: number): boolean =>
    ring.reduce((odd, [x0, y0], i) => {
      const [x1, y1] = ring[(i + 1) % ring.length];
      return y0 > y !== y1 > y && x < x0 + ((y - y0) / (y1 - y0)) * (x1 - x0) ? !odd : odd;
    }, false);
  for (let row = 0; row < coverage.height; row++) {
    for (let col = 0; col < coverage.width; col++) {
      let count = 0;
      for (let i = 0; i < 1600; i++) {
        const x = coverage.left + col + ((i % 40) + 0.5) / 40;
        const y = coverage.top + row + (Math.floor(i / 40) + 0.5) / 40;
        if (inside(x, y)) count++;
      }
      expect(Math.abs(coverage.data[row * coverage.width + col] - count / 1600)).toBeLessThan(0.02);
    }
  }
});

test("a hole is left out", () => {
  const ring: Point[] = [
    [5.2, 6.1],
    [50.4, 7.7],
    [48.8, 44.1],
    [7.5, 41],
  ];
  const hole = star(9, 28, 24, 12);
  expect(sumOf(coverageOf(ring, [hole], BOX)!.data)).toBeCloseTo(areaOf(ring) - areaOf(hole), 4);
});

test("what reaches out of the box is cut at its edge", () => {
  const ring: Point[] = [
    [-20, 10.25],
    [30.5, 10.25],
    [30.5, 90],
    [-20, 90],
  ];
  const coverage = coverageOf(ring, [], BOX)!;
  expect(sumOf(coverage.data)).toBeCloseTo(30.5 * (50 - 10.25), 4);
  // A concave one too: the cut runs along the edge and back.
  const comb: Point[] = [
    [-10, 5],
    [20, 5],
    [-10, 8],
    [20, 11],
    [-10, 14],
  ];
  const whole = coverageOf(
    comb.map(([x, y]) => [x + 20, y] as const),
    [],
    { ...BOX, left: 20 },
  )!;
  const cut = coverageOf(comb, [], BOX)!;
  expect(sumOf(cut.data)).toBeCloseTo(sumOf(whole.data), 4);
});

test("nothing inside the box gives no coverage", () => {
  expect(
    coverageOf(
      [
        [70, 10],
        [80, 10],
        [75, 20],
      ],
      [],
      BOX,
    ),
  ).toBeNull();
});

test("an edge that moves by a thousandth of a cell is seen at any angle", () => {
  for (const angle of [0, 0.3, Math.PI / 4, Math.PI / 2]) {
    const corner = (x: number, y: number, shift: number): Point => {
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      return [30 + c * (x + shift) - s * y, 25 + s * (x + shift) + c * y];
    };
    const box = (shift: number) =>
      coverageOf([corner(-10, -8, 0), corner(10, -8, shift), corner(10, 8, shift), corner(-10, 8, 0)], [], BOX)!;
    expect(sumOf(box(0.001).data) - sumOf(box(0).data)).toBeCloseTo(0.016, 4);
  }
});
