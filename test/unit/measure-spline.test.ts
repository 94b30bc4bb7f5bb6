import { expect, test } from "vitest";
import { gaussianBlur, gaussianWeights, noiseLeft } from "../../src/measure/gaussian.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { levelOf, prepareFrame, withGradient } from "../../src/measure/prepared.ts";
import { splineAt, splineCoefficients, splineGradient, splineWeights } from "../../src/measure/spline.ts";
import { createRandom } from "../support/random.ts";
import { rms } from "./measure-pictures.ts";

const planeOf = (width: number, height: number, at: (x: number, y: number) => number): Plane => {
  const plane = createPlane(width, height);
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) plane.data[y * width + x] = at(x, y);
  return plane;
};

const noisePlane = (width: number, height: number, seed: number): Plane => {
  const random = createRandom(seed);
  return planeOf(width, height, () => random.normal());
};

const coefficientsOf = (plane: Plane): Plane => {
  const coefficients = { ...plane, data: plane.data.slice() };
  splineCoefficients(coefficients);
  return coefficients;
};

/** Value and gradient at a place. */
const sampled = (coefficients: Plane, x: number, y: number): readonly number[] => {
  const into = new Float64Array(3);
  splineAt(coefficients, x, y, into);
  return [...into];
};

const splineSample = (coefficients: Plane, x: number, y: number): number => sampled(coefficients, x, y)[0];

test("the spline goes through every sample it was made from, noise too", () => {
  const samples = planeOf(
    23,
    17,
    (
      (random) => () =>
        random.between(0, 255)
    )(createRandom(1)),
  );
  const coefficients = coefficientsOf(samples);
  let worst = 0;
  for (let y = 1; y + 2 < 17; y++)
    for (let x = 1; x + 2 < 23; x++)
      worst = Math.max(worst, Math.abs(splineSample(coefficients, x, y) - samples.data[y * 23 + x]));
  // Coefficients are 32-bit floats of up to about 1000.
  expect(worst).toBeLessThan(3e-4);
});

test("between the samples the spline is the cubic that was sampled", () => {
  const cubic = (x: number, y: number): number => {
    const [u, v] = [(x - 20) / 10, (y - 20) / 10];
    return u ** 3 - 2 * u * u * v + v * v - 3 * u + 1;
  };
  // Near the border the mirrored picture is no cubic; its trace falls by 0.27 a pixel.
  const coefficients = coefficientsOf(planeOf(40, 40, cubic));
  for (const [x, y] of [
    [20.5, 20.5],
    [18.27, 21.9],
    [22.75, 16.01],
  ] as const)
    expect(splineSample(coefficients, x, y)).toBeCloseTo(cubic(x, y), 4);
});

test("half way between samples a wave of 8 px is met to a part in five hundred of its amplitude", () => {
  const wave = (x: number): number => 50 * Math.sin((2 * Math.PI * x) / 8);
  const coefficients = coefficientsOf(planeOf(64, 12, wave));
  const errors = Array.from({ length: 30 }, (_, i) => splineSample(coefficients, 16.5 + i, 5.5) - wave(16.5 + i));
  expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.1);
});

test("the gradient is the slope of what is sampled, to the left and right and up and down", () => {
  const coefficients = coefficientsOf(noisePlane(20, 20, 2));
  const [gx, gy] = [createPlane(20, 20), createPlane(20, 20)];
  splineGradient(coefficients, gx, gy);
  const h = 1e-3;
  for (let y = 2; y < 17; y++)
    for (let x = 2; x < 17; x++) {
      const slopeX = (splineSample(coefficients, x + h, y) - splineSample(coefficients, x - h, y)) / (2 * h);
      const slopeY = (splineSample(coefficients, x, y + h) - splineSample(coefficients, x, y - h)) / (2 * h);
      expect(gx.data[y * 20 + x]).toBeCloseTo(slopeX, 3);
      expect(gy.data[y * 20 + x]).toBeCloseTo(slopeY, 3);
    }
});

test("between pixels too the gradient is the slope of what is sampled", () => {
  const coefficients = coefficientsOf(noisePlane(20, 20, 3));
  const random = createRandom(4);
  const h = 1e-3;
  for (let i = 0; i < 100; i++) {
    const [x, y] = [random.between(2, 17), random.between(2, 17)];
    const [, alongX, alongY] = sampled(coefficients, x, y);
    const slopeX = (splineSample(coefficients, x + h, y) - splineSample(coefficients, x - h, y)) / (2 * h);
    const slopeY = (splineSample(coefficients, x, y + h) - splineSample(coefficients, x, y - h)) / (2 * h);
    expect(alongX).toBeCloseTo(slopeX, 4);
    expect(alongY).toBeCloseTo(slopeY, 4);
  }
});

test("a brightness that rises to the right and falls downwards has a gradient of those signs", () => {
  const coefficients = coefficientsOf(planeOf(60, 60, (x, y) => 3 * x - 2 * y));
  const [gx, gy] = [createPlane(60, 60), createPlane(60, 60)];
  splineGradient(coefficients, gx, gy);
  expect(gx.data[30 * 60 + 30]).toBeCloseTo(3, 3);
  expect(gy.data[30 * 60 + 30]).toBeCloseTo(-2, 3);
});

