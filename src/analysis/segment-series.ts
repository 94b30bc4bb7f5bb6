import { polygonCentroid } from "../measure/mask.ts";
import type { Sheet } from "../model/index.ts";
import type { FrameNumber } from "../units/index.ts";
import type { CameraFit } from "./camera.ts";
import type { HoldPlan } from "./contract.ts";
import type { Covariance } from "./covariance.ts";
import type { HeldRow } from "./hold-rows.ts";
import type { PartMeasurement } from "./measurement.ts";
import type { Shape } from "./part-path.ts";
import type { Segment } from "./segments.ts";
import type { AnalysedPart, ShotTracker } from "./shot-tracker.ts";

/** A held segment with its rows, or a moving or hidden one, px of the analysed frame. */
export interface SegmentSeries {
  readonly segment: Segment;
  readonly anchor: FrameNumber;
  readonly shape: Shape;
  readonly centroid: readonly [number, number];
  readonly templateFrames: readonly FrameNumber[];
  readonly anchorCovariance: Covariance;
  readonly joints: readonly { readonly id: string; readonly name: string; readonly at: readonly [number, number] }[];
  readonly rows: readonly (HeldRow & { readonly anchor: FrameNumber })[];
  /** Of a swapped part: what it wears, and whether its carrier stood still since the frame that it is told against. */
  readonly worn?: { readonly piece: string; readonly firstTime: boolean; readonly carrierHeld: boolean };
  /** Where a reset ends it: from its last good frame to the first one after; NaN with a reason where that can't be told. */
  readonly reset?: {
    readonly frame: FrameNumber;
    readonly against: FrameNumber;
    readonly dx: number;
    readonly dy: number;
    readonly turn: number;
    readonly covariance: Covariance;
    readonly reason: string;
  };
}

export const centroidOf = (shape: Shape): [number, number] => {
  const { x, y } = polygonCentroid(shape.outline);
  return [x, y];
};

/** All that is known when series are made. */
export interface SeriesSource {
  readonly tracker: ShotTracker;
  readonly parts: readonly AnalysedPart[];
  readonly sheet: Sheet;
  readonly width: number;
  readonly height: number;
  readonly cameras: ReadonlyMap<FrameNumber, CameraFit | null>;
  readonly holds: ReadonlyMap<string, HoldPlan>;
  /** By hold id, then by frame. */
  readonly measured: ReadonlyMap<string, ReadonlyMap<FrameNumber, PartMeasurement>>;
}
