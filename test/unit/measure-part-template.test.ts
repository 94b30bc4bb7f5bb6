import { expect, test } from "vitest";
import { bestTemplate, type ChosenTemplate, noiseOf, promiseOf } from "../../src/measure/choose-prefilter.ts";
import { averagedTemplate, LEAST_PIXELS, type PartTemplate, partTemplate } from "../../src/measure/part-template.ts";
import { PartRegistrar } from "../../src/measure/part-register.ts";
import { type PreparedFrame, PREFILTER_SIGMA } from "../../src/measure/prepared.ts";
import type { Point } from "../support/similarity.ts";
import { chosenFor, mean, partScene, preparedOf, rms } from "./measure-pictures.ts";

const square = (left: number, top: number, size: number): Point[] => [
  [left, top],
  [left + size, top],
  [left + size, top + size],
  [left, top + size],
];

const plain = partScene({ size: 80 });
const frame = preparedOf(plain.scene)(1);

test("a template holds the pixels inside the outline, less what the filter reaches over its edge", () => {
  const template = partTemplate(frame, square(50, 40, 70), [], [85, 75])!;
  // 2 x 0.8 + 1.4 px, rounded, all round.
  expect(template.count).toBe(64 * 64);
  expect(template.lost).toBeCloseTo(1 - 64 ** 2 / 70 ** 2, 6);
  expect(Math.min(...template.x)).toBe(53);
  expect(Math.max(...template.y)).toBe(106);
  expect([template.centroidX, template.centroidY]).toEqual([84.5, 74.5]);
  expect(template.u[0]).toBe(template.x[0] - 84.5);
  expect(template.t[0]).toBeCloseTo(frame.even.data[template.y[0] * frame.width + template.x[0]], 4);
});

test("a small part gives up one pixel of its edge only", () => {
  const template = partTemplate(frame, square(60, 50, 30), [], [75, 65])!;
  expect(template.count).toBe(28 * 28);
});

test("every tile has enough pixels to be judged, however the outline runs", () => {
  const star = Array.from({ length: 10 }, (_, k): Point => {
    const radius = k % 2 === 0 ? 60 : 22;
    return [100 + radius * Math.sin((Math.PI * k) / 5), 75 - radius * Math.cos((Math.PI * k) / 5)];
  });
  const template = partTemplate(frame, star, [], [100, 75])!;
  const counts = new Map<number, number>();
  for (const tile of template.tile) counts.set(tile, (counts.get(tile) ?? 0) + 1);
  expect([...counts.keys()].toSorted((a, b) => a - b)).toEqual(Array.from({ length: template.tiles }, (_, k) => k));
  expect(Math.min(...counts.values())).toBeGreaterThanOrEqual(60);
});

test("holes are no part of a template, and its pixels stay clear of the picture's border", () => {
  const whole = partTemplate(frame, square(50, 40, 70), [], [85, 75])!;
  const holed = partTemplate(frame, square(50, 40, 70), [square(75, 65, 20)], [85, 75])!;
  expect(whole.count - holed.count).toBe(26 * 26);
  const cut = partTemplate(frame, square(-30, -30, 80), [], [10, 10])!;
  expect(Math.min(...cut.x)).toBeGreaterThanOrEqual(3);
  expect(Math.min(...cut.y)).toBeGreaterThanOrEqual(3);
});

test("what is smaller than a few dozen pixels, or outside the picture, has no template", () => {
  expect(LEAST_PIXELS).toBe(64);
  expect(partTemplate(frame, square(60, 50, 7), [], [63.5, 53.5])).toBeNull();
  expect(partTemplate(frame, square(60, 50, 9), [], [64.5, 54.5])!.count).toBe(81);
  expect(partTemplate(frame, square(400, 400, 50), [], [425, 425])).toBeNull();
});

// Averaging over the first frames of a hold

const registrar = new PartRegistrar();

/** As it stands, through the fine filter, its noise not known. */
const plainly = (template: PartTemplate): ChosenTemplate => ({
  template,
  coarse: null,
  noise: null,
  promised: null,
  rivals: () => [],
});

function averaged(first: PartTemplate, frames: readonly PreparedFrame[]): PartTemplate {
  return averagedTemplate(
    first,
    frames.map((one) => ({ frame: one, ...registrar.register(plainly(first), one) })),
  );
}

test("a template averaged over frames that sag meanwhile does not shift the zero", () => {
  const sag = (at: number): number => 0.05 * (at - 1);
  const { scene, outline, centroid } = partScene({
    size: 60,
    width: 150,
    height: 110,
    motion: (at) => ({ dy: sag(at) }),
  });
  const frames = preparedOf(scene);
  const first = partTemplate(frames(1), outline, [], centroid)!;
  const template = averaged(first, [2, 3, 4].map(frames));
  expect(template.frames).toBe(4);
  expect(first.frames).toBe(1);
  for (const at of [2, 4, 6, 9, 12]) {
    const found = registrar.register(plainly(template), frames(at));
    // Left unaligned the mean of four frames would lie 1.5 frames of sag, 0.075 px, lower.
    expect(Math.abs(found.dy - sag(at))).toBeLessThan(0.006);
    expect(Math.abs(found.dx)).toBeLessThan(0.004);
  }
});

