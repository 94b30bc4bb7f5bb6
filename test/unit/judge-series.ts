import { judge } from "../../src/analysis/judge.ts";
import type { FrameRow, Hold, JudgeInput, Judgement, TrackRow } from "../../src/analysis/series.ts";
import { createPart, type Part, type PartKind } from "../../src/model/index.ts";
import { frameNumber, px, radians, seconds, stops } from "../../src/units/index.ts";
import type { Random } from "../support/random.ts";

// Series with known motion, as the measuring side would hand them over.

export type Point = readonly [number, number];

/** Displacement (px) and turn (radians) of a body about a fixed point, by frame. */
export type Path = (frame: number) => { readonly shift: Point; readonly turn: number; readonly about: Point };

export const still: Path = () => ({ shift: [0, 0], turn: 0, about: [0, 0] });

/** Turns about a pivot by an angle that depends on the frame. */
export const turningAbout =
  (about: Point, angle: (frame: number) => number): Path =>
  (frame) => ({ shift: [0, 0], turn: angle(frame), about });

export const sliding =
  (direction: Point, amount: (frame: number) => number): Path =>
  (frame) => ({ shift: [direction[0] * amount(frame), direction[1] * amount(frame)], turn: 0, about: [0, 0] });

/** Where a point goes under one path after another, small motions added. */
export function moved(paths: readonly Path[], frame: number, [x, y]: Point): Point {
  let [dx, dy] = [0, 0];
  for (const path of paths) {
    const { shift, turn, about } = path(frame);
    const [c, s] = [Math.cos(turn) - 1, Math.sin(turn)];
    dx += shift[0] + c * (x - about[0]) - s * (y - about[1]);
    dy += shift[1] + s * (x - about[0]) + c * (y - about[1]);
  }
  return [dx, dy];
}

/** A box between two corners, its long sides with corners in between. */
export const box = (left: number, top: number, right: number, bottom: number): readonly Point[] => [
  [left, top],
  [right, top],
  [right, bottom],
  [left, bottom],
];

const centreOf = (outline: readonly Point[]): Point => [
  outline.reduce((sum, [x]) => sum + x, 0) / outline.length,
  outline.reduce((sum, [, y]) => sum + y, 0) / outline.length,
];

export interface HoldOptions {
  readonly sigma?: number;
  /** True scatter in reported sigmas. */
  readonly truth?: number;
  readonly rho?: number;
  readonly anchor?: number;
  readonly afterMove?: boolean;
  readonly joints?: Hold["joints"];
  readonly intent?: Hold["intent"];
  /** Frames that are hidden. */
  readonly hidden?: (frame: number) => boolean;
}

export const partOf = (id: string, name: string, kind: PartKind = "limb", fields: Partial<Part> = {}): Part =>
  createPart({ id, name, kind, outlines: [], ...fields });

