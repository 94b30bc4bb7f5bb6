import { expect, test } from "vitest";
import { createRandom } from "../support/random.ts";
import { TEXTURES, type Texture, type TextureName } from "../support/texture.ts";
import { ROW, spots, valueNoise } from "../support/value-noise.ts";

const names = Object.keys(TEXTURES) as TextureName[];

const grid = (texture: Texture, step: number, count: number): number[] =>
  Array.from({ length: count * count }, (_, i) => texture((i % count) * step - 700, Math.floor(i / count) * step + 90));

test.each(names)("%s has about mean 0 and standard deviation 1 anywhere", (name) => {
  for (const seed of [1, 2, 3]) {
    const values = grid(TEXTURES[name].make(seed), 7.37, 150);
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    const deviation = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
    expect(Math.abs(mean)).toBeLessThan(0.2);
    expect(Math.abs(deviation - 1)).toBeLessThan(0.15);
  }
});

test.each(names)("%s is the same for a seed in any order of evaluation, and another for another seed", (name) => {
  const one = TEXTURES[name].make(5);
  const other = TEXTURES[name].make(5);
  const different = TEXTURES[name].make(6);
  const random = createRandom(8);
  const points = Array.from({ length: 200 }, () => [random.between(-900, 900), random.between(-900, 900)] as const);
  const forwards = points.map(([u, v]) => one(u, v));
  const backwards = points.toReversed().map(([u, v]) => other(u, v));
  expect(backwards.toReversed()).toEqual(forwards);
  expect(points.map(([u, v]) => different(u, v))).not.toEqual(forwards);
});

test.each(names)("%s in whole rows is the same to the bit as point by point", (name) => {
  const texture = TEXTURES[name].make(5, { angle: 0.2 });
  const random = createRandom(9);
  const us = Float64Array.from({ length: ROW }, () => random.between(-300, 300));
  const vs = Float64Array.from({ length: ROW }, (_, i) => i * 0.25);
  const out = new Float64Array(ROW);
  texture.row(us, vs, out, ROW);
  expect(Array.from(out)).toEqual(Array.from(us, (u, i) => texture(u, vs[i])));
});

test.each(names.filter((name) => name !== "herringbone"))(
  "%s is smooth: no step even over a hundredth of a pixel",
  (name) => {
    const texture = TEXTURES[name].make(4);
    let largest = 0;
    for (let i = 0; i < 40000; i++) {
      const u = i * 0.01 - 150;
      largest = Math.max(largest, Math.abs(texture(u + 0.01, 31.4) - texture(u, 31.4)));
    }
    expect(largest).toBeLessThan(0.035);
  },
);

test("value noise stays within 1, meets its lattice and has no step at a cell's edge", () => {
  const noise = valueNoise(9, 5);
  for (const value of grid(noise, 1.7, 100)) expect(Math.abs(value)).toBeLessThanOrEqual(1);
  expect(Math.abs(noise(5 - 1e-7, 2.2) - noise(5 + 1e-7, 2.2))).toBeLessThan(1e-9);
  // The quintic is flat at the lattice: a step of h changes it by about 10 h^3, two derivatives vanish.
  expect(Math.abs(noise(5 + 0.005, 2.2) - noise(5, 2.2))).toBeLessThan(1e-7);
});

test("value noise has no period: the same place 256 or 65536 cells on is another value", () => {
  const noise = valueNoise(9);
  for (const distance of [64, 256, 1024, 65536]) {
    let sum = 0;
    for (let i = 0; i < 2000; i++) sum += noise(i, 3) * noise(i + distance, 3) + noise(3, i) * noise(3, i + distance);
    // Uniform in [-1, 1]: the mean of 4000 products of independent values has standard deviation 1 / 3 / sqrt(4000).
    expect(Math.abs(sum / 4000)).toBeLessThan(4 * (1 / 3 / Math.sqrt(4000)));
  }
});

test("turning a lattice turns the noise", () => {
  const straight = valueNoise(3, 4, 9);
  const turned = valueNoise(3, 4, 9, 0.7);
  const [c, s] = [Math.cos(0.7), Math.sin(0.7)];
  expect(turned(c * 10 - s * 4, s * 10 + c * 4)).toBeCloseTo(straight(10, 4), 12);
});

test("spots end inside their own cell", () => {
  const field = spots(2, 13, 1, 3, 6);
  let largest = 0;
  for (let i = 0; i < 3000; i++) {
    expect(field(13 * (i % 50), i * 0.31)).toBe(0);
    largest = Math.max(largest, field(i * 0.43, i * 0.17));
  }
  expect(largest).toBeGreaterThan(0.4);
});

test("stripes change across and never along; `angle` turns them from u towards v", () => {
  const stripes = TEXTURES.stripes.make(3);
  expect(stripes(17.3, 4)).toBe(stripes(17.3, 912.7));
  expect(stripes(17.3, 4)).not.toBe(stripes(19.3, 4));
  const turned = TEXTURES.stripes.make(3, { angle: Math.PI / 2 });
  expect(turned(55, 17.3)).toBeCloseTo(stripes(17.3, 4), 12);
  expect(turned(-80, 17.3)).toBeCloseTo(stripes(17.3, 4), 12);
});

test("a weave repeats by its thread, but no two threads are alike", () => {
  const period = 8;
  const weave = TEXTURES.woven.make(7, { period });
  const correlation = (shift: number): number => {
    let product = 0;
    for (let i = 0; i < 6000; i++) {
      const u = i * 0.613;
      const v = i * 0.257;
      product += weave(u, v) * weave(u + shift, v);
    }
    return product / 6000;
  };
  // A plain weave repeats after two threads.
  expect(correlation(2 * period)).toBeGreaterThan(0.4);
  expect(correlation(2 * period)).toBeLessThan(0.9);
  expect(correlation(period / 2)).toBeLessThan(0);
});
