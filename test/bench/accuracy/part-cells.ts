import type { Plane } from "../../../src/measure/plane.ts";
import { type Bound, cleanPatch, insideOf, type Patch, translationBound } from "../../support/bound.ts";
import { expose, noiseVariance } from "../../support/expose.ts";
import { createRenderer, lumaPlane, type CleanFrame, type RenderedFrame } from "../../support/render.ts";
import { seedOf } from "../../support/random.ts";
import type { Noise, Scene } from "../../support/scene.ts";
import { heldPart } from "../../support/shots.ts";
import type { Point } from "../../support/similarity.ts";
import type { TextureName } from "../../support/texture.ts";
import { centroidOf, displacementOf } from "../../support/truth.ts";
import { type JpegSteps, jpegSteps } from "../../support/jpeg-steps.ts";
import { partJpegBound } from "../../support/part-jpeg-bound.ts";
import { jpegRoundTrip } from "../../support/write.ts";
import type { HeldFrame, HoldMeasurer } from "./hold.ts";
import type { Rival } from "./opencv.ts";
import { type Figures, figuresOf, type Sample } from "./samples.ts";

// A part of one texture and size, standing still and drifting through the phases of a pixel, under many noises.

export const PART_TEXTURES = ["woven", "herringbone", "stripes", "hair", "skin", "silicone"] as const;
export type PartTexture = (typeof PART_TEXTURES)[number];
/** Where a part always shows enough of itself to be measured. */
export const isTextured = (texture: TextureName): boolean => texture !== "silicone";

/** Frames of a hold, the anchor included. */
export const HOLD_FRAMES = 12;
/** Drift a frame, px: x and y go through all tenths of a pixel. */
const DRIFT: Point = [0.1, 0.3];
/** Background around the part, px. */
const ROOM = 44;
/** A direction whose bound is larger can't be told, px. */
const TOLD = 0.15;
const JPEG_QUALITY = 92;
/** Up to which size the bound with JPEG is worked out, px: on larger parts it takes long, and no line of the reach asks for it. */
const JPEG_BOUND_SIZE = 200;
/** Where the six lowest frequencies stand in a table of steps, row by row. */
const LOW = [0, 1, 8, 16, 9, 2];
/** The core's tiles have about this side, px. */
const TILE = 20;
/** Pixels nearer to the outline don't count for the bound, px. */
const EDGE = 2;
/**
 * Of a small part the core uses all but one pixel, whose prefilter reaches over the outline: where the surface shows little,
 * most of what there is to see is that edge, and it belongs to what can be known. Area, px, and pixels beyond the outline.
 */
const SMALL_AREA = 3000;
const SMALL_EDGE = -1;

export interface PartCell {
  readonly size: number;
  readonly texture: PartTexture;
  /** Noise at mid grey, steps of 8 bit. */
  readonly noise: number;
  readonly jpeg: boolean;
  /** Cramer-Rao bound along one axis, px: root mean square over the axes that can be told. */
  readonly bound: number;
  /** The same with what rounding to the files' steps takes away; null without JPEG and where it was not worked out. */
  readonly jpegBound: number | null;
  /** 2, or 1 for a texture that shows in one direction only. */
  readonly axes: number;
  readonly figures: Figures;
  /** The same frames by opencv.js; null where it was not asked. */
  readonly rivals: { readonly ours: number; readonly ecc: Rivalry; readonly points: Rivalry } | null;
}

export interface Rivalry {
  readonly rmse: number;
  readonly notMeasured: number;
}

export interface PartCellsOptions {
  readonly size: number;
  readonly texture: PartTexture;
  readonly noises: readonly number[];
  readonly jpegs: readonly boolean[];
  /** Pieces of the texture, each at another place between pixels. */
  readonly pieces: number;
  /** Noise drawn afresh so many times for each of them, standing still and drifting. */
  readonly repeats: number;
  readonly seed: number;
  readonly measurer: HoldMeasurer;
  /** Asked in the cells that it returns true for. */
  readonly rival?: { readonly by: Rival; readonly asks: (noise: number, jpeg: boolean) => boolean };
}

const noiseOf = (sigma8: number): Noise => ({ sigma8, poissonShare: 0.7 });

/** The axes along which a part can be told, piece by piece, and its bound along them. */
interface Axes {
  readonly directions: readonly (readonly Point[])[];
  readonly bound: number;
}

/**
 * @param surfaces bounds by the surface alone, piece by piece: they say which axes count
 * @param bounds bounds by all that there is to see
 */
function axesOf(surfaces: readonly Bound[], bounds: readonly Bound[]): Axes {
  const rms = (values: readonly number[]): number =>
    Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
  const both = surfaces.every(({ worst }) => worst < TOLD);
  return both
    ? {
        directions: bounds.map(() => [
          [1, 0],
          [0, 1],
        ]),
        bound: rms(bounds.flatMap(({ sigmaX, sigmaY }) => [sigmaX, sigmaY])),
      }
    : {
        directions: surfaces.map(({ direction }) => [direction]),
        bound: rms(bounds.map((bound, i) => alongOf(bound, surfaces[i].direction))),
      };
}

