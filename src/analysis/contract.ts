import type { Carry } from "../measure/carry.ts";
import type { FrameMeasurement, GridMeasurement, PartMeasurement } from "./measurement.ts";
import type { EvenCurve, NoiseScale } from "../measure/noise-scale.ts";
import type { Proof, Report, Warning } from "../model/index.ts";
import type { FrameNumber } from "../units/index.ts";

// What the two sides of a check say to each other, wherever they run: types, no behaviour. Errors are values, since a
// thrown error loses its code on the way between threads.

export type Code =
  | "frame-unreadable"
  | "sheet-refused"
  | "nothing-to-check"
  | "worker-died"
  | "timed-out"
  | "cancelled"
  | "internal";

export type Answer<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly code: Code; readonly detail: string };

/** One frame as the person who opened the folder gave it. `source` is a path, a File or a file handle: only the thread that opens it looks inside. */
export interface FrameFile {
  readonly frame: FrameNumber;
  readonly file: string;
  /** The file's own time, milliseconds since 1970, or null. */
  readonly modified: number | null;
  readonly source: unknown;
}

export interface CheckJob {
  readonly shot: string;
  readonly folder: string;
  readonly frames: readonly FrameFile[];
  /** Text of the sheet file, already read; null where there is none. */
  readonly sheetText: string | null;
  readonly sheetFile: string | null;
  /** SHA-256 of the sheet file, hexadecimal; null without one. */
  readonly sheetSha256: string | null;
  /** A band in px that replaces every other one; null: the sheet's and the defaults. */
  readonly bandPx: number | null;
  /** The same for the bands that are told in percent, as a share: 0.02 is 2 %; left out: the defaults. */
  readonly bandShare?: number;
  readonly analysisWidth: number;
  /** Warnings found while the folder was listed. */
  readonly warnings: readonly Warning[];
  /** After the check, known drifts are put into held parts, all of them or the one named, to see what comes back. */
  readonly prove?: { readonly part: string | null };
}

/** What the header of a frame says, read without decoding it. */
export interface FrameHeader {
  readonly frame: FrameNumber;
  readonly width: number;
  readonly height: number;
  /** "YYYY-MM-DDTHH:MM:SS" as the camera wrote it, or null. */
  readonly exifTime: string | null;
  /** What people should know though the frame can be read ("…_0004.jpg is a PNG inside"), or null. */
  readonly note: string | null;
  /** Step that a JPEG's low frequencies were rounded to, grey levels; null: without loss; left out: not known. */
  readonly lumaStep?: number | null;
}

/** One hold to measure: its anchor's outline (AnalysisPx) in every frame from `from` to `to`. */
export interface HoldPlan {
  readonly id: string;
  readonly part: string;
  readonly anchor: FrameNumber;
  readonly templateFrames: readonly FrameNumber[];
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  /** The only frames in which it is to be looked for: those in which a swapped piece is worn. Left out: all. */
  readonly only?: readonly FrameNumber[];
  readonly outline: readonly (readonly [number, number])[];
  readonly holes: readonly (readonly (readonly [number, number])[])[];
  readonly centroid: readonly [number, number];
}

/** What a shot is measured on: luma, or the one colour channel that has the contrast. */
export type Channel = "luma" | "r" | "g" | "b";

/** What the first frames say about how the whole shot is to be measured. */
export interface Survey {
  readonly channel: Channel;
  /** Null where another channel has to be looked at first. */
  readonly noise: NoiseScale | null;
}

/** The camera of a frame against the shot's reference, told at the frame's centre, px of the analysed frame. */
export interface PlannedCamera {
  readonly frame: FrameNumber;
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly scale: number;
  /** Frame that its background grid is measured against. */
  readonly against: FrameNumber;
}

/** One frame in which the nodes of a surface are found again. */
export interface LeftOverStep {
  readonly frame: FrameNumber;
  readonly against: FrameNumber;
  /** Where the nodes are in `against`. */
  readonly place: Carry;
  /** What the part did from `against` to `frame`, as far as it was known when the plan was made; else null. */
  readonly motion: Carry | null;
}

/** A surface whose nodes are measured, for what slips over its carrier: see measure/left-over.ts. */
export interface LeftOverPlan {
  readonly id: string;
  readonly part: string;
  readonly anchor: FrameNumber;
  /** Measured against the anchor; else from frame to frame. */
  readonly held: boolean;
  /** The surface's own nodes first, then those of its carrier: side of the subsets, and centres at the anchor, x and y by turns, AnalysisPx. */
  readonly nodes: readonly { readonly size: number; readonly places: readonly number[] }[];
  readonly steps: readonly LeftOverStep[];
}

