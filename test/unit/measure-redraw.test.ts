import { expect, test } from "vitest";
import { enlarged, followedBy, inverseOf, mapped, turnAbout } from "../../src/measure/affine.ts";
import { behind } from "../../src/measure/redraw/behind.ts";
import { nearestIn } from "../../src/measure/redraw/distance.ts";
import type { Raster } from "../../src/measure/redraw/raster.ts";
import { applyPatch, type Layer, redraw, redrawWhole } from "../../src/measure/redraw/redraw.ts";
import { shareAt, softMask } from "../../src/measure/redraw/soft-mask.ts";
import { createRandom } from "../support/random.ts";

const [WIDTH, HEIGHT] = [120, 90];

/** A smooth picture that is known everywhere, between its pixels too. */
const waves = (x: number, y: number, c: number): number =>
  128 + 50 * Math.sin(x / (3 + c)) * Math.cos(y / 4) + 30 * Math.sin((x + y) / 7 + c);

const pictureOf = (value: (x: number, y: number, c: number) => number): Raster => {
  const data = new Uint16Array(WIDTH * HEIGHT * 3);
  for (let y = 0; y < HEIGHT; y++)
    for (let x = 0; x < WIDTH; x++)
      for (let c = 0; c < 3; c++) data[(y * WIDTH + x) * 3 + c] = Math.round(100 * value(x + 0.5, y + 0.5, c));
  return { width: WIDTH, height: HEIGHT, channels: 3, data };
};

const square: Layer["shape"] = {
  points: [
    [40, 30],
    [70, 30],
    [70, 60],
    [40, 60],
  ],
  holes: [],
};

test("the nearest pixel of a set is found exactly", () => {
  const random = createRandom(7);
  const [w, h] = [23, 17];
  const set = Uint8Array.from({ length: w * h }, () => (random.next() < 0.06 ? 1 : 0));
  const { distance, index } = nearestIn(set, w, h);
  for (let at = 0; at < w * h; at++) {
    let best = Number.POSITIVE_INFINITY;
    for (let i = 0; i < w * h; i++)
      if (set[i] === 1) best = Math.min(best, Math.hypot((i % w) - (at % w), Math.floor(i / w) - Math.floor(at / w)));
    expect(distance[at]).toBeCloseTo(best, 4);
    expect(set[index[at]]).toBe(1);
  }
});

test("a map, its way back, and its displacement made larger", () => {
  const turn = turnAbout(0.01, [50, 40], 1.2, -0.7);
  const [x, y] = mapped(followedBy(turn, inverseOf(turn)), 33, 71);
  expect(x).toBeCloseTo(33, 9);
  expect(y).toBeCloseTo(71, 9);
  const [ax, ay] = mapped(turn, 10, 20);
  const [bx, by] = mapped(enlarged(turn, 20), 10, 20);
  expect(bx - 10).toBeCloseTo(20 * (ax - 10), 9);
  expect(by - 20).toBeCloseTo(20 * (ay - 20), 9);
});

test("a soft mask is one inside, nothing far outside, and falls in between", () => {
  const mask = softMask(square, 1, 3, WIDTH, HEIGHT)!;
  expect(shareAt(mask, 55, 45)).toBe(1);
  expect(shareAt(mask, 40.5, 45.5)).toBe(1);
  expect(shareAt(mask, 34, 45)).toBe(0);
  expect(shareAt(mask, 37.5, 45.5)).toBeGreaterThan(0);
  expect(shareAt(mask, 37.5, 45.5)).toBeLessThan(1);
  expect(
    softMask(
      {
        points: [
          [-50, -50],
          [-40, -50],
          [-40, -40],
        ],
        holes: [],
      },
      1,
      3,
      WIDTH,
      HEIGHT,
    ),
  ).toBeNull();
});

test("a part that is drawn elsewhere looks as it would there, to a hundredth of its contrast, and what is far from it stays", () => {
  const raster = pictureOf(waves);
  const to = turnAbout(0.03, [55, 45], 7.3, -4.6);
  const patch = redraw(raster, [{ shape: square, to, bend: null, covers: [] }], [])!;
  const copy: Raster = { ...raster, data: raster.data.slice() };
  applyPatch(copy, patch);
  const back = inverseOf(to);
  for (const [x, y] of [
    [55, 40],
    [60, 45],
    [70, 35],
  ] as const) {
    const [sx, sy] = mapped(back, x + 0.5, y + 0.5);
    for (let c = 0; c < 3; c++)
      expect(Math.abs(copy.data[(y * WIDTH + x) * 3 + c]! - 100 * waves(sx, sy, c))).toBeLessThan(100);
  }
  for (const at of [0, (80 * WIDTH + 10) * 3, (45 * WIDTH + 110) * 3]) expect(copy.data[at]).toBe(raster.data[at]);
});

test("what a part leaves is what another frame shows there, in this frame's light", () => {
  const raster = pictureOf((x, y, c) => (x > 38 && x < 72 && y > 28 && y < 62 ? 250 : 0.9 * waves(x, y, c)));
  const plate = pictureOf(waves);
  const rect = { left: 20, top: 10, width: 80, height: 70 };
  const hole = new Float32Array(80 * 70);
  for (let y = 0; y < 70; y++)
    for (let x = 0; x < 80; x++) if (x + 20 >= 36 && x + 20 < 74 && y + 10 >= 26 && y + 10 < 64) hole[y * 80 + x] = 1;
  const { values, guessed } = behind(raster, rect, hole, [{ raster: plate, to: [1, 0, 0, 0, 1, 0], covered: [] }]);
  const at = ((45 - 10) * 80 + 55 - 20) * 3;
  for (let c = 0; c < 3; c++) expect(values[at + c]! / 100).toBeCloseTo(0.9 * waves(55.5, 45.5, c), 0);
  expect(guessed.includes(1)).toBe(false);
  // Without the other frame it is a guess, and says so.
  expect(behind(raster, rect, hole, []).guessed.includes(1)).toBe(true);
});

test("a picture that is put back in bands is the same as in one", () => {
  const raster = pictureOf(waves);
  const to = turnAbout(0.002, [60, 45], 0.4, -0.3);
  const whole = redrawWhole(raster, to, [], { left: 0, top: 0, width: WIDTH, height: HEIGHT });
  for (const top of [0, 30, 60]) {
    const band = redrawWhole(raster, to, [], { left: 0, top, width: WIDTH, height: 30 });
    for (let i = 0; i < band.colour.length; i += 97)
      expect(Math.abs(band.colour[i]! - whole.colour[top * WIDTH * 3 + i]!)).toBeLessThan(1);
  }
});
