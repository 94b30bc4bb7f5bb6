import { Compositor } from "./composite.ts";
import { createPlane, type Plane } from "../../src/measure/plane.ts";
import { expose } from "./expose.ts";
import { blurRegion, lit } from "./optics.ts";
import type { Scene } from "./scene.ts";
import { decodeSrgb, LUMA } from "./srgb.ts";
import { type FrameTruth, truthAt } from "./truth.ts";

/** A frame as a camera would have saved it: sRGB, interleaved, one channel or three. */
export interface RenderedFrame {
  readonly frame: number;
  readonly width: number;
  readonly height: number;
  readonly channels: 1 | 3;
  readonly bits: 8 | 16;
  readonly pixels: Uint8Array | Uint16Array;
  readonly truth: FrameTruth;
}

export interface RenderedShot {
  readonly scene: Scene;
  readonly frames: readonly RenderedFrame[];
  /** Linear luma of each frame, 0 to 1, as a decoder gives it. */
  readonly planes: readonly Plane[];
}

/** A frame before noise and quantisation: linear light, one plane a channel. */
export interface CleanFrame {
  readonly planes: readonly Plane[];
  readonly truth: FrameTruth;
}

/** Draws frames of one scene in any order; what stands still is drawn once. */
export interface Renderer {
  frame(frame: number): RenderedFrame;
  clean(frame: number): CleanFrame;
}

export function createRenderer(scene: Scene): Renderer {
  const compositor = new Compositor(scene);
  let blurredWith = Number.NaN;
  let blurredPlanes: Plane[] = [];
  const clean = (frame: number): CleanFrame => {
    const sigma = typeof scene.blur === "number" ? scene.blur : scene.blur(frame);
    const { image, changed } = compositor.draw(frame, Math.ceil(4 * sigma));
    const afresh = sigma !== blurredWith;
    if (afresh) blurredPlanes = image.channels.map(() => createPlane(scene.width, scene.height));
    blurredWith = sigma;
    const regions = afresh ? [{ left: 0, top: 0, right: image.width, bottom: image.height }] : changed;
    for (const region of regions) blurRegion(image, region, sigma, blurredPlanes);
    const light = scene.light?.(frame) ?? {};
    return { planes: blurredPlanes.map((plane) => lit(plane, light)), truth: truthAt(scene, frame) };
  };
  const exposed = (frame: number): RenderedFrame => {
    const { planes, truth } = clean(frame);
    const channels = scene.colour === true ? 3 : 1;
    const bits = scene.bits ?? 8;
    return {
      frame,
      width: scene.width,
      height: scene.height,
      channels,
      bits,
      pixels: expose(scene, frame, planes),
      truth,
    };
  };
  return { clean, frame: exposed };
}

/** One frame, drawn from nothing. */
export const renderFrame = (scene: Scene, frame: number): RenderedFrame => createRenderer(scene).frame(frame);

/** One frame without noise and quantisation, in linear light. */
export const renderClean = (scene: Scene, frame: number): CleanFrame => createRenderer(scene).clean(frame);

/** Frames 1 to `frames`, or those that are listed. */
export function renderShot(scene: Scene, frames: number | readonly number[]): RenderedShot {
  const renderer = createRenderer(scene);
  const numbers = typeof frames === "number" ? Array.from({ length: frames }, (_, i) => i + 1) : frames;
  const rendered = numbers.map((frame) => renderer.frame(frame));
  return { scene, frames: rendered, planes: rendered.map(lumaPlane) };
}

/** Linear luma (ITU-R BT.709 weights on linear light), 0 to 1, of a frame's quantised sRGB. */
export function lumaPlane(frame: RenderedFrame): Plane {
  const { width, height, channels, bits, pixels } = frame;
  const top = 2 ** bits - 1;
  const table = Float64Array.from({ length: top + 1 }, (_, value) => decodeSrgb(value / top));
  const data = new Float32Array(width * height);
  for (let i = 0; i < data.length; i++) {
    data[i] =
      channels === 1
        ? table[pixels[i]]
        : LUMA[0] * table[pixels[3 * i]] + LUMA[1] * table[pixels[3 * i + 1]] + LUMA[2] * table[pixels[3 * i + 2]];
  }
  return { width, height, data };
}

/** Linear luma of a clean frame's planes. */
export function lumaOf(planes: readonly Plane[]): Plane {
  if (planes.length === 1) return planes[0];
  const [red, green, blue] = planes;
  const data = red.data.map((value, i) => LUMA[0] * value + LUMA[1] * green.data[i] + LUMA[2] * blue.data[i]);
  return { width: red.width, height: red.height, data };
}
