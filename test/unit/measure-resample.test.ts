import fc from "fast-check";
import { expect, test } from "vitest";
import { polygonMask } from "../../src/measure/mask.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { putDrift } from "../../src/measure/put-drift.ts";
import { drifted, resampled, type RigidDrift } from "../../src/measure/resample.ts";
import { createRandom } from "../support/random.ts";

// Putting a known drift into a picture must blur nothing and move nothing by the wrong amount: the truth here is a sum
// of waves, known at every place between pixels.

/** Highest frequency, cycles a px: beyond it a lens and the measuring prefilter leave nothing. */
const BAND = 0.35;
const SIZE = 72;

type Field = (x: number, y: number) => number;

/** Waves in all directions up to BAND, about 0.5 with a contrast (peak to peak) of at most one. */
function waves(seed: number): Field {
  const random = createRandom(seed, 0x7761);
  const parts = Array.from({ length: 12 }, () => {
    const angle = random.between(0, Math.PI);
    const frequency = random.between(0.02, BAND);
    const u = 2 * Math.PI * frequency * Math.cos(angle);
    const v = 2 * Math.PI * frequency * Math.sin(angle);
    return { u, v, phase: random.between(0, 2 * Math.PI) };
  });
  return (x, y) => 0.5 + parts.reduce((sum, { u, v, phase }) => sum + Math.sin(u * x + v * y + phase), 0) / 24;
}

function painted(field: Field): Plane {
  const plane = createPlane(SIZE, SIZE);
  for (let y = 0; y < SIZE; y++) for (let x = 0; x < SIZE; x++) plane.data[y * SIZE + x] = field(x + 0.5, y + 0.5);
  return plane;
}

/** Where a point came from. */
const cameFrom = ({ dx, dy, turn, pivot }: RigidDrift, x: number, y: number): [number, number] =>
  drifted({ dx: 0, dy: 0, turn: -turn, pivot }, x - dx, y - dy);

/** Largest error of the middle of the resampled picture: its border has no neighbours to be resampled from. */
function worstError(seed: number, drift: RigidDrift): number {
  const field = waves(seed);
  const margin = 20;
  const inner = SIZE - 2 * margin;
  const values = resampled(painted(field), margin, margin, inner, inner, drift);
  let worst = 0;
  for (let y = 0; y < inner; y++)
    for (let x = 0; x < inner; x++) {
      const truth = field(...cameFrom(drift, margin + x + 0.5, margin + y + 0.5));
      worst = Math.max(worst, Math.abs(values[y * inner + x] - truth));
    }
  return worst;
}

const seed = fc.integer({ min: 1, max: 1e6 });
const shift = fc.double({ min: -4, max: 4, noNaN: true });

test("a texture below 0.35 cycles a px that slides comes out right to 1e-3 of its contrast", () => {
  fc.assert(
    fc.property(seed, shift, shift, (number, dx, dy) => {
      expect(worstError(number, { dx, dy, turn: 0, pivot: [0, 0] })).toBeLessThan(1e-3);
    }),
    { seed: 11, numRuns: 60 },
  );
});

test("a texture that turns by up to 2 degrees about any pivot comes out right to 1e-3 of its contrast", () => {
  const turn = fc.double({ min: -0.035, max: 0.035, noNaN: true });
  const at = fc.double({ min: -10, max: SIZE + 10, noNaN: true });
  fc.assert(
    fc.property(seed, turn, at, at, (number, angle, x, y) => {
      expect(worstError(number, { dx: 0.3, dy: -0.2, turn: angle, pivot: [x, y] })).toBeLessThan(1e-3);
    }),
    { seed: 12, numRuns: 60 },
  );
});

test("a shift by whole pixels copies them, and an even surface stays even", () => {
  const plane = painted(waves(3));
  const values = resampled(plane, 20, 20, 10, 10, { dx: 3, dy: -2, turn: 0, pivot: [0, 0] });
  for (let y = 0; y < 10; y++)
    for (let x = 0; x < 10; x++) expect(values[y * 10 + x]).toBeCloseTo(plane.data[(22 + y) * SIZE + 17 + x], 6);
  const even = painted(() => 0.4);
  for (const value of resampled(even, 0, 0, 30, 30, { dx: 0.37, dy: 0.61, turn: 0.01, pivot: [5, 5] }))
    expect(value).toBeCloseTo(0.4, 6);
});

test("white noise keeps four fifths of its variance, half a pixel on in both directions", () => {
  const random = createRandom(4, 0x6e6f);
  const plane = painted(() => random.normal());
  const values = resampled(plane, 20, 20, 32, 32, { dx: 0.5, dy: 0.5, turn: 0, pivot: [0, 0] });
  const variance = values.reduce((sum, value) => sum + value * value, 0) / values.length;
  // The window halves what lies about 0.45 cycles a px and takes off what lies above, in each direction.
  expect(variance).toBeGreaterThan(0.78);
  expect(variance).toBeLessThan(1.1);
});

const OUTLINE = [
  [20, 22],
  [50, 22],
  [50, 48],
  [20, 48],
] as const;

test("a drift reaches the part and all that the part moves onto, and no farther than 2 px around", () => {
  const field = waves(5);
  const source = painted(field);
  const before = Float32Array.from(source.data);
  const into = { ...source, data: Float32Array.from(source.data) };
  const drift: RigidDrift = { dx: 1.4, dy: 2.6, turn: 0, pivot: [0, 0] };
  putDrift(source, into, OUTLINE, [], drift);
  expect(source.data).toEqual(before);
  for (let y = 0; y < SIZE; y++)
    for (let x = 0; x < SIZE; x++) {
      const value = into.data[y * SIZE + x];
      const inside = x >= 20 && x < 50 && y >= 22 && y < 48;
      const onto = x >= 22 && x < 51 && y >= 25 && y < 50;
      if (inside || onto) expect(Math.abs(value - field(x + 0.5 - 1.4, y + 0.5 - 2.6))).toBeLessThan(1e-3);
      if (x < 18 || x > 53 || y < 20 || y > 52) expect(value).toBe(before[y * SIZE + x]);
    }
});

test("a hole in the part stays as it was, but for 2 px at its edge and what the part covers", () => {
  const source = painted(waves(6));
  const into = { ...source, data: Float32Array.from(source.data) };
  const hole = [
    [28, 28],
    [44, 28],
    [44, 42],
    [28, 42],
  ] as const;
  putDrift(source, into, OUTLINE, [hole], { dx: 0, dy: 1, turn: 0, pivot: [0, 0] });
  for (let y = 32; y < 39; y++)
    for (let x = 31; x < 41; x++) expect(into.data[y * SIZE + x]).toBe(source.data[y * SIZE + x]);
});

test("no drift changes nothing, and a part at the picture's border writes nothing outside it", () => {
  const source = painted(waves(7));
  const into = { ...source, data: Float32Array.from(source.data) };
  putDrift(source, into, OUTLINE, [], { dx: 0, dy: 0, turn: 0, pivot: [30, 30] });
  expect(into.data).toEqual(source.data);
  const corner = [
    [-6, -6],
    [14, -6],
    [14, 14],
    [-6, 14],
  ] as const;
  putDrift(source, into, corner, [], { dx: 0.5, dy: 0.5, turn: 0.01, pivot: [0, 0] });
  const mask = polygonMask(corner, [], SIZE, SIZE);
  expect([mask.left, mask.top]).toEqual([0, 0]);
  expect(into.data.every(Number.isFinite)).toBe(true);
});