/** A bound along a direction. */
const alongOf = ({ sigmaX, sigmaY, rho }: Bound, [x, y]: Point): number =>
  Math.sqrt((x * sigmaX) ** 2 + 2 * x * y * rho * sigmaX * sigmaY + (y * sigmaY) ** 2);

/** A piece of texture in a scene, drawn without noise, once for all cells. */
interface Piece {
  readonly scene: Scene;
  readonly outline: readonly Point[];
  readonly clean: readonly CleanFrame[];
  readonly truth: readonly Point[];
  readonly drifts: boolean;
}

function pieceOf(options: PartCellsOptions, index: number, drifts: boolean): Piece {
  const { size, texture, seed } = options;
  const along = Math.hypot(...DRIFT);
  const { scene } = heldPart({
    size,
    texture,
    seed: seedOf(seed, size, index),
    width: size + 2 * ROOM,
    height: size + 2 * ROOM,
    frames: HOLD_FRAMES,
    direction: [DRIFT[0] / along, DRIFT[1] / along],
    ...(drifts ? { sagPerFrame: along } : {}),
  });
  const renderer = createRenderer(scene);
  const numbers = Array.from({ length: HOLD_FRAMES }, (_, i) => i + 1);
  const first = renderer.clean(1);
  const { outline } = scene.layers[0];
  const centroid = centroidOf(outline);
  return {
    scene,
    outline,
    clean: numbers.map((frame) => (drifts && frame > 1 ? renderer.clean(frame) : first)),
    truth: numbers.map((frame) => displacementOf(scene, "held", centroid, frame)),
    drifts,
  };
}

const areaOf = (outline: readonly Point[]): number =>
  Math.abs(
    outline.reduce((sum, [x, y], i) => {
      const [nextX, nextY] = outline[(i + 1) % outline.length];
      return sum + (x * nextY - nextX * y) / 2;
    }, 0),
  );

/** What of a piece's picture the core measures on, cut out, with tiles as the core lays them. */
interface Cut {
  /** The whole frame, and where the cut lies in it. */
  readonly whole: Patch;
  readonly left: number;
  readonly top: number;
  readonly patch: Patch;
  readonly tile: number;
  readonly centroid: Point;
}

/** Noise-free picture of the part alone with its derivatives; the variance there is that of quantisation alone. */
function cutOf({ scene, outline }: Piece, edge: number): Cut {
  const whole = cleanPatch({ ...scene, noise: null }, 1);
  const inside = insideOf(outline, edge);
  const left = Math.floor(Math.min(...outline.map(([x]) => x))) + edge;
  const top = Math.floor(Math.min(...outline.map(([, y]) => y))) + edge;
  const width = Math.ceil(Math.max(...outline.map(([x]) => x))) - edge - left;
  const height = Math.ceil(Math.max(...outline.map(([, y]) => y))) - edge - top;
  const cut = ({ data }: Plane): Plane => ({
    width,
    height,
    data: Float32Array.from(
      { length: width * height },
      (_, i) => data[(top + Math.floor(i / width)) * scene.width + left + (i % width)],
    ),
  });
  const [x, y] = centroidOf(outline);
  return {
    whole: { ...whole, inside },
    left,
    top,
    patch: {
      value: cut(whole.value),
      gradientX: cut(whole.gradientX),
      gradientY: cut(whole.gradientY),
      variance: cut(whole.variance),
      inside: (u, v) => inside(u + left, v + top),
    },
    tile: Math.ceil(width / Math.max(1, Math.round(width / TILE))),
    centroid: [x - left, y - top],
  };
}

/** The bound with both frames noisy, a gain and an offset for each tile, and a turn. */
function boundOf({ patch, tile, centroid }: Cut, noise: number): Bound {
  const data = patch.variance.data.map(
    (quantisation, i) => quantisation + noiseVariance(noiseOf(noise), patch.value.data[i]),
  );
  const noisy = { ...patch, variance: { ...patch.variance, data } };
  return translationBound(noisy, { gainOffset: true, tile, turnAbout: centroid });
}

/** The bound from JPEG files along the axes that count, root mean square over pieces. */
function jpegBoundOf(cuts: readonly Cut[], axes: Axes, noise: number, steps: JpegSteps): number {
  const variances = cuts.flatMap(({ whole, left, top, tile, centroid: [x, y] }, i) => {
    const options = { noise: noiseOf(noise), steps, tile, left, top, turnAbout: [x + left, y + top] } as const;
    const { xx, xy, yy } = partJpegBound(whole, options);
    return axes.directions[i].map(([a, b]) => a * a * xx + 2 * a * b * xy + b * b * yy);
  });
  return Math.sqrt(variances.reduce((sum, variance) => sum + variance, 0) / variances.length);
}

function exposed(piece: Piece, noise: number, seed: number): RenderedFrame[] {
  const scene: Scene = { ...piece.scene, seed, noise: noiseOf(noise) };
  const { width, height } = scene;
  return piece.clean.map(({ planes, truth }, i): RenderedFrame => {
    const pixels = expose(scene, i + 1, planes);
    return { frame: i + 1, width, height, channels: 1, bits: 8, pixels, truth };
  });
}

