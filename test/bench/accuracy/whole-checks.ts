import type { Plane } from "../../../src/measure/plane.ts";
import type { Report } from "../../../src/model/index.ts";
import { cleanPatch, insideOf, type Patch, translationBound } from "../../support/bound.ts";
import { cameraBound } from "../../support/camera-bound.ts";
import { checkShot } from "../../support/check-shot.ts";
import { expose } from "../../support/expose.ts";
import { jpegSteps } from "../../support/jpeg-steps.ts";
import { seedOf } from "../../support/random.ts";
import { createRenderer, lumaPlane, type RenderedFrame } from "../../support/render.ts";
import type { Shot } from "../../support/shot.ts";
import { heldPart, movingShadow, passingArm } from "../../support/shots.ts";
import { centroidOf, displacementOf, layerOf } from "../../support/truth.ts";
import { coveredAt, visibleShare } from "../../support/visible.ts";
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
  /** Of the frames in which the part can be seen. */
  readonly figures: Figures;
  /** Cramer-Rao bound of what can be seen in those frames, along one axis, px: root mean square. JPEG is not in it. */
  readonly bound: number;
  /** The same along the axis that can be told worst. */
  readonly worstBound: number;
  /** Share of the visible frames, measured or not, that are within 0.1 px, both axes together. */
  readonly within: number;
  /** The share that an estimate at the bound would have. */
  readonly possible: number;
  readonly hidden: Hidden;
  readonly frames: readonly SeenFrame[];
  /** ECC on the same frames: its worst error, px, and the share of frames within 0.1 px. */
  readonly ecc: (Rivalry & { readonly worst: number; readonly within: number }) | null;
}

/** Frames in which less than `VISIBLE_SHARE` of the part can be seen. */
export interface Hidden {
  readonly frames: number;
  /** Told as `hidden`. */
  readonly said: number;
  /** Told as anything else without a number, or with numbers that are off by more than 0.1 px and by more than 3 sigmas. */
  readonly wrong: number;
}

/** One frame as the scene has it and as the report tells it. */
export interface SeenFrame {
  readonly shot: number;
  readonly frame: number;
  /** Share of the part that can be seen. */
  readonly visible: number;
  readonly state: string;
  readonly reason: string;
  /** Errors along the axes that are told, px; NaN where there is no number. */
  readonly errors: readonly number[];
  readonly sigmas: readonly number[];
  /** What nobody could beat along them, px. */
  readonly bounds: readonly number[];
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

/**
 * A part counts as visible where at least this share of it can be seen. It is what the product itself says it needs: a
 * part is told as `hidden` where less than three tenths of its pixels show it (`LEAST_TRUSTED` of src/measure/part-refine.ts).
 */
export const VISIBLE_SHARE = 0.3;
/** Pixels nearer to an outline don't count for the bound, px; and the side of the core's tiles. */
const PART_EDGE = 2;
const TILE = 20;

const numbered = (planes: readonly Plane[]): Map<number, Plane> =>
  new Map(planes.map((plane, i) => [i + 1, plane] as const));

/** What the report tells of the part frame by frame, beside what can be seen of it. */
function seenFrames(report: Report, { scene }: Shot, told: readonly number[], shot: number): SeenFrame[] {
  const { outline } = layerOf(scene, "held");
  const centroid = centroidOf(outline);
  const inside = insideOf(outline, PART_EDGE);
  const patch: Omit<Patch, "inside"> = cleanPatch({ ...scene, layers: scene.layers.slice(0, 1) }, 1);
  return report.tracks
    .filter((track) => track.part === "held" && track.frame > 1)
    .map(({ frame, dx, dy, sigmaDx, sigmaDy, state, reason }): SeenFrame => {
      const truth = displacementOf(scene, "held", centroid, frame);
      const covered = coveredAt(scene, "held", frame, PART_EDGE);
      const { sigmaX, sigmaY } = translationBound(
        { ...patch, inside: (x, y) => inside(x, y) && !covered(x, y) },
        { gainOffset: true, tile: TILE, turnAbout: centroid },
      );
      return {
        shot,
        frame,
        visible: visibleShare(scene, "held", frame),
        state,
        reason: reason ?? "",
        errors: told.map((axis) => ([dx, dy][axis] ?? Number.NaN) - truth[axis]),
        sigmas: told.map((axis) => [sigmaDx, sigmaDy][axis] ?? Number.NaN),
        bounds: told.map((axis) => [sigmaX, sigmaY][axis]),
      };
    });
}

const samplesOf = ({ shot, errors, sigmas }: SeenFrame): Sample[] =>
  errors.map((error, axis) => ({ hold: shot, axis, error, sigma: sigmas[axis], displacement: Number.NaN }));

function hiddenOf(frames: readonly SeenFrame[]): Hidden {
  const isWrong = ({ errors, sigmas, state }: SeenFrame): boolean =>
    (state !== "hidden" && !errors.every(Number.isFinite)) ||
    errors.some((error, axis) => Math.abs(error) > Math.max(FALSE_MOTION, 3 * sigmas[axis]));
  return {
    frames: frames.length,
    said: frames.filter(({ state }) => state === "hidden").length,
    wrong: frames.filter(isWrong).length,
  };
}

/** Share of normal errors within 0.1 px: Abramowitz & Stegun 7.1.25, good to 3e-5. */
function shareWithin(sigma: number): number {
  const x = FALSE_MOTION / (Math.SQRT2 * sigma);
  const t = 1 / (1 + 0.47047 * x);
  return 1 - t * (0.3480242 + t * (-0.0958798 + t * 0.7478556)) * Math.exp(-x * x);
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const rms = (values: readonly number[]): number => Math.sqrt(mean(values.map((value) => value * value)));

/** A part that stands still while light, a shadow or an arm passes over it. */
export async function disturbedCell(
  disturbance: Disturbance,
  size: number,
  texture: PartTexture,
  shots: number,
  seed: number,
  rival: Rival | null,
): Promise<DisturbedCell> {
  const seen: SeenFrame[] = [];
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
    seen.push(...seenFrames(await checkShot(job), shot, told, i));
    if (rival === null || rival.spent() || i > 0) continue;
    const { outline } = layerOf(shot.scene, "held");
    for (let k = 2; k < FRAMES; k += 3) {
      const found = rival.ecc(frames[0], frames[k], outline, centroidOf(outline), [0, 0]);
      for (const axis of told) ecc.push(found === null ? Number.NaN : Math.abs(found[axis]));
    }
  }
  const known = ecc.filter((error) => Number.isFinite(error));
  const isVisible = ({ visible }: SeenFrame): boolean => visible >= VISIBLE_SHARE;
  const visible = seen.filter(isVisible);
  const boundAlong = told.map((_, axis) => rms(visible.map(({ bounds }) => bounds[axis])));
  return {
    disturbance,
    size,
    texture,
    noise: 1,
    figures: figuresOf(visible.flatMap(samplesOf)),
    bound: rms(boundAlong),
    worstBound: Math.max(...boundAlong),
    within: mean(visible.map(({ errors }) => (Math.hypot(...errors) <= FALSE_MOTION ? 1 : 0))),
    possible: mean(visible.map(({ bounds }) => bounds.reduce((share, bound) => share * shareWithin(bound), 1))),
    hidden: hiddenOf(seen.filter((frame) => !isVisible(frame))),
    frames: seen,
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
