import type { ChangedBlocks } from "../measure/changed-blocks.ts";
import type { PairNoise } from "../measure/pair-noise.ts";
import type { AnalysisPx, FrameNumber, Radians } from "../units/index.ts";

/** What one cell of the grid, one part or one frame could not be measured for, and why. */
export type MeasureState = "ok" | "weak" | "ambiguous" | "hidden" | "lost";

/**
 * The background grid of one frame, measured against a reference frame with subsets of 31 px on a step of 32 px.
 * Arrays hold one value a cell, row-major; NaN where `valid` is 0. Displacement is current minus reference, AnalysisPx.
 */
export interface GridMeasurement {
  readonly against: FrameNumber;
  readonly cols: number;
  readonly rows: number;
  /** Centre of cell (0, 0) and distance between centres, AnalysisPx. */
  readonly originX: AnalysisPx;
  readonly originY: AnalysisPx;
  readonly step: AnalysisPx;
  readonly dx: Float32Array;
  readonly dy: Float32Array;
  /** Covariance of (dx, dy), AnalysisPx squared. */
  readonly varX: Float32Array;
  readonly varY: Float32Array;
  readonly covXY: Float32Array;
  /** log2 of the gain in linear light, stops. */
  readonly gainStops: Float32Array;
  /** Share of the contrast of waves of 3 px lost since the reference, and its variance; of the background grid alone. */
  readonly blurLoss?: Float32Array;
  readonly blurVariance?: Float32Array;
  readonly valid: Uint8Array;
}

/** A held part against its hold's anchor template, camera not taken out, at the centroid of the anchor's outline. */
export interface PartMeasurement {
  readonly part: string;
  readonly anchor: FrameNumber;
  readonly dx: AnalysisPx;
  readonly dy: AnalysisPx;
  readonly turn: Radians;
  /** Covariance of (dx, dy, turn): xx, xy, xt, yy, yt, tt. */
  readonly covariance: readonly [number, number, number, number, number, number];
  readonly state: MeasureState;
  readonly reason: string;
  /** 95th percentile of what the rigid motion leaves over on the part's tiles, AnalysisPx. */
  readonly leftOver: AnalysisPx;
  /** Share of the part's pixels that show it; left out where it is not known. */
  readonly shown?: number;
  /** Period of a pattern in which the part fits as well one period further, AnalysisPx; left out where its place is sure. */
  readonly rival?: readonly [number, number];
}

/** The nodes of one surface in one frame, in the groups of its plan: NODE_VALUES a node (measure/left-over.ts), AnalysisPx. */
export interface LeftOverMeasurement {
  readonly plan: string;
  readonly against: FrameNumber;
  readonly values: readonly Float32Array[];
}

/** All that one worker measured on one frame. */
export interface FrameMeasurement {
  readonly frame: FrameNumber;
  /** Against the shot's reference frame; null in a pass that measures holds alone. */
  readonly grid: GridMeasurement | null;
  /** Against the previous readable frame, on a finer step; null for the first. There, valid 2 means: stands still by its pixels, not measured. */
  readonly pair: GridMeasurement | null;
  readonly parts: readonly PartMeasurement[];
  /** Against the previous readable frame, as `pair` is; left out for the first and where it can't be told. */
  readonly pairNoise?: PairNoise;
  readonly leftOvers?: readonly LeftOverMeasurement[];
  /** Blocks that show something else than the reference frame; left out for that one. */
  readonly changed?: ChangedBlocks;
}
