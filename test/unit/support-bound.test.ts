import { expect, test } from "vitest";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { cleanPatch, type Patch, partBound, translationBound } from "../support/bound.ts";
import { createRandom } from "../support/random.ts";
import { createRenderer, lumaPlane } from "../support/render.ts";
import { heldPart } from "../support/shots.ts";
import type { TextureName } from "../support/texture.ts";

const planeOf = (width: number, height: number, value: (x: number, y: number) => number): Plane => {
  const plane = createPlane(width, height);
  for (let i = 0; i < plane.data.length; i++) plane.data[i] = value((i % width) + 0.5, Math.floor(i / width) + 0.5);
  return plane;
};

const everywhere = () => true;

/** Amplitude 50, period 16 px, 32 x 32 px, sigma 2: waves along x, and along y if asked. */
const waves = (both: boolean): Patch => {
  const k = (2 * Math.PI) / 16;
  return {
    value: planeOf(32, 32, (x, y) => 50 * Math.sin(k * x) + (both ? 50 * Math.sin(k * y) : 0)),
    gradientX: planeOf(32, 32, (x) => 50 * k * Math.cos(k * x)),
    gradientY: planeOf(32, 32, (_x, y) => (both ? 50 * k * Math.cos(k * y) : 0)),
    variance: planeOf(32, 32, () => 4),
    inside: everywhere,
  };
};

test("the bound of a sinusoid is that of Robinson & Milanfar: sigma^2 / sum(fx^2)", () => {
  // Robinson & Milanfar 2004, the formula from memory; sum(fx^2) = 197392.088 and the bounds computed apart.
  const gradient = waves(false).gradientX.data;
  expect(gradient.reduce((sum, value) => sum + value * value, 0)).toBeCloseTo(197392.088, 1);
  expect(translationBound(waves(false), { noisyFrames: 1 }).best).toBeCloseTo(0.0045016, 6);
  expect(translationBound(waves(false)).best).toBeCloseTo(0.0063662, 6);
  const both = translationBound(waves(true));
  expect(both.sigmaX).toBeCloseTo(0.0063662, 6);
  expect(both.sigmaY).toBeCloseTo(0.0063662, 6);
  expect(both.rho).toBeCloseTo(0, 6);
});

test("along stripes nothing can be told", () => {
  const bound = translationBound(waves(false));
  expect(bound.worst).toBe(Number.POSITIVE_INFINITY);
  expect(bound.sigmaY).toBe(Number.POSITIVE_INFINITY);
  expect(Math.abs(bound.direction[0])).toBeCloseTo(1, 9);
});

test("an unknown gain and offset cost nothing over whole waves, and something over a part of one", () => {
  expect(translationBound(waves(true), { gainOffset: true }).sigmaX).toBeCloseTo(0.0063662, 5);
  const some: Patch = { ...waves(true), inside: (x, y) => x < 5 && y < 5 };
  const known = translationBound(some);
  const unknown = translationBound(some, { gainOffset: true });
  expect(unknown.sigmaX).toBeGreaterThan(1.05 * known.sigmaX);
  const tiled = translationBound(waves(true), { gainOffset: true, tile: 5 });
  expect(tiled.sigmaX).toBeGreaterThan(1.05 * translationBound(waves(true), { gainOffset: true }).sigmaX);
});

test("the bound of a turn: by hand for evenly spread detail", () => {
  // Uncorrelated gradients of variance g^2 on every pixel: information of the turn is sum(g^2 r^2) / sigma^2.
  const random = createRandom(3);
  const patch: Patch = {
    value: planeOf(40, 40, () => 1),
    gradientX: planeOf(40, 40, () => 3 * random.normal()),
    gradientY: planeOf(40, 40, () => 3 * random.normal()),
    variance: planeOf(40, 40, () => 2),
    inside: everywhere,
  };
  const bound = translationBound(patch, { noisyFrames: 1, turnAbout: [20, 20] });
  let squares = 0;
  for (let i = 0; i < 1600; i++) squares += ((i % 40) - 19.5) ** 2 + (Math.floor(i / 40) - 19.5) ** 2;
  expect(bound.sigmaTurn! / Math.sqrt(2 / (9 * squares))).toBeCloseTo(1, 1);
  expect(bound.sigmaX / Math.sqrt(2 / (9 * 1600))).toBeCloseTo(1, 1);
});

