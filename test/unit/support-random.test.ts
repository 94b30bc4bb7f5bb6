import { expect, test } from "vitest";
import { createRandom } from "../support/random.ts";

const moments = (values: readonly number[]) => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const central = (power: number) => values.reduce((sum, value) => sum + (value - mean) ** power, 0) / values.length;
  return { mean, variance: central(2), skew: central(3) / central(2) ** 1.5 };
};
const draws = (count: number, draw: () => number) => Array.from({ length: count }, draw);

test("the same seeds give the same numbers, in another order others", () => {
  const first = draws(20, createRandom(3, 4).next);
  expect(draws(20, createRandom(3, 4).next)).toEqual(first);
  expect(draws(20, createRandom(4, 3).next)).not.toEqual(first);
  expect(draws(20, createRandom(3, 5).next)).not.toEqual(first);
});

test("uniform draws fill the unit interval evenly", () => {
  const random = createRandom(1);
  const counts = new Array<number>(20).fill(0);
  for (let i = 0; i < 20000; i++) counts[Math.floor(20 * random.next())]++;
  // Chi-square with 19 degrees of freedom: 43.8 is exceeded once in a thousand times.
  const chiSquare = counts.reduce((sum, count) => sum + (count - 1000) ** 2 / 1000, 0);
  expect(chiSquare).toBeLessThan(43.8);
});

test("neighbouring seeds give unrelated numbers", () => {
  const a = createRandom(7, 1);
  const b = createRandom(7, 2);
  let product = 0;
  for (let i = 0; i < 10000; i++) product += a.normal() * b.normal();
  expect(Math.abs(product / 10000)).toBeLessThan(0.04);
});

test("normal draws have mean 0, variance 1 and no skewness", () => {
  const random = createRandom(2);
  const { mean, variance, skew } = moments(draws(100000, random.normal));
  expect(Math.abs(mean)).toBeLessThan(0.013);
  expect(Math.abs(variance - 1)).toBeLessThan(0.018);
  expect(Math.abs(skew)).toBeLessThan(0.03);
});

test.each([0.4, 3, 11, 13, 60, 4000])("Poisson draws of mean %d have its variance and skewness", (expected) => {
  const random = createRandom(5, expected * 10);
  const { mean, variance, skew } = moments(draws(60000, () => random.poisson(expected)));
  expect(Math.abs(mean - expected)).toBeLessThan(4 * Math.sqrt(expected / 60000));
  expect(Math.abs(variance / expected - 1)).toBeLessThan(0.04);
  expect(Math.abs(skew - 1 / Math.sqrt(expected))).toBeLessThan(0.06);
});

test("a Poisson draw of mean 0 is 0", () => {
  expect(createRandom(1).poisson(0)).toBe(0);
});