/** The hold of a part over the frames, measured with noise: sigma px in dx and dy, and the turn that goes with its size. */
export function holdOf(
  random: Random,
  part: Part,
  outline: readonly Point[],
  frames: readonly number[],
  paths: readonly Path[],
  options: HoldOptions = {},
): Hold {
  const { sigma = 0.01, truth = 1, rho = 0, afterMove = false, joints = [], intent = "holds" } = options;
  const anchor = options.anchor ?? frames[0];
  const centroid = centreOf(outline);
  const size = Math.max(...outline.map(([x, y]) => Math.hypot(x - centroid[0], y - centroid[1])));
  const sigmas = [sigma, sigma, (sigma / size) * 1.5];
  const covariance = (share: number): TrackRow["covariance"] => [
    share * sigmas[0] ** 2,
    0,
    0,
    share * sigmas[1] ** 2,
    0,
    share * sigmas[2] ** 2,
  ];
  const zero = moved(paths, anchor, centroid);
  const turnAt = (frame: number) => paths.reduce((sum, path) => sum + path(frame).turn, 0);
  const anchorError = sigmas.map((value) => 0.5 * truth * value * random.normal());
  const noise = sigmas.map((value) => truth * value * random.normal());
  const rows = frames
    .filter((frame) => frame !== anchor)
    .map((frame): TrackRow => {
      sigmas.forEach((value, d) => {
        noise[d] = rho * noise[d] + Math.sqrt(1 - rho * rho) * truth * value * random.normal();
      });
      const [x, y] = moved(paths, frame, centroid);
      const gone = options.hidden?.(frame) === true;
      const known = (value: number) => (gone ? Number.NaN : value);
      const dx = px(known(x - zero[0] + noise[0] - anchorError[0]));
      const dy = px(known(y - zero[1] + noise[1] - anchorError[1]));
      return {
        frame: frameNumber(frame),
        dx,
        dy,
        turn: radians(known(turnAt(frame) - turnAt(anchor) + noise[2] - anchorError[2])),
        covariance: gone ? [Number.NaN, 0, 0, Number.NaN, 0, Number.NaN] : covariance(1),
        rawDx: dx,
        rawDy: dy,
        crawlPx: px(0),
        floorPx: px(4 * sigma),
        state: gone ? "hidden" : "ok",
        reason: gone ? "an arm passes in front" : "",
      };
    });
  return {
    part,
    intent,
    anchor: frameNumber(anchor),
    templateFrames: frames.slice(0, 4).map(frameNumber),
    anchorCovariance: covariance(0.25),
    outline,
    centroid,
    joints,
    afterMove,
    rows,
  };
}

export interface FrameOptions {
  readonly camera?: (frame: number) => { readonly dx?: number; readonly dy?: number; readonly turn?: number };
  readonly cameraSigma?: number;
  readonly light?: (frame: number) => number;
  /** Rms of the exposure's flicker, a fraction; and of a node of the light's shape. */
  readonly flicker?: number;
  readonly shapeFlicker?: number;
  /** Fraction by which a node of the 4 x 3 lattice changes. */
  readonly shape?: (frame: number, col: number, row: number) => number;
  readonly clock?: (frame: number) => number | null;
}

export function framesOf(random: Random, frames: readonly number[], options: FrameOptions = {}): FrameRow[] {
  const { cameraSigma = 0.002, flicker = 0.005, shapeFlicker = 0.002 } = options;
  return frames.map((frame, i) => {
    const camera = options.camera?.(frame) ?? {};
    const noise = () => (i === 0 ? 0 : cameraSigma * random.normal());
    const nodes = Array.from({ length: 12 }, (_, node) =>
      Math.log2(1 + (options.shape?.(frame, node % 4, Math.floor(node / 4)) ?? 0) + shapeFlicker * random.normal()),
    );
    const mean = nodes.reduce((sum, value) => sum + value, 0) / 12;
    const clock = options.clock?.(frame) ?? null;
    return {
      frame: frameNumber(frame),
      clock: clock === null ? null : seconds(clock),
      camera: {
        dx: px((camera.dx ?? 0) + noise()),
        dy: px((camera.dy ?? 0) + noise()),
        turn: radians((camera.turn ?? 0) + noise() / 400),
        scale: 1 + noise() / 400,
        sigma: px(i === 0 ? 0 : cameraSigma),
        sigmaTurn: radians(i === 0 ? 0 : cameraSigma / 400),
      },
      lightStops: stops(Math.log2(1 + (options.light?.(frame) ?? 0) + flicker * random.normal()) + mean),
      lightShape: nodes.map((value) => value - mean),
    };
  });
}

export const numbers = (from: number, to: number): number[] =>
  Array.from({ length: to - from + 1 }, (_, i) => from + i);

export function shot(frames: readonly FrameRow[], holds: readonly Hold[], more: Partial<JudgeInput> = {}): JudgeInput {
  return {
    frames,
    holds,
    parts: [...new Set(holds.map((hold) => hold.part))],
    width: px(1280),
    height: px(720),
    down: [0, 1],
    pxPerMm: null,
    bands: {},
    marks: [],
    ...more,
  };
}

/** "kind part from" of every flag: what a judgement says in short. */
export const inShort = ({ flags }: Pick<Judgement, "flags">): string[] =>
  flags.map((flag) => [flag.kind, ...(flag.part === null ? [] : [flag.part]), flag.from].join(" "));

export { judge };