test("a template averaged over frames that turn and change their light keeps both out", () => {
  const { scene, outline, centroid } = partScene({
    size: 60,
    width: 150,
    height: 110,
    motion: (at) => ({ turn: 0.003 * (at - 1), pivot: [50, 50] }),
    light: (at) => ({ gain: 1 - 0.04 * (at - 1) }),
  });
  const frames = preparedOf(scene);
  const template = averaged(partTemplate(frames(1), outline, [], centroid)!, [2, 3, 4].map(frames));
  const found = registrar.register(plainly(template), frames(7));
  expect(Math.abs(found.turn - 0.018)).toBeLessThan(2e-4);
  const at1 = registrar.register(plainly(template), frames(1));
  expect(Math.hypot(at1.dx, at1.dy)).toBeLessThan(0.006);
  expect(Math.abs(at1.turn)).toBeLessThan(1e-4);
});

test("four frames averaged lower the template's own noise to nearly half", () => {
  const { scene, outline, centroid } = partScene({ size: 60, width: 150, height: 110, noise: 2, bits: 16 });
  const frames = preparedOf(scene);
  const clean = preparedOf({ ...scene, noise: null })(1);
  const truth = partTemplate(clean, outline, [], centroid)!;
  const first = partTemplate(frames(1), outline, [], centroid)!;
  const noiseIn = (template: PartTemplate): number => rms(Array.from(template.t, (value, i) => value - truth.t[i]));
  const share = noiseIn(averaged(first, [2, 3, 4].map(frames))) / noiseIn(first);
  expect(share).toBeGreaterThan(0.45);
  expect(share).toBeLessThan(0.57);
});

test("averaging nothing changes nothing, and the template given is left as it was", () => {
  const template = partTemplate(frame, plain.outline, [], plain.centroid)!;
  expect(averagedTemplate(template, [])).toBe(template);
  const before = template.t.slice();
  averaged(template, [frame]);
  expect(template.t).toEqual(before);
});

// Prefilter

test("the noise of a part is told from two frames in which it stands still", () => {
  for (const noise of [1, 2]) {
    const { scene, outline, centroid } = partScene({ size: 80, texture: "skin", noise, bits: 16 });
    const frames = preparedOf(scene);
    const told = [1, 3, 5].map((at) => noiseOf(partTemplate(frames(at), outline, [], centroid)!, frames(at + 1)));
    // At linear 0.3 the scene's photon noise is more than at mid grey, the curve flatter: 0.87 of the levels asked for.
    expect(Math.sqrt(mean(told)) / noise).toBeGreaterThan(0.75);
    expect(Math.sqrt(mean(told)) / noise).toBeLessThan(1.15);
  }
});

const chosen = (texture: "woven" | "silicone", noise: number, contrast?: number): ChosenTemplate =>
  chosenFor(partScene({ size: 80, texture, noise, ...(contrast === undefined ? {} : { contrast }) }), 4);

test("cloth is measured through the fine filter, near-bare silicone in noise through a coarse one", () => {
  expect(chosen("woven", 1).template.sigma).toBe(PREFILTER_SIGMA);
  for (const noise of [1, 2, 4]) expect(chosen("silicone", noise).template.sigma).toBeGreaterThan(1);
});

test("what the texture promises is little on cloth, and more than a part can be told with on bare silicone", () => {
  expect(chosen("woven", 1).promised!).toBeLessThan(0.01);
  expect(chosen("silicone", 2, 0.008).promised!).toBeGreaterThan(0.15);
});

test("without a second frame the fine filter is taken, and what is too small stays so", () => {
  const { template, noise, promised } = bestTemplate(frame, [], plain.outline, [], plain.centroid, 4)!;
  expect(template.sigma).toBe(PREFILTER_SIGMA);
  expect([noise, promised]).toEqual([null, null]);
  expect(bestTemplate(frame, [frame], square(60, 50, 5), [], [62, 52], 4)).toBeNull();
});

test("more frames in the template promise a smaller error, more noise a larger one", () => {
  const template = partTemplate(frame, plain.outline, [], plain.centroid)!;
  const promised = (noise: number, frames: number): number => promiseOf(template, noise, frames).sum;
  expect(promised(1, 4)).toBeLessThan(promised(1, 1));
  expect(promised(4, 4)).toBeGreaterThan(3.9 * promised(1, 4));
});