test("the bound is reached: least squares on noisy frames scatters by it about the true shift", () => {
  const { scene } = heldPart({ texture: "skin", size: 60, width: 90, height: 80, noise: 1.5 });
  const patch = { ...cleanPatch(scene, 1), inside: (x: number, y: number) => x > 20 && x < 70 && y > 15 && y < 65 };
  const bound = translationBound(patch, { noisyFrames: 1 });
  const use: number[] = [];
  for (let i = 0; i < 90 * 80; i++) if (patch.inside(i % 90, Math.floor(i / 90))) use.push(i);
  const [gx, gy, variance] = [patch.gradientX.data, patch.gradientY.data, patch.variance.data];
  let [xx, xy, yy] = [0, 0, 0];
  for (const i of use) {
    xx += gx[i] ** 2 / variance[i];
    xy += (gx[i] * gy[i]) / variance[i];
    yy += gy[i] ** 2 / variance[i];
  }
  const renderer = createRenderer({ ...scene, camera: (frame) => (frame === 1 ? {} : { dx: 0.02, dy: -0.03 }) });
  const estimates: [number, number][] = [];
  for (let frame = 2; frame < 302; frame++) {
    const { data } = lumaPlane(renderer.frame(frame));
    let [bx, by] = [0, 0];
    for (const i of use) {
      // What moved by d shows value - gradient . d.
      const residual = (patch.value.data[i] - data[i]) / variance[i];
      bx += gx[i] * residual;
      by += gy[i] * residual;
    }
    estimates.push([(yy * bx - xy * by) / (xx * yy - xy * xy), (xx * by - xy * bx) / (xx * yy - xy * xy)]);
  }
  for (const [axis, [truth, sigma]] of [[0.02, bound.sigmaX] as const, [-0.03, bound.sigmaY] as const].entries()) {
    const mean = estimates.reduce((sum, estimate) => sum + estimate[axis], 0) / 300;
    const scatter = Math.sqrt(estimates.reduce((sum, estimate) => sum + (estimate[axis] - mean) ** 2, 0) / 300);
    expect(Math.abs(mean - truth)).toBeLessThan((4 * sigma) / Math.sqrt(300));
    // 300 frames: the ratio's own standard deviation is 4 %.
    expect(Math.abs(scatter / sigma - 1)).toBeLessThan(0.13);
  }
});

test("derivatives from a moved scene agree with a difference of whole pixels where detail is broad", () => {
  const { scene } = heldPart({ texture: "silicone", contrast: 0.2, size: 90, width: 120, height: 120 });
  const { value, gradientX, gradientY } = cleanPatch(scene, 1);
  const slope = (i: number, step: number): number =>
    (8 * (value.data[i + step] - value.data[i - step]) - (value.data[i + 2 * step] - value.data[i - 2 * step])) / 12;
  for (const i of [60 * 120 + 60, 50 * 120 + 70, 71 * 120 + 44]) {
    expect(Math.abs(gradientX.data[i] - slope(i, 1))).toBeLessThan(2e-4);
    expect(Math.abs(gradientY.data[i] - slope(i, 120))).toBeLessThan(2e-4);
  }
});

test("more texture, less noise and a larger part lower the bound; hair has a bad direction, silicone is nearly blind", () => {
  const bound = (texture: TextureName, more: { size?: number; noise?: number } = {}) =>
    partBound(heldPart({ texture, size: 60, width: 130, height: 130, ...more }).scene, "held", {
      gainOffset: true,
      tile: 20,
    });
  const skin = bound("skin");
  expect(bound("skin", { noise: 2 }).sigmaX).toBeGreaterThan(1.8 * skin.sigmaX);
  expect(bound("skin", { size: 120 }).sigmaX).toBeLessThan(0.6 * skin.sigmaX);
  const hair = bound("hair");
  expect(hair.worst).toBeGreaterThan(5 * hair.best);
  expect(bound("silicone").worst).toBeGreaterThan(5 * skin.worst);
  expect(bound("speckle").worst).toBeLessThan(0.5 * skin.worst);
});