test("where the spline's support leaves the picture there is no value", () => {
  const coefficients = coefficientsOf(noisePlane(10, 8, 3));
  for (const [x, y] of [
    [0.99, 4],
    [8, 4],
    [4, 0.5],
    [4, 6],
    [-3, 4],
    [4, 100],
    [Number.NaN, 4],
  ] as const)
    expect(splineSample(coefficients, x, y)).toBeNaN();
  expect(splineSample(coefficients, 1, 1)).not.toBeNaN();
  expect(splineSample(coefficients, 7.999, 5.999)).not.toBeNaN();
});

test("the four weights sum to one and have their mean at the fraction", () => {
  const weights = new Float64Array(4);
  for (const fraction of [0, 0.25, 0.5, 0.9]) {
    splineWeights(fraction, weights);
    expect(weights[0] + weights[1] + weights[2] + weights[3]).toBeCloseTo(1, 12);
    expect(-weights[0] + weights[2] + 2 * weights[3]).toBeCloseTo(fraction, 12);
  }
});

test("Gaussian weights sum to one and have the variance that was asked for", () => {
  for (const sigma of [0.8, 1.2, 2]) {
    const weights = gaussianWeights(sigma);
    let sum = weights[0];
    let variance = 0;
    for (let k = 1; k < weights.length; k++) {
      sum += 2 * weights[k];
      variance += 2 * k * k * weights[k];
    }
    expect(sum).toBeCloseTo(1, 12);
    expect(Math.sqrt(variance)).toBeCloseTo(sigma, 3);
  }
});

test("blurring spreads a single bright pixel by the weights, keeps the light and leaves its source alone", () => {
  const source = createPlane(21, 17);
  source.data[8 * 21 + 10] = 100;
  const before = source.data.slice();
  const into = createPlane(21, 17);
  gaussianBlur(source, 1.2, into, createPlane(21, 17));
  const weights = gaussianWeights(1.2);
  expect(into.data[8 * 21 + 10]).toBeCloseTo(100 * weights[0] ** 2, 4);
  expect(into.data[6 * 21 + 13]).toBeCloseTo(100 * weights[2] * weights[3], 4);
  expect(into.data.reduce((sum, value) => sum + value, 0)).toBeCloseTo(100, 3);
  expect(source.data).toEqual(before);
});

test("blurring in place gives the same, and an even picture stays even up to its corners", () => {
  const source = noisePlane(15, 11, 4);
  const apart = createPlane(15, 11);
  gaussianBlur(source, 0.8, apart, createPlane(15, 11));
  gaussianBlur(source, 0.8, source, createPlane(15, 11));
  expect(source.data).toEqual(apart.data);
  const even = planeOf(15, 11, () => 80);
  gaussianBlur(even, 2, even, createPlane(15, 11));
  for (const value of even.data) expect(value).toBeCloseTo(80, 4);
});

test("the noise that a blur leaves is what is told of it", () => {
  for (const sigma of [0.8, 2]) {
    const noise = noisePlane(200, 200, 5);
    gaussianBlur(noise, sigma, noise, createPlane(200, 200));
    // Near the border the repeated edge pixels leave more.
    const inner = Array.from(noise.data).filter((_, i) => i % 200 > 8 && i % 200 < 191 && i > 8 * 200 && i < 191 * 200);
    const left = rms(inner) ** 2;
    expect(left / noiseLeft(sigma)).toBeGreaterThan(0.93);
    expect(left / noiseLeft(sigma)).toBeLessThan(1.07);
  }
});

test("a coarser level is the frame through the coarser filter, made once", () => {
  const linear = planeOf(
    60,
    50,
    (
      (random) => () =>
        random.between(0.1, 0.4)
    )(createRandom(6)),
  );
  const frame = prepareFrame(linear);
  const level = levelOf(frame, 1.2);
  expect(levelOf(frame, 1.2)).toBe(level);
  expect(levelOf(frame, 0.8)).toBe(frame);
  const direct = prepareFrame(linear, 1.2);
  // Sampled Gaussians add up in squares only nearly; white noise shows it most.
  const differences = level.even.data.map((value, i) => value - direct.even.data[i]);
  const contrast = rms(Array.from(direct.even.data, (value) => value - 128));
  expect(rms(Array.from(differences))).toBeLessThan(0.05 * contrast);
  const middle = 25 * 60 + 30;
  expect(splineSample(level.coefficients, 30, 25)).toBeCloseTo(level.even.data[middle], 3);
});

test("preparing a frame leaves its linear light alone and averages it for seeds", () => {
  const linear = planeOf(41, 30, (x, y) => 0.2 + 0.003 * x + 0.001 * y);
  const before = linear.data.slice();
  const frame = withGradient(prepareFrame(linear));
  expect(linear.data).toEqual(before);
  expect([frame.half.width, frame.half.height, frame.quarter.width, frame.quarter.height]).toEqual([20, 15, 10, 7]);
  const { data } = frame.even;
  const at = 12 * 41 + 20;
  expect(frame.half.data[6 * 20 + 10]).toBeCloseTo((data[at] + data[at + 1] + data[at + 41] + data[at + 42]) / 4, 3);
  expect(frame.gradientX.data[at]).toBeCloseTo((data[at + 1] - data[at - 1]) / 2, 2);
});
