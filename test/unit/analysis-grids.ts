import type { GridMeasurement } from "../../src/analysis/measurement.ts";
import { createPart, type IntentName, type Part, type PartKind } from "../../src/model/index.ts";
import { analysisPx, frameNumber, type FrameNumber, px } from "../../src/units/index.ts";
import type { Random } from "../support/random.ts";
import { applyTo, type Motion, similarityOf } from "../support/similarity.ts";

// Grids with known motion, as a measuring worker would hand them over.

export type Point = readonly [number, number];

export interface GridOptions {
  readonly cols?: number;
  readonly rows?: number;
  readonly step?: number;
  readonly origin?: number;
  readonly against?: number;
  /** Noise of a cell, px; its variance is told right. */
  readonly sigma?: number;
  readonly gainStops?: (x: number, y: number) => number;
  /** 1: measured, 2: still by its pixels, 0: not found. All are measured if left out. */
  readonly valid?: (x: number, y: number) => number;
}

/** Where a motion takes a place, as a displacement. */
export const displacementBy = (motion: Motion, [x, y]: Point): [number, number] => {
  const [u, v] = applyTo(similarityOf(motion), [x, y]);
  return [u - x, v - y];
};

export function gridOf(
  random: Random,
  motionAt: (x: number, y: number) => Motion,
  options: GridOptions = {},
): GridMeasurement {
  const { cols = 14, rows = 10, step = 32, origin = 24, against = 1, sigma = 0.01 } = options;
  const count = cols * rows;
  const grid = {
    against: frameNumber(against),
    cols,
    rows,
    originX: analysisPx(origin),
    originY: analysisPx(origin),
    step: analysisPx(step),
    dx: new Float32Array(count).fill(Number.NaN),
    dy: new Float32Array(count).fill(Number.NaN),
    varX: new Float32Array(count).fill(Number.NaN),
    varY: new Float32Array(count).fill(Number.NaN),
    covXY: new Float32Array(count).fill(Number.NaN),
    gainStops: new Float32Array(count).fill(Number.NaN),
    valid: new Uint8Array(count),
  };
  for (let i = 0; i < count; i++) {
    const x = origin + (i % cols) * step;
    const y = origin + Math.floor(i / cols) * step;
    const valid = options.valid?.(x, y) ?? 1;
    grid.valid[i] = valid;
    if (valid === 0) continue;
    const [dx, dy] = valid === 2 ? [0, 0] : displacementBy(motionAt(x, y), [x, y]);
    const noise = valid === 2 ? 0 : sigma;
    grid.dx[i] = dx + noise * random.normal();
    grid.dy[i] = dy + noise * random.normal();
    if (valid === 2) continue;
    grid.varX[i] = Math.max(sigma, 1e-3) ** 2;
    grid.varY[i] = Math.max(sigma, 1e-3) ** 2;
    grid.covXY[i] = 0;
    grid.gainStops[i] = options.gainStops?.(x, y) ?? 0;
  }
  return grid;
}

export const box = (left: number, top: number, right: number, bottom: number): Point[] => [
  [left, top],
  [right, top],
  [right, bottom],
  [left, bottom],
];

export const inBox =
  ([[left, top], , [right, bottom]]: readonly Point[]) =>
  (x: number, y: number): boolean =>
    x >= left && x <= right && y >= top && y <= bottom;

export const framesFrom = (from: number, to: number): FrameNumber[] =>
  Array.from({ length: to - from + 1 }, (_, i) => frameNumber(from + i));

export interface PartOptions extends Partial<Pick<Part, "carrier">> {
  readonly kind?: PartKind;
  readonly outline?: readonly Point[];
  readonly intents?: readonly (readonly [from: number, to: number, intent: IntentName, wears?: string])[];
}

export function partOf(id: string, options: PartOptions = {}): Part {
  const { kind = "limb", outline = box(0, 0, 50, 50), intents = [], carrier = null } = options;
  return createPart({
    id,
    name: id,
    kind,
    carrier,
    outlines: [{ frame: frameNumber(1), points: outline.map(([x, y]) => [px(x), px(y)] as const), holes: [] }],
    intents: intents.map(([from, to, intent, wears = null]) => ({
      from: frameNumber(from),
      to: frameNumber(to),
      intent,
      wears,
    })),
  });
}
