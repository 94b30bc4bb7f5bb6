import { expect, test } from "vitest";
import { PartLight } from "../../src/measure/part-light.ts";
import { UNEVEN } from "../../src/measure/part-motion.ts";
import { PartRegistrar } from "../../src/measure/part-register.ts";
import type { Light } from "../support/scene.ts";
import { chosenFor, partScene, preparedOf } from "./measure-pictures.ts";

const registrar = new PartRegistrar();

/** In frames 2 to 7 a soft shadow goes over the part, from its left to its right end. */
const swept = (frame: number): Light =>
  frame === 1 ? {} : { shadow: { across: [0.96, 0.28], softness: 50, depth: 0.4, edge: 55 + 20 * frame } };

const still = { size: 56, noise: 0.5, light: swept } as const;

test.each(["woven", "stripes", "herringbone"] as const)(
  "a shadow's soft edge that goes over a small part of %s moves it by no more than its sigmas",
  (texture) => {
    const part = partScene({ ...still, texture });
    const prepared = preparedOf(part.scene);
    const chosen = chosenFor(part);
    let uneven = 0;
    for (let frame = 2; frame <= 7; frame++) {
      const motion = registrar.register(chosen, prepared(frame));
      if (motion.uneven > UNEVEN) uneven++;
      // Across the stripes, which is all that they tell.
      expect(Math.abs(motion.dx)).toBeLessThan(0.03);
      expect(Math.abs(motion.dx)).toBeLessThan(4 * Math.sqrt(motion.covariance[0]));
    }
    expect(uneven).toBeGreaterThan(2);
  },
);

test("a part that drifts under a shadow's edge is told as far as it went", () => {
  const part = partScene({ ...still, motion: (frame) => ({ dx: 0.2 * (frame - 1), dy: -0.1 * (frame - 1) }) });
  const prepared = preparedOf(part.scene);
  const chosen = chosenFor(part);
  for (let frame = 2; frame <= 7; frame++) {
    const { dx, dy } = registrar.register(chosen, prepared(frame));
    expect(Math.abs(dx - 0.2 * (frame - 1))).toBeLessThan(0.03);
    expect(Math.abs(dy + 0.1 * (frame - 1))).toBeLessThan(0.03);
  }
});

test("light that changes everywhere alike is not uneven", () => {
  const part = partScene({ size: 56, noise: 1, light: (frame) => ({ gain: 1 + 0.03 * (frame - 1) }) });
  const prepared = preparedOf(part.scene);
  const chosen = chosenFor(part);
  for (let frame = 2; frame <= 5; frame++)
    expect(registrar.register(chosen, prepared(frame)).uneven).toBeLessThan(UNEVEN);
});

test("a smooth gain comes off the samples, and what it explains off the gradient", () => {
  const { template } = chosenFor(partScene({ size: 56 }));
  const light = new PartLight(template, new Uint8Array(template.tiles).fill(1));
  const { count, u, v, t } = template;
  const gain = (i: number): number => 0.8 + 0.004 * u[i] - 0.0001 * v[i] ** 2;
  const sampled = Float32Array.from({ length: count }, (_, i) => gain(i) * t[i]);
  light.flatten(sampled);
  const worst = sampled.reduce((most, value, i) => Math.max(most, Math.abs(value / t[i] - 1)), 0);
  expect(worst).toBeLessThan(0.01);
  const along = (gradient: Float32Array): number => gradient.reduce((sum, g, i) => sum + g * t[i] * gain(i), 0);
  expect(Math.abs(along(light.template.gx))).toBeLessThan(0.05 * Math.abs(along(template.gx)) + 1e-3 * count);
});
