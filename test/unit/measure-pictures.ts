import { bestTemplate, type ChosenTemplate } from "../../src/measure/choose-prefilter.ts";
import type { Plane } from "../../src/measure/plane.ts";
import { type PreparedFrame, prepareFrame } from "../../src/measure/prepared.ts";
import { createRenderer, lumaOf, lumaPlane } from "../support/render.ts";
import { type Layer, roundedBox, type Scene } from "../support/scene.ts";
import { surfaceOf } from "../support/shot.ts";
import type { Point } from "../support/similarity.ts";
import type { TextureName } from "../support/texture.ts";
import { centroidOf } from "../support/truth.ts";

// Small rendered pictures with exact motion, for the tests of the measuring core.

export interface PictureOptions extends Partial<Pick<Scene, "layers" | "camera" | "light" | "seed" | "bits">> {
  readonly width?: number;
  readonly height?: number;
  readonly background?: TextureName;
  /** Noise at mid grey, grey levels of 255; 0 (the default): the picture as it is, not quantised. */
  readonly noise?: number;
}

export function sceneOf(options: PictureOptions = {}): Scene {
  const {
    width = 200,
    height = 150,
    background = "plaster",
    noise = 0,
    seed = 7,
    layers = [],
    camera,
    light,
  } = options;
  return {
    name: "hive_010",
    width,
    height,
    fps: 24,
    seed,
    background: surfaceOf(background, seed + 100, 0.2),
    layers,
    ...(camera === undefined ? {} : { camera }),
    ...(light === undefined ? {} : { light }),
    blur: 0.7,
    noise: noise === 0 ? null : { sigma8: noise, poissonShare: 0.7 },
    bits: options.bits ?? 8,
    jpegQuality: null,
  };
}

/** Linear luma of a scene's frames, one renderer for all; without noise it is not quantised either. */
export function picturesOf(scene: Scene): (frame: number) => Plane {
  const renderer = createRenderer(scene);
  return (frame) => (scene.noise === null ? lumaOf(renderer.clean(frame).planes) : lumaPlane(renderer.frame(frame)));
}

export function preparedOf(scene: Scene): (frame: number) => PreparedFrame {
  const pictures = picturesOf(scene);
  return (frame) => prepareFrame(pictures(frame));
}

export interface PartOptions extends PictureOptions {
  readonly size?: number;
  readonly centre?: Point;
  readonly texture?: TextureName;
  readonly contrast?: number;
  readonly motion?: Layer["motion"];
  /** Layers in front of the part. */
  readonly inFront?: readonly Layer[];
}

export interface PartScene {
  readonly scene: Scene;
  readonly outline: readonly Point[];
  readonly centroid: [number, number];
}

/** One part before a set. */
export function partScene(options: PartOptions = {}): PartScene {
  const { size = 80, texture = "woven", contrast, motion, inFront = [], width = 200, height = 150 } = options;
  const centre = options.centre ?? [width / 2 + 0.3, height / 2 - 0.2];
  const outline = roundedBox(centre, size, size);
  const layer: Layer = {
    id: "held",
    outline,
    ...surfaceOf(texture, 31, 0.3, contrast),
    ...(motion === undefined ? {} : { motion }),
  };
  return {
    scene: sceneOf({ ...options, layers: [layer, ...inFront] }),
    outline,
    centroid: centroidOf(outline),
  };
}

/** The scene with everything as it is at frame 1, whatever the frame: only its noise differs. */
export function heldStill(scene: Scene): Scene {
  const { camera, light, layers, ...rest } = scene;
  return {
    ...rest,
    ...(camera === undefined ? {} : { camera: () => camera(1) }),
    ...(light === undefined ? {} : { light: () => light(1) }),
    layers: layers.map(({ motion, ...layer }) => ({
      ...layer,
      ...(motion === undefined ? {} : { motion: () => motion(1) }),
    })),
  };
}

/** The part's template at frame 1, its noise told by one more frame in which everything stands still. */
export function chosenFor({ scene, outline, centroid }: PartScene, frames = 1): ChosenTemplate {
  const still = preparedOf(heldStill(scene));
  const chosen = bestTemplate(still(1), [still(501)], outline, [], centroid, frames);
  if (chosen === null) throw new Error("the part is too small");
  return chosen;
}

/** Root mean square, and the same of what is left of the mean. */
export const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

export const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
