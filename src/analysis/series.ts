import type { PairNoise } from "../measure/pair-noise.ts";
import type { Break, Correction, Flag, Intent, Part, Watched } from "../model/index.ts";
import type { FrameNumber, Px, Radians, Seconds, Stops } from "../units/index.ts";
import type { FocusFit } from "./focus.ts";
import type { MeasureState } from "./measurement.ts";

// What the judgement sees: time series in pixels of the original frame, the camera already taken out.
// Judging never looks at pictures, so that it can be tested on series alone.

/** One frame of one hold of one part, against the hold's anchor. Numbers are NaN where there is no measurement. */
export interface TrackRow {
  readonly frame: FrameNumber;
  readonly dx: Px;
  readonly dy: Px;
  readonly turn: Radians;
  /** Covariance of (dx, dy, turn) of this frame alone, without the anchor's own error: xx, xy, xt, yy, yt, tt. */
  readonly covariance: readonly [number, number, number, number, number, number];
  readonly rawDx: Px;
  readonly rawDy: Px;
  readonly crawlPx: Px;
  readonly floorPx: Px;
  readonly state: MeasureState;
  readonly reason: string;
}

/** One uninterrupted stretch in which one intent of one part is judged against one anchor. */
export interface Hold {
  readonly part: Part;
  readonly intent: Intent["intent"] | "found";
  readonly anchor: FrameNumber;
  /** Frames whose average made the template (up to 4, the anchor first). */
  readonly templateFrames: readonly FrameNumber[];
  /** Variance-covariance of the anchor itself, common to all rows: xx, xy, xt, yy, yt, tt. */
  readonly anchorCovariance: readonly [number, number, number, number, number, number];
  /** Outline at the anchor, px, and its centroid, at which dx and dy are told. */
  readonly outline: readonly (readonly [number, number])[];
  readonly centroid: readonly [number, number];
  /** Joints of the part's own chain of carriers, carried to the anchor frame, px. */
  readonly joints: readonly { readonly id: string; readonly name: string; readonly at: readonly [number, number] }[];
  /** True where the hold follows a move (three frames' grace) rather than the start of the shot or a reset. */
  readonly afterMove: boolean;
  /** Rows in the order of frames, the anchor frame's own left out. */
  readonly rows: readonly TrackRow[];
  /** Of a swapped part: the piece that is worn, and whether its rows start from an earlier wearing or from this one. */
  readonly worn?: { readonly piece: string; readonly firstTime: boolean; readonly carrierHeld: boolean };
  /** Where a reset ends the hold: what the part did from its last good frame to the first one after. */
  readonly reset?: Reset;
}

/** A part before and after it was re-set. Numbers are NaN where the two can't be compared, with the reason. */
export interface Reset {
  readonly frame: FrameNumber;
  readonly against: FrameNumber;
  readonly dx: Px;
  readonly dy: Px;
  readonly turn: Radians;
  readonly covariance: TrackRow["covariance"];
  readonly reason: string;
}

/**
 * What one surface did over what it rides on, node by node and frame by frame, in one stretch of frames. Nodes lie on a
 * lattice and go along with the surface. Numbers are NaN where there is no measurement.
 */
export interface LeftOverSeries {
  readonly part: Part;
  readonly anchor: FrameNumber;
  /** Measured against the anchor; else from frame to frame and summed up. */
  readonly held: boolean;
  /** It is animated and turns out of the picture. */
  readonly away?: boolean;
  /** What is taken for the carrier's motion: its own nodes, or what most of the surface did. */
  readonly carrierBy: "carrier" | "surface";
  /** Frame of each row; the anchor first, where nothing is left over. */
  readonly frames: readonly FrameNumber[];
  /** Distance of neighbouring nodes and side of their subsets. */
  readonly step: Px;
  readonly size: Px;
  /** Column and row of each node, by turns. */
  readonly cells: readonly number[];
  /** Centres of the nodes at the last frame, x and y by turns. */
  readonly places: Float64Array;
  /** Left over since the anchor: rows of one value a node, px. */
  readonly dx: Float32Array;
  readonly dy: Float32Array;
  /** Where it is held: each node against the anchor with only the camera taken out, rows as in dx and dy; left out where that isn't known. */
  readonly whole?: { readonly dx: Float32Array; readonly dy: Float32Array };
  /** 1 where the node itself was found again in the row. */
  readonly found: Uint8Array;
  /** Covariance xx, xy, yy of one pair of frames at each node; infinite where it was never found. */
  readonly covariance: Float64Array;
  /** Variance that the carrier's motion brings into all nodes of a row at once: xx, xy, yy. */
  readonly carrierCovariance: Float64Array;
}

