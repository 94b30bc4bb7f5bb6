import type { Coverage } from "./coverage.ts";
import { materialAt } from "./placing.ts";
import type { Layer, Surface } from "./scene.ts";
import { invert, type Similarity } from "./similarity.ts";
import { ROW } from "./value-noise.ts";

// Draws boxes of a picture in linear light, 4 x 4 samples a pixel. No image is ever warped: each sample is taken back
// through the exact inverse of the motion, and the texture is evaluated there. So a translated picture is the same
// filtered function, sampled elsewhere.

/** Samples along each side of a pixel. */
export const SAMPLES = 4;

/** One linear picture, `margin` px wider than the frame on every side. A Float32Array for each channel. */
export interface LinearImage {
  readonly width: number;
  readonly height: number;
  readonly margin: number;
  readonly channels: readonly Float32Array[];
}

/** A box of pixels of the image with its margin; right and bottom are outside. */
export interface Region {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** A surface as it lies at one frame. */
export interface Painter {
  readonly coverage: Coverage | null;
  /** Picture (px of the frame) to the surface's own coordinates. */
  readonly back: Similarity;
  readonly surface: Surface;
  readonly tint: readonly number[];
  readonly crawl: Layer["crawl"];
}

/** Draws a region; `painters` go from front to back, the last one covers everything. */
export function paint(
  image: LinearImage,
  region: Region,
  painters: readonly Painter[],
  camera: Similarity,
  frame: number,
): void {
  const row = new SampleRow(
    region.left * SAMPLES,
    (region.right - region.left) * SAMPLES,
    image,
    invert(camera),
    frame,
  );
  const columns = region.right - region.left;
  for (let y = region.top; y < region.bottom; y++) {
    for (const sum of row.sums) sum.fill(0);
    for (let sub = 0; sub < SAMPLES; sub++) {
      row.start(y * SAMPLES + sub);
      for (const painter of painters) row.paint(painter);
    }
    const base = y * image.width + region.left;
    for (const [channel, sum] of row.sums.entries()) {
      const out = image.channels[channel];
      for (let x = 0; x < columns; x++) out[base + x] = sum[x] / (SAMPLES * SAMPLES);
    }
  }
}

/** One row of samples, filled from front to back. */
class SampleRow {
  /** Linear light of the pixels so far, times the samples in a pixel. */
  readonly sums: readonly Float64Array[];
  readonly #first: number;
  readonly #margin: number;
  readonly #uncamera: Similarity;
  readonly #frame: number;
  /** Share of each sample that nothing has covered yet. */
  readonly #room: Float64Array;
  #row = 0;
  // One block of samples that a surface shows in: where they are in the row, on the surface, and what they show.
  readonly #index = new Int32Array(ROW);
  readonly #u = new Float64Array(ROW);
  readonly #v = new Float64Array(ROW);
  readonly #value = new Float64Array(ROW);

  constructor(first: number, count: number, image: LinearImage, uncamera: Similarity, frame: number) {
    this.#first = first;
    this.#margin = image.margin;
    this.#uncamera = uncamera;
    this.#frame = frame;
    this.#room = new Float64Array(count);
    this.sums = image.channels.map(() => new Float64Array(count / SAMPLES));
  }

  start(row: number): void {
    this.#row = row;
    this.#room.fill(1);
  }

  paint(painter: Painter): void {
    const { coverage } = painter;
    const room = this.#room;
    const index = this.#index;
    let from = 0;
    let to = room.length;
    let offset = 0;
    if (coverage !== null) {
      if (this.#row < coverage.top || this.#row >= coverage.top + coverage.height) return;
      from = Math.max(0, coverage.left - this.#first);
      to = Math.min(to, coverage.left + coverage.width - this.#first);
      offset = (this.#row - coverage.top) * coverage.width + this.#first - coverage.left;
    }
    const data = coverage?.data;
    let count = 0;
    for (let i = from; i < to; i++) {
      if (room[i] === 0 || (data !== undefined && data[offset + i] === 0)) continue;
      index[count++] = i;
      if (count < ROW) continue;
      this.#paintBlock(painter, count, data, offset);
      count = 0;
    }
    if (count > 0) this.#paintBlock(painter, count, data, offset);
  }

  #paintBlock(painter: Painter, count: number, coverage: Float32Array | undefined, offset: number): void {
    const { back, surface, tint, crawl } = painter;
    const { texture, contrast, brightness, shading } = surface;
    const index = this.#index;
    const u = this.#u;
    const v = this.#v;
    const value = this.#value;
    const room = this.#room;
    const y = (this.#row + 0.5) / SAMPLES - this.#margin;
    const rowU = back.tx - back.b * y;
    const rowV = back.ty + back.a * y;
    const placeOf = (k: number): number => (this.#first + index[k] + 0.5) / SAMPLES - this.#margin;
    for (let k = 0; k < count; k++) {
      const x = placeOf(k);
      u[k] = back.a * x + rowU;
      v[k] = back.b * x + rowV;
    }
    if (crawl !== undefined) {
      for (let k = 0; k < count; k++) [u[k], v[k]] = materialAt(crawl, u[k], v[k], this.#frame);
    }
    if (texture.row !== undefined) texture.row(u, v, value, count);
    else for (let k = 0; k < count; k++) value[k] = texture(u[k], v[k]);
    for (let k = 0; k < count; k++) value[k] = Math.max(0, brightness * (1 + contrast * value[k]));
    if (shading !== undefined) {
      const { a, b, tx, ty } = this.#uncamera;
      for (let k = 0; k < count; k++) {
        const x = placeOf(k);
        value[k] *= shading(a * x - b * y + tx, b * x + a * y + ty);
      }
    }
    for (let k = 0; k < count; k++) {
      const i = index[k];
      const share = coverage === undefined ? 1 : coverage[offset + i];
      value[k] *= room[i] * share;
      room[i] *= 1 - share;
    }
    for (const [channel, sum] of this.sums.entries()) {
      const weight = tint[channel];
      for (let k = 0; k < count; k++) sum[(index[k] / SAMPLES) | 0] += weight * value[k];
    }
  }
}