/** What the measuring workers have to know; sent whole each time it changes. */
export interface MeasurePlan {
  readonly revision: number;
  readonly frames: readonly FrameFile[];
  readonly width: number;
  readonly height: number;
  readonly analysisWidth: number;
  readonly reference: FrameNumber;
  readonly holds: readonly HoldPlan[];
  /** Roughly where the camera of each frame is, once the picture is known to leave its reference; left out: near it. */
  readonly cameras?: readonly PlannedCamera[];
  /** The same for all frames; left out: not chosen yet, luma. */
  readonly channel?: Channel;
  /** The even scale, where it is the shot's own and not the sRGB curve. */
  readonly curve?: EvenCurve;
  readonly leftOvers?: readonly LeftOverPlan[];
}

/** A rigid motion that a part makes in one frame on top of its own: px of the analysed frame, radians. */
export interface PutMotion {
  readonly frame: FrameNumber;
  readonly dx: number;
  readonly dy: number;
  /** About the pivot, told at the anchor. */
  readonly turn: number;
  readonly pivot: readonly [number, number];
  /** Where the part is in this frame already: its own measured motion since the anchor, at its centroid. */
  readonly place: { readonly dx: number; readonly dy: number; readonly turn: number };
}

/** Known drifts that are in the same frames at once; the parts are apart from each other. */
export interface Injection {
  readonly id: string;
  readonly drifts: readonly { readonly hold: string; readonly motions: readonly PutMotion[] }[];
}

/** What was measured on one frame with an injection in it. */
export interface InjectedMeasurement {
  readonly injection: string;
  readonly grid: GridMeasurement;
  readonly parts: readonly PartMeasurement[];
}

export type Task =
  | { readonly id: string; readonly kind: "inspect"; readonly frames: readonly FrameFile[] }
  | {
      readonly id: string;
      readonly kind: "measure";
      readonly revision: number;
      readonly frames: readonly FrameNumber[];
      /** Measure the grids (first pass) or the holds alone (a later pass, when outlines had to be carried first). */
      readonly grids: boolean;
      /** False: the grid alone is measured again, where the plan's cameras say the picture is; nothing against the frame before. */
      readonly pairs?: false;
      /** Ids of the holds to measure in this pass. */
      readonly holds: readonly string[];
      /** Frames to look at for the survey, which goes with the outcome of the task's first frame. */
      readonly survey?: readonly FrameNumber[];
      /** Ids of the surfaces to measure in this pass. */
      readonly leftOvers?: readonly string[];
    }
  | {
      readonly id: string;
      readonly kind: "prove";
      readonly revision: number;
      readonly frames: readonly FrameNumber[];
      /** Put into each of the frames one after the other, in memory. */
      readonly injections: readonly Injection[];
    };

export type FrameOutcome =
  | { readonly kind: "header"; readonly frame: FrameNumber; readonly header: FrameHeader }
  | {
      readonly kind: "measured";
      readonly frame: FrameNumber;
      readonly measurement: FrameMeasurement;
      readonly survey?: Survey;
    }
  | { readonly kind: "proved"; readonly frame: FrameNumber; readonly runs: readonly InjectedMeasurement[] }
  | { readonly kind: "failed"; readonly frame: FrameNumber; readonly reason: string };

/** What the judging thread wants done next, and what it knows so far. */
export interface Step {
  /** Send this plan to every measuring worker before the tasks below; null: unchanged. */
  readonly plan: MeasurePlan | null;
  readonly tasks: readonly Task[];
  /** Frames that are dealt with and frames there are in all, each counted once for every task it is in. */
  readonly done: number;
  readonly total: number;
  /** The report as far as it goes; sent now and then, and at the end. */
  readonly report: Report | null;
  /** At the end, where the job asked for it. */
  readonly proof?: Proof;
  readonly finished: boolean;
}

/** A measuring worker. Many of them; they know nothing of sheets or flags. */
export interface MeasureWorker {
  plan(plan: MeasurePlan): Promise<Answer<null>>;
  /** Calls `onOutcome` once a frame, in order; a frame that fails doesn't stop the rest. */
  run(task: Task, onOutcome: (outcome: FrameOutcome) => void): Promise<Answer<null>>;
}

/** The judging worker: one a check. Knows sheet, plan and all measurements; never sees a picture. */
export interface JudgeWorker {
  open(job: CheckJob): Promise<Answer<Step>>;
  take(taskId: string, outcomes: readonly FrameOutcome[]): Promise<Answer<Step>>;
}
