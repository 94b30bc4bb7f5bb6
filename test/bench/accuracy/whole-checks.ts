import type { Plane } from "../../../src/measure/plane.ts";
import type { Report } from "../../../src/model/index.ts";
import { cleanPatch, insideOf } from "../../support/bound.ts";
import { cameraBound } from "../../support/camera-bound.ts";
import { checkShot } from "../../support/check-shot.ts";
import { expose } from "../../support/expose.ts";
import { jpegSteps } from "../../support/jpeg-steps.ts";
import { seedOf } from "../../support/random.ts";
import { createRenderer, lumaPlane, type RenderedFrame } from "../../support/render.ts";
import type { Shot } from "../../support/shot.ts";
import { heldPart, movingShadow, passingArm } from "../../support/shots.ts";
import { centroidOf, displacementOf, layerOf } from "../../support/truth.ts";
import { jpegRoundTrip } from "../../support/write.ts";
import type { Rival } from "./opencv.ts";
import type { PartTexture, Rivalry } from "./part-cells.ts";
import { FALSE_MOTION, type Figures, figuresOf, type Sample } from "./samples.ts";

// What disturbs a part, and the camera: by a whole check, judge and all, with the camera fitted.

export const DISTURBANCES = ["light drift", "moving shadow", "passing arm"] as const;
export type Disturbance = (typeof DISTURBANCES)[number];

export interface DisturbedCell {
  readonly disturbance: Disturbance;
  readonly size: number;
  readonly texture: PartTexture;
  readonly noise: number;
  readonly figures: Figures;
  /** ECC on the same frames: its worst error, px, and the share of frames within 0.1 px. */
  readonly ecc: (Rivalry & { readonly worst: number; readonly within: number }) | null;
}

export interface CameraCell {
  readonly width: number;
  readonly height: number;
  readonly noise: number;
  readonly jpeg: boolean;
  /** Cramer-Rao bound of the same by the set alone, what JPEG takes away counted, px: see cameraBound. */
  readonly bound: number;
  /** RMS error of the picture's shift at the frame's centre, along one axis, px. */
  readonly figures: Figures;
}

const WIDTH = 640;
const HEIGHT = 480;
const FRAMES = 16;
const JPEG_QUALITY = 92;
/** Change of the light's shape by the last frame, stops. */
const LIGHT_DRIFT = 0.3;

async function asSaved(frames: readonly RenderedFrame[], jpeg: boolean): Promise<RenderedFrame[]> {
  return jpeg ? Promise.all(frames.map((frame) => jpegRoundTrip(frame, JPEG_QUALITY))) : frames.slice();
}

const numbered = (planes: readonly Plane[]): Map<number, Plane> =>
  new Map(planes.map((plane, i) => [i + 1, plane] as const));

function samplesOf(report: Report, shot: Shot, told: readonly number[], hold: number): Sample[] {
  const centroid = centroidOf(layerOf(shot.scene, "held").outline);
  return report.tracks
    .filter((track) => track.part === "held" && track.frame > 1)
    .flatMap((track) => {
      const truth = displacementOf(shot.scene, "held", centroid, track.frame);
      const found = [track.dx, track.dy];
      const sigmas = [track.sigmaDx, track.sigmaDy];
      return told.map((axis): Sample => {
        const error = (found[axis] ?? Number.NaN) - truth[axis];
        return { hold, axis, error, sigma: sigmas[axis] ?? Number.NaN, displacement: Number.NaN };
      });
    });
}

/** A part that stands still while light, a shadow or an arm passes over it. */
export async function disturbedCell(
  disturbance: Disturbance,
  size: number,
  texture: PartTexture,
  shots: number,
  seed: number,
  rival: Rival | null,
): Promise<DisturbedCell> {
  const samples: Sample[] = [];
  const ecc: number[] = [];
  // Stripes run along y, and tell nothing of it.
  const told = texture === "stripes" ? [0] : [0, 1];
  for (let i = 0; i < shots; i++) {
    const options = {
      size,
      texture,
      seed: seedOf(seed, size, i, 0x6469),
      frames: FRAMES,
      width: WIDTH,
      height: HEIGHT,
    };
    const shot =
      disturbance === "light drift"
        ? heldPart({ ...options, lightDriftStops: LIGHT_DRIFT })
        : disturbance === "moving shadow"
          ? movingShadow(options)
          : passingArm(options);
    const renderer = createRenderer(shot.scene);
    const drawn = Array.from({ length: shot.frames }, (_, k) => renderer.frame(k + 1));
    const frames = await asSaved(drawn, true);
    const job = { name: shot.scene.name, frames: numbered(frames.map(lumaPlane)), sheet: shot.sheet };
    samples.push(...samplesOf(await checkShot(job), shot, told, i));
    if (rival === null || rival.spent() || i > 0) continue;
    const { outline } = layerOf(shot.scene, "held");
    for (let k = 2; k < FRAMES; k += 3) {
      const found = rival.ecc(frames[0], frames[k], outline, centroidOf(outline), [0, 0]);
      for (const axis of told) ecc.push(found === null ? Number.NaN : Math.abs(found[axis]));
    }
  }
  const known = ecc.filter((error) => Number.isFinite(error));
  return {
    disturbance,
    size,
    texture,
    noise: 1,
    figures: figuresOf(samples),
    ecc:
      ecc.length === 0
        ? null
        : {
            rmse: Math.sqrt(known.reduce((sum, error) => sum + error * error, 0) / known.length),
            notMeasured: 1 - known.length / ecc.length,
            worst: Math.max(...known),
            within: known.filter((error) => error <= FALSE_MOTION).length / ecc.length,
          },
  };
}

