import type { FlagKind } from "../../src/model/index.ts";
import { createRandom, seedOf } from "./random.ts";
import type { Layer, Light, Scene, Surface } from "./scene.ts";
import { type SheetFile, sheetOf } from "./sheet.ts";
import type { Motion, Point } from "./similarity.ts";
import { TEXTURES, type TextureName } from "./texture.ts";
import { valueNoise } from "./value-noise.ts";

// What all ready-made shots share. Frames are numbered from 1, and nothing has moved at frame 1.

/** A flag that a perfect judge would raise, with the band left out of account. */
export interface Expected {
  readonly kind: FlagKind;
  /** Null for camera and light. */
  readonly part: string | null;
  /** First frame in which it is there, and the last. */
  readonly from: number;
  readonly to: number;
  /** Size as the report tells it, px; null for light. */
  readonly px: number | null;
  readonly stops: number | null;
  /** Id of the joint that slipped. */
  readonly joint?: string;
  readonly pivot?: Point;
  /** Parts that ride on it and moved with it. */
  readonly carries?: readonly string[];
}

export interface Shot {
  readonly scene: Scene;
  readonly sheet: SheetFile;
  readonly expected: readonly Expected[];
  readonly frames: number;
}

/** What every shot can be asked for. */
export interface ShotOptions {
  readonly seed?: number;
  readonly width?: number;
  readonly height?: number;
  readonly frames?: number;
  /** Noise at mid grey in steps of 8 bit; 1 by default, 0 for none. */
  readonly noise?: number;
  readonly poissonShare?: number;
  /** JPEG quality that files are written with; null for PNG. 92 by default. */
  readonly jpeg?: number | null;
  readonly bits?: 8 | 16;
  /** Lens blur, sigma in px; 0.7 by default. */
  readonly blur?: number;
  /** Exposure flicker, even over the picture: standard deviation in stops; 0 by default. */
  readonly flickerStops?: number;
  /** Slow change of the light's shape: about its size at the frame's edges by the last frame, stops; 0 by default. */
  readonly lightDriftStops?: number;
  readonly background?: TextureName;
  readonly camera?: (frame: number) => Motion;
}

const DEFAULT_FRAMES = 24;
export const framesOf = (options: ShotOptions): number => options.frames ?? DEFAULT_FRAMES;

export const surfaceOf = (name: TextureName, seed: number, brightness = 0.3, contrast?: number): Surface => ({
  texture: TEXTURES[name].make(seed),
  contrast: contrast ?? TEXTURES[name].contrast,
  brightness,
});

function lightOf(options: ShotOptions, width: number, height: number, more?: (frame: number) => Light) {
  const { seed = 1, flickerStops = 0, lightDriftStops = 0 } = options;
  const shape = valueNoise(seedOf(seed, 0x6c69));
  const reach = 0.8 * Math.max(width, height);
  return (frame: number): Light => {
    const own = more?.(frame) ?? {};
    const flicker = frame === 1 ? 0 : flickerStops * createRandom(seed, frame, 0x666c).normal();
    const drift = (lightDriftStops * (frame - 1)) / Math.max(1, framesOf(options) - 1);
    const field = own.gainField;
    if (drift === 0) return { ...own, gain: (own.gain ?? 1) * 2 ** flicker };
    const gainField = (x: number, y: number): number =>
      2 ** (2 * drift * shape(x / reach, y / reach)) * (field?.(x, y) ?? 1);
    return { ...own, gain: (own.gain ?? 1) * 2 ** flicker, gainField };
  };
}

/** Puts layers before a set, with the options that every shot has. */
export function shotOf(
  options: ShotOptions,
  layers: readonly Layer[],
  expected: (scene: Scene) => readonly Expected[],
  light?: (frame: number) => Light,
): Shot {
  const { seed = 1, width = 320, height = 240, noise = 1, jpeg = 92 } = options;
  const scene: Scene = {
    name: "hive_010",
    width,
    height,
    fps: 24,
    seed,
    background: surfaceOf(options.background ?? "plaster", seedOf(seed, 0x6267), 0.16),
    layers,
    ...(options.camera === undefined ? {} : { camera: options.camera }),
    light: lightOf(options, width, height, light),
    blur: options.blur ?? 0.7,
    noise: noise === 0 ? null : { sigma8: noise, poissonShare: options.poissonShare ?? 0.7 },
    bits: options.bits ?? 8,
    jpegQuality: jpeg,
    pxPerMm: 4,
  };
  return { scene, sheet: sheetOf(scene, framesOf(options)), expected: expected(scene), frames: framesOf(options) };
}
