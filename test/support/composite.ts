import { type Coverage, coverageOf } from "./coverage.ts";
import { type LinearImage, paint, type Painter, type Region, SAMPLES } from "./paint.ts";
import { cameraAt, layerMotionAt } from "./placing.ts";
import type { Layer, Scene, Surface } from "./scene.ts";
import { applyTo, compose, IDENTITY, invert, type Point, type Similarity, sameSimilarity } from "./similarity.ts";
import { LUMA } from "./srgb.ts";

// Puts the set and its layers into one linear picture, and knows what of it must be drawn again for the next frame.

interface LayerState {
  readonly shown: boolean;
  readonly toPicture: Similarity;
  readonly coverage: Coverage | null;
}

export interface Drawing {
  /** Valid until the next one is drawn. */
  readonly image: LinearImage;
  /** What was drawn again; the rest is as it was in the drawing before. */
  readonly changed: readonly Region[];
}

const tintOf = (surface: Surface, channels: number): readonly number[] => {
  if (channels === 1) return [1];
  const tint = surface.tint ?? [1, 1, 1];
  const luma = tint[0] * LUMA[0] + tint[1] * LUMA[1] + tint[2] * LUMA[2];
  return tint.map((value) => value / luma);
};

/**
 * Draws frames of one scene. Between calls it keeps the last linear picture, and draws again only what may have
 * changed: the boxes, old and new, of layers that moved. The result is the same to the bit as drawing it all.
 */
export class Compositor {
  readonly #scene: Scene;
  readonly #channelCount: number;
  #image: LinearImage | null = null;
  #camera: Similarity = IDENTITY;
  #states: LayerState[] = [];

  constructor(scene: Scene) {
    this.#scene = scene;
    this.#channelCount = scene.colour === true ? 3 : 1;
  }

  /** The linear picture of a frame before blur, light and noise. */
  draw(frame: number, margin: number): Drawing {
    const scene = this.#scene;
    const camera = cameraAt(scene, frame);
    const width = scene.width + 2 * margin;
    const height = scene.height + 2 * margin;
    const states = scene.layers.map((layer, i) => this.#stateOf(layer, i, frame, camera, margin));
    let image = this.#image;
    let changed: Region[];
    if (image === null || image.margin !== margin || !sameSimilarity(camera, this.#camera)) {
      image = {
        width,
        height,
        margin,
        channels: Array.from({ length: this.#channelCount }, () => new Float32Array(width * height)),
      };
      changed = [{ left: 0, top: 0, right: width, bottom: height }];
    } else {
      changed = this.#changed(states, width, height);
    }
    this.#image = image;
    this.#camera = camera;
    this.#states = states;
    const painters = this.#painters(states, camera);
    for (const region of changed) paint(image, region, painters, camera, frame);
    return { image, changed };
  }

  #stateOf(layer: Layer, index: number, frame: number, camera: Similarity, margin: number): LayerState {
    const scene = this.#scene;
    const shown = layer.shown ? layer.shown(frame) : true;
    const toPicture = compose(camera, layerMotionAt(layer, frame));
    const last = this.#states[index];
    if (last && this.#image?.margin === margin && last.shown === shown && sameSimilarity(last.toPicture, toPicture)) {
      return last;
    }
    if (!shown) return { shown, toPicture, coverage: null };
    const toGrid = (p: Point): Point => {
      const [x, y] = applyTo(toPicture, p);
      return [SAMPLES * (x + margin), SAMPLES * (y + margin)];
    };
    const coverage = coverageOf(
      layer.outline.map(toGrid),
      (layer.holes ?? []).map((hole) => hole.map(toGrid)),
      { left: 0, top: 0, right: SAMPLES * (scene.width + 2 * margin), bottom: SAMPLES * (scene.height + 2 * margin) },
    );
    return { shown, toPicture, coverage };
  }

  #changed(states: readonly LayerState[], width: number, height: number): Region[] {
    const regions: Region[] = [];
    for (const [index, layer] of this.#scene.layers.entries()) {
      const before = this.#states[index];
      const after = states[index];
      if (before === after && layer.crawl === undefined) continue;
      for (const coverage of [before.coverage, after.coverage]) {
        if (coverage === null) continue;
        regions.push({
          left: Math.max(0, Math.floor(coverage.left / SAMPLES)),
          top: Math.max(0, Math.floor(coverage.top / SAMPLES)),
          right: Math.min(width, Math.ceil((coverage.left + coverage.width) / SAMPLES)),
          bottom: Math.min(height, Math.ceil((coverage.top + coverage.height) / SAMPLES)),
        });
      }
    }
    return joined(regions);
  }

  #painters(states: readonly LayerState[], camera: Similarity): Painter[] {
    const painters: Painter[] = [];
    for (let index = states.length - 1; index >= 0; index--) {
      const { coverage, toPicture } = states[index];
      const layer = this.#scene.layers[index];
      if (coverage === null) continue;
      const tint = tintOf(layer, this.#channelCount);
      painters.push({ coverage, back: invert(toPicture), surface: layer, tint, crawl: layer.crawl });
    }
    const background = this.#scene.background;
    const tint = tintOf(background, this.#channelCount);
    painters.push({ coverage: null, back: invert(camera), surface: background, tint, crawl: undefined });
    return painters;
  }
}

const overlap = (p: Region, q: Region): boolean =>
  p.left < q.right && q.left < p.right && p.top < q.bottom && q.top < p.bottom;

/** Boxes that overlap become one, so that nothing is drawn twice. */
function joined(regions: readonly Region[]): Region[] {
  const out: Region[] = [];
  for (const next of regions) {
    let region = next;
    for (let i = out.findIndex((other) => overlap(other, region)); i >= 0; ) {
      const [other] = out.splice(i, 1);
      region = {
        left: Math.min(region.left, other.left),
        top: Math.min(region.top, other.top),
        right: Math.max(region.right, other.right),
        bottom: Math.max(region.bottom, other.bottom),
      };
      const grown = region;
      i = out.findIndex((candidate) => overlap(candidate, grown));
    }
    out.push(region);
  }
  return out;
}
