import { expect, test } from "vitest";
import { lightPerGrey, noiseRows } from "../../src/measure/noise-cells.ts";
import { type NoiseFit, varianceAt } from "../../src/measure/noise-fit.ts";
import { fitRows, noiseScale } from "../../src/measure/noise-scale.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { prepareFrame } from "../../src/measure/prepared.ts";
import { checkShot } from "../support/check-shot.ts";
import { noiseVariance } from "../support/expose.ts";
import { createRandom } from "../support/random.ts";
import type { Noise } from "../support/scene.ts";
import { heldPart, type HeldPartOptions } from "../support/shots.ts";
import { checked, inShort, pictures } from "./check-rendered.ts";

// The noise of a shot from its own frames, and the scale that follows from it.

/** A part that sags while it is looked at, of strong texture: its levels are all over the scale. */
const strong: HeldPartOptions = { size: 200, contrast: 0.45, texture: "plaster", frames: 3, seed: 3, sagPerFrame: 0.1 };

const firstFrames = async (options: HeldPartOptions): Promise<{ planes: Plane[]; noise: Noise | null }> => {
  const shot = heldPart({ ...strong, ...options });
  return { planes: [...(await pictures(shot)).values()], noise: shot.scene.noise };
};

/** Largest error of the variance that a fit tells, over levels of light, as a share of the truth. */
const worstError = (fit: NoiseFit | null, truth: (level: number) => number, levels: readonly number[]): number =>
  Math.max(
    ...levels.map((level) =>
      fit === null
        ? Number.POSITIVE_INFINITY
        : Math.abs(varianceAt(fit, level, lightPerGrey(level) ** 2) / truth(level) - 1),
    ),
  );

const inputs: readonly { readonly name: string; readonly options: HeldPartOptions }[] = [
  { name: "16-bit PNG", options: { bits: 16, jpeg: null } },
  {
    name: "16-bit PNG with a camera that is knocked and a light that flickers",
    options: {
      bits: 16,
      jpeg: null,
      flickerStops: 0.03,
      camera: (frame) => (frame < 3 ? {} : { dx: 0.3, dy: -0.2 }),
    },
  },
  { name: "8-bit PNG", options: { bits: 8, jpeg: null } },
];

test.each(inputs)("the noise of every level comes back from three frames, to a tenth: $name", async ({ options }) => {
  const { planes, noise } = await firstFrames({ noise: 3, poissonShare: 0.5, ...options });
  const fit = fitRows(noiseRows(planes));
  expect(worstError(fit, (level) => noiseVariance(noise, level), [0.13, 0.18, 0.25, 0.35, 0.5])).toBeLessThan(0.1);
});

test("clipped whites and blacks do not pass for pixels without noise", () => {
  const random = createRandom(5);
  const frames = Array.from({ length: 3 }, () => createPlane(320, 240));
  for (let i = 0; i < 320 * 240; i++) {
    const level = -0.1 + (1.3 * (i % 320)) / 320;
    for (const frame of frames)
      frame.data[i] = Math.min(1, Math.max(0, level + Math.sqrt(1e-4 * Math.max(0, level) + 1e-5) * random.normal()));
  }
  const fit = fitRows(noiseRows(frames));
  expect(worstError(fit, (level) => 1e-4 * level + 1e-5, [0.05, 0.1, 0.2, 0.4, 0.8])).toBeLessThan(0.1);
});

test("noise that is even in linear light is even on the shot's own scale, which is as steep as the sRGB curve on average", () => {
  const random = createRandom(6);
  const [width, height] = [384, 288];
  const texture = Float64Array.from({ length: width * height }, () => random.between(0.02, 0.8));
  const frames = Array.from({ length: 3 }, () => createPlane(width, height));
  for (let i = 0; i < width * height; i++)
    for (const frame of frames) frame.data[i] = Math.max(0, texture[i] + 0.008 * random.normal());
  const { curve, reason, fit } = noiseScale(frames);
  expect(reason).toBe("noise is clearly uneven on the sRGB curve");
  expect(Math.abs(fit!.dark / 0.008 - 1)).toBeLessThan(0.05);
  /** Scatter of the prefiltered frame at one level of light, grey levels. */
  const scatterAt = (level: number, own: boolean): number => {
    const flat = createPlane(64, 64);
    for (let i = 0; i < flat.data.length; i++) flat.data[i] = level + 0.008 * random.normal();
    const { even } = prepareFrame(flat, 0.8, undefined, own ? curve : null);
    const mean = even.data.reduce((sum, value) => sum + value, 0) / even.data.length;
    return Math.sqrt(even.data.reduce((sum, value) => sum + (value - mean) ** 2, 0) / even.data.length);
  };
  const levels = [0.04, 0.1, 0.2, 0.4, 0.7];
  const [plain, own] = [false, true].map((which) => levels.map((level) => scatterAt(level, which)));
  expect(Math.max(...plain) / Math.min(...plain)).toBeGreaterThan(3);
  expect(Math.max(...own) / Math.min(...own)).toBeLessThan(1.25);
  expect(curve!.every((level, i) => i === 0 || level > curve![i - 1])).toBe(true);
});

test("the sRGB curve stays, with a word why, where photons make the noise, under JPEG, and in a picture without levels", async () => {
  const reasons = await Promise.all(
    (
      [
        { noise: 2, poissonShare: 1, bits: 16, jpeg: null },
        { noise: 2, poissonShare: 0.7 },
        { noise: 1, jpeg: null, contrast: 0.05, texture: "skin" },
      ] satisfies HeldPartOptions[]
    ).map(async (options) => noiseScale((await firstFrames(options)).planes)),
  );
  expect(reasons.map(({ curve }) => curve)).toEqual([null, null, null]);
  for (const { reason } of reasons) expect(reason.length).toBeGreaterThan(10);
  expect(noiseScale([createPlane(64, 64)]).reason).toBe("only one frame could be read");
});

const uneven: HeldPartOptions = {
  ...strong,
  frames: 10,
  sagPerFrame: 0.08,
  background: "speckle",
  noise: 4,
  poissonShare: 0,
  bits: 16,
  jpeg: null,
};

test("a shot is measured on its own scale whatever the number of workers, and the report says so", async () => {
  const shot = heldPart(uneven);
  const frames = await pictures(shot);
  const memory = { name: "hive_010", frames, sheet: shot.sheet };
  const [one, two] = [await checkShot(memory), await checkShot(memory, { workers: 2 })];
  expect(two).toEqual(one);
  expect(one.made.noise?.scale).toBe("shot");
  expect(one.made.channel).toBe("luma");
  expect(Math.abs(one.made.noise!.dark! / 65535 / Math.sqrt(noiseVariance(shot.scene.noise, 0)) - 1)).toBeLessThan(0.1);
  expect(inShort(one)).toEqual(["sag held 2-10"]);
  for (const track of one.tracks) expect(Math.abs(track.dy! - 0.08 * (track.frame - 1))).toBeLessThan(0.02);
});

test("an ordinary shot keeps the sRGB curve, and its report has the reason", async () => {
  const report = await checked(heldPart({ frames: 6, sagPerFrame: 0.1 }));
  expect(report.made.noise?.scale).toBe("srgb");
  expect(report.made.noise?.reason).not.toBe("");
});
