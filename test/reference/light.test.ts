import { expect, test } from "vitest";
import { toEvenScale } from "../../src/measure/even-scale.ts";
import { gainStops } from "../../src/measure/light-gain.ts";
import { createPlane } from "../../src/measure/plane.ts";
import { gainOfStops, stops, stopsOfGain } from "../../src/units/index.ts";

// sRGB, IEC 61966-2-1: 8-bit code and its linear light, to the eight digits quoted.
const published: readonly (readonly [code: number, linear: number])[] = [
  [10, 0.00303527],
  [11, 0.00334654],
  [118, 0.18116424],
  [128, 0.2158605],
  [188, 0.50288646],
];

test("the scale on which noise is even is that of sRGB, IEC 61966-2-1, not rounded", () => {
  const linear = createPlane(published.length + 4, 1);
  published.forEach(([, light], i) => {
    linear.data[i] = light;
  });
  linear.data.set([0, 1, -0.2, 1.7], published.length);
  const even = createPlane(linear.width, 1);
  toEvenScale(linear, even);
  published.forEach(([code], i) => expect(Math.abs(even.data[i] - code)).toBeLessThan(0.002));
  // Black, white, and what is beyond them.
  [0, 255, 0, 255].forEach((grey, i) => expect(even.data[published.length + i]).toBeCloseTo(grey, 3));
});

// A stop is a factor of two in linear light; computed by hand.
const gains: readonly (readonly [gain: number, stop: number])[] = [
  [1.02, 0.02857],
  [0.94, -0.08927],
  [2, 1],
  [0.5, -1],
];

test.each(gains)("a gain of %d in linear light is %d stop", (gain, stop) => {
  expect(stopsOfGain(gain)).toBeCloseTo(stop, 5);
  expect(gainOfStops(stops(stop))).toBeCloseTo(gain, 4);
  const before = createPlane(40, 40);
  before.data.fill(0.2);
  const after = { ...before, data: before.data.map((value) => gain * value) };
  expect(gainStops(before, after, 5, 5, 24, 0, 0)).toBeCloseTo(stop, 4);
});

test("no light has no stops", () => {
  expect(stopsOfGain(0)).toBeNaN();
  expect(stopsOfGain(-1)).toBeNaN();
});