/** The set ends so far from a part's outline, px: its edge moves with the part. */
const EDGE = 3;

export interface CameraCellsOptions {
  readonly width: number;
  readonly height: number;
  readonly noises: readonly number[];
  readonly jpegs: readonly boolean[];
  readonly shots: number;
  readonly seed: number;
}

interface Gathered {
  readonly samples: Sample[];
  readonly bounds: number[];
}

/** A camera that creeps through the phases of a pixel and turns a little, before a set with a held part in it. */
export async function cameraCells(options: CameraCellsOptions): Promise<CameraCell[]> {
  const { width, height, noises, jpegs, shots, seed } = options;
  const steps = await jpegSteps(JPEG_QUALITY);
  const keyOf = (noise: number, jpeg: boolean): string => `${noise} ${jpeg}`;
  const gathered = new Map(
    noises.flatMap((noise) =>
      jpegs.map((jpeg): [string, Gathered] => [keyOf(noise, jpeg), { samples: [], bounds: [] }]),
    ),
  );
  for (let i = 0; i < shots; i++) {
    const shot = heldPart({
      size: 200,
      texture: "woven",
      seed: seedOf(seed, i, 0x6361),
      frames: 10,
      width,
      height,
      camera: (frame) =>
        frame === 1 ? {} : { dx: 0.1 * (frame - 1), dy: -0.3 * (frame - 1), turn: 2e-5 * (frame - 1) },
    });
    const renderer = createRenderer(shot.scene);
    const clean = Array.from({ length: shot.frames }, (_, k) => renderer.clean(k + 1));
    const isPart = insideOf(layerOf(shot.scene, "held").outline, -EDGE);
    const set = { ...cleanPatch(shot.scene, 1), inside: (x: number, y: number) => !isPart(x, y) };
    for (const sigma8 of noises) {
      const noise = { sigma8, poissonShare: 0.7 };
      const scene = { ...shot.scene, noise };
      const exposed = clean.map(({ planes, truth }, k): RenderedFrame => {
        const pixels = expose(scene, k + 1, planes);
        return { frame: k + 1, width, height, channels: 1, bits: 8, pixels, truth };
      });
      for (const jpeg of jpegs) {
        const frames = await asSaved(exposed, jpeg);
        const job = { name: scene.name, frames: numbered(frames.map(lumaPlane)), sheet: shot.sheet };
        const report = await checkShot(job);
        const into = gathered.get(keyOf(sigma8, jpeg))!;
        into.bounds.push(cameraBound(set, { noise, steps: jpeg ? steps : null }));
        for (const { frame, camera } of report.frames) {
          if (frame === 1) continue;
          const truth = displacementOf(scene, null, [width / 2, height / 2], frame, { camera: "in" });
          const found = [camera?.dx ?? Number.NaN, camera?.dy ?? Number.NaN];
          for (const axis of [0, 1])
            into.samples.push({
              hold: i,
              axis,
              error: found[axis] - truth[axis],
              sigma: camera?.sigma ?? Number.NaN,
              displacement: truth[axis],
            });
        }
      }
    }
  }
  return noises.flatMap((noise) =>
    jpegs.map((jpeg): CameraCell => {
      const { samples, bounds } = gathered.get(keyOf(noise, jpeg))!;
      const bound = Math.sqrt(bounds.reduce((sum, one) => sum + one * one, 0) / bounds.length);
      return { width, height, noise, jpeg, bound, figures: figuresOf(samples) };
    }),
  );
}