function samplesOf(rows: readonly HeldFrame[], piece: Piece, directions: readonly Point[], hold: number): Sample[] {
  return rows.flatMap((row) => {
    const [tx, ty] = piece.truth[row.frame - 1];
    return directions.map(([a, b], axis): Sample => {
      const sigma = Math.sqrt(a * a * row.xx + 2 * a * b * row.xy + b * b * row.yy);
      return {
        hold,
        axis,
        error: a * (row.dx - tx) + b * (row.dy - ty),
        sigma,
        displacement: piece.drifts ? a * tx + b * ty : Number.NaN,
      };
    });
  });
}

interface Gathered {
  readonly samples: Sample[];
  readonly ours: number[];
  readonly ecc: number[];
  readonly points: number[];
}

function rivalry(errors: readonly number[]): Rivalry {
  const known = errors.filter((error) => Number.isFinite(error));
  return {
    rmse: Math.sqrt(known.reduce((sum, error) => sum + error * error, 0) / known.length),
    notMeasured: 1 - known.length / errors.length,
  };
}

/** Frames of a hold that a rival sees: not the template's. */
const RIVAL_FRAMES = [5, 7, 9, 11, 12];

function askRival(
  rival: Rival,
  frames: readonly RenderedFrame[],
  piece: Piece,
  directions: readonly Point[],
  into: Gathered,
): void {
  const centroid = centroidOf(piece.outline);
  for (const frame of RIVAL_FRAMES) {
    const [tx, ty] = piece.truth[frame - 1];
    for (const method of ["ecc", "points"] as const) {
      const found = rival[method](frames[0], frames[frame - 1], piece.outline, centroid, piece.truth[frame - 1]);
      for (const [a, b] of directions)
        into[method].push(found === null ? Number.NaN : a * (found[0] - tx) + b * (found[1] - ty));
    }
  }
}

/** All cells of one texture and size, by noise and then JPEG. */
export async function partCells(options: PartCellsOptions): Promise<PartCell[]> {
  const { size, texture, noises, jpegs, pieces, repeats, seed, measurer, rival } = options;
  const drawn = Array.from({ length: pieces }, (_, i) => [pieceOf(options, i, false), pieceOf(options, i, true)]);
  const surfaces = drawn.map(([still]) => cutOf(still, EDGE));
  const isSmall = areaOf(drawn[0][0].outline) < SMALL_AREA;
  const cuts = isSmall ? drawn.map(([still]) => cutOf(still, SMALL_EDGE)) : surfaces;
  const steps = await jpegSteps(JPEG_QUALITY);
  const lowStep = Math.max(...LOW.map((place) => steps[place]));
  const cells: PartCell[] = [];
  for (const noise of noises) {
    const boundsOf = (all: readonly Cut[]): Bound[] => all.map((cut) => boundOf(cut, noise));
    const axes = axesOf(boundsOf(surfaces), boundsOf(cuts));
    const gathered = new Map(
      jpegs.map((jpeg): [boolean, Gathered] => [jpeg, { samples: [], ours: [], ecc: [], points: [] }]),
    );
    let hold = 0;
    for (const [i, pair] of drawn.entries()) {
      const directions = axes.directions[i];
      for (const piece of pair) {
        for (let repeat = 0; repeat < repeats; repeat++) {
          hold++;
          const plain = exposed(piece, noise, seedOf(seed, size, i, repeat, piece.drifts ? 1 : 0, 0x6e));
          for (const jpeg of jpegs) {
            const frames = jpeg ? await Promise.all(plain.map((frame) => jpegRoundTrip(frame, JPEG_QUALITY))) : plain;
            const into = gathered.get(jpeg)!;
            const rows = await measurer.measure(frames.map(lumaPlane), piece.outline, jpeg ? lowStep : null);
            const samples = samplesOf(rows, piece, directions, hold);
            into.samples.push(...samples);
            if (repeat > 0 || rival?.asks(noise, jpeg) !== true || rival.by.spent()) continue;
            askRival(rival.by, frames, piece, directions, into);
            const asked = rows.map((row) => RIVAL_FRAMES.includes(row.frame));
            into.ours.push(
              ...samples.filter((_, k) => asked[Math.floor(k / directions.length)]).map(({ error }) => error),
            );
          }
        }
      }
    }
    for (const [jpeg, { samples, ours, ecc, points }] of gathered)
      cells.push({
        size,
        texture,
        noise,
        jpeg,
        bound: axes.bound,
        jpegBound: jpeg && size <= JPEG_BOUND_SIZE ? jpegBoundOf(cuts, axes, noise, steps) : null,
        axes: axes.directions[0].length,
        figures: figuresOf(samples),
        rivals: ecc.length === 0 ? null : { ours: rivalry(ours).rmse, ecc: rivalry(ecc), points: rivalry(points) },
      });
  }
  return cells;
}