/** A part while it is animated: each row against the frame before, the camera taken out. */
export interface MovingRun {
  readonly part: Part;
  readonly outline: readonly (readonly [number, number])[];
  readonly centroid: readonly [number, number];
  readonly rows: readonly TrackRow[];
}

/** Camera and light of one frame against the shot's first frame. */
export interface FrameRow {
  readonly frame: FrameNumber;
  /** Seconds since the first frame by the capture times; null where there are none. */
  readonly clock: Seconds | null;
  /** Motion of the picture of the still background at the frame's centre; null where it can't be told. */
  readonly camera: {
    readonly dx: Px;
    readonly dy: Px;
    readonly turn: Radians;
    readonly scale: number;
    readonly sigma: Px;
    readonly sigmaTurn: Radians;
  } | null;
  /** Mean of the smooth log-gain field, stops; NaN where it can't be told. */
  readonly lightStops: Stops;
  /** The smooth log-gain field minus its mean, on a 4 x 3 lattice, row-major, stops. */
  readonly lightShape: readonly number[];
  /** What this frame and the one before differ by; left out where it can't be told. */
  readonly pairNoise?: PairNoise;
  /** Sharpness against the reference frame; left out for that one and where it can't be told. */
  readonly focus?: FocusFit;
}

/** Something that was not there before, px of the original frame. */
export interface Stray {
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  readonly diameter: Px;
  readonly sigma: Px;
  readonly outline: readonly (readonly [number, number])[];
  /** Standard errors of its change where it is strongest, in the frame in which it is weakest. */
  readonly z: number;
}

export interface JudgeInput {
  /** Things in the frame that were not there before, all sizes. */
  readonly strays?: readonly Stray[];
  readonly frames: readonly FrameRow[];
  readonly holds: readonly Hold[];
  /** Surfaces that could be measured for what slips over their carriers. */
  readonly leftOvers?: readonly LeftOverSeries[];
  readonly parts: readonly Part[];
  /** Ids of the parts that stand for something outside all outlines. */
  readonly outside?: ReadonlySet<string>;
  readonly width: Px;
  readonly height: Px;
  /** Unit vector of gravity in the picture. */
  readonly down: readonly [number, number];
  readonly pxPerMm: number | null;
  /** Degrees by which gravity is tilted into the picture; left out: 0. */
  readonly downIntoPicture?: number;
  /** What is animated, from frame to frame; left out: nothing. */
  readonly moving?: readonly MovingRun[];
  /** Bands a person set by hand, by the keys of `defaultBands` (kinds/index.ts); what is not here has its kind's default. */
  readonly bands: Readonly<Record<string, number>>;
  /** True where the shot is still running and is judged after every frame: many looks at one hold are allowed for. */
  readonly live?: boolean;
  /** Stretches in which the camera is meant to hold; left out: the whole shot. */
  readonly cameraHolds?: readonly { readonly from: FrameNumber; readonly to: FrameNumber }[];
  /** Stretches in which it is meant to move, along a smooth path; left out: none. */
  readonly cameraMoves?: readonly { readonly from: FrameNumber; readonly to: FrameNumber }[];
  /** Frames at which a person corrected, reset or re-anchored a part. */
  readonly marks: readonly { readonly frame: FrameNumber; readonly kind: string; readonly part: string | null }[];
}

export interface Judgement {
  readonly flags: readonly Flag[];
  readonly bands: Readonly<Record<string, number>>;
  readonly thresholds: Readonly<Record<string, number>>;
  /** What people did to parts on purpose, and by how much. */
  readonly corrections: readonly Correction[];
  /** Breaks in the shooting, and what moved over them; slow drifts that are real and within their band. Left out: none. */
  readonly breaks?: readonly Break[];
  readonly watched?: readonly Watched[];
}
