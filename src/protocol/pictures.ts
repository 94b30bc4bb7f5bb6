import type { RedrawChoice } from "../analysis/redraw/drift-layers.ts";
import type { Report, Sheet } from "../model/index.ts";
import type { Answer, FrameFile } from "./index.ts";

export type { RedrawChoice };

// The contract with the workers that make pictures for the table. Nothing is measured on these: a browser's own
// resize is off by up to 0.8 grey levels.

/** "over": both frames at once, the anchor in red, the current one in cyan. "difference": current minus anchor, the light taken out. */
export type Comparison = "over" | "difference";

/** The camera of two frames against the shot's first one, px of a frame of `width` by `height`. */
export interface CameraPair {
  readonly anchor: CameraPlace;
  readonly current: CameraPlace;
  readonly width: number;
  readonly height: number;
}

export interface CameraPlace {
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
  readonly scale: number;
}

/** Luma, 0 to 255 as encoded, row-major. */
export interface LumaPicture {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}

/** Colours as encoded, RGBA by turns, 0 to 255, row-major. */
export interface ColourPicture {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8ClampedArray;
}

/** A piece of a frame, px of the original frame. */
export interface PictureWindow {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** `Bitmap` is what the page draws: no type of its own here, since the contract knows no browser. */
export interface PictureWorker<Bitmap> {
  /**
   * The oriented frame, at most `width` px wide.
   * @param plays true where it is one of many that are played, and may come from a small copy of a large frame
   */
  frame(file: FrameFile, width: number, plays: boolean): Promise<Answer<Bitmap>>;
  /**
   * @param gain how many times a difference is enlarged; nothing to "over"
   * @param camera its motion is taken out of the anchor; null: it stays in
   */
  compare(
    kind: Comparison,
    anchor: FrameFile,
    current: FrameFile,
    width: number,
    gain: number,
    camera: CameraPair | null,
  ): Promise<Answer<Bitmap>>;
  luma(file: FrameFile, width: number): Promise<Answer<LumaPicture>>;
  /** A piece of the frame, at most `most` px wide and high. */
  piece(file: FrameFile, window: PictureWindow, most: number): Promise<Answer<ColourPicture>>;
}

/** Where the picture went, cell by cell, row-major; px of the pictures that were given, current minus anchor. */
export interface FlowField {
  readonly cols: number;
  readonly rows: number;
  /** Distance between cells; the first one's centre is half of it from the corner. */
  readonly step: number;
  readonly dx: Float32Array;
  readonly dy: Float32Array;
}

/** A ring of corners, px of the picture it lies in. */
export type Ring = readonly (readonly [number, number])[];

export interface FlowWorker {
  field(anchor: LumaPicture, current: LumaPicture, step: number): Promise<Answer<FlowField>>;
  /**
   * The edge of what lies within a rough loop: its outline and the holes in it, the largest piece alone; refused where
   * nothing in the loop stands out from what is around it.
   */
  cutOut(
    picture: ColourPicture,
    loop: Ring,
  ): Promise<Answer<{ readonly outline: Ring; readonly holes: readonly Ring[] }>>;
}

/** The shot whose drift is redrawn. */
export interface RedrawShot {
  readonly report: Report;
  readonly sheet: Sheet | null;
  readonly files: readonly FrameFile[];
}

/** A frame with its drift drawn larger, or held still. */
export interface RedrawnPicture<Bitmap> {
  readonly bitmap: Bitmap;
  /** Parts that were drawn elsewhere. */
  readonly parts: readonly string[];
  /** Share of what changed that no frame shows: filled from around. */
  readonly guessed: number;
  /** Why it can't be trusted in some of it: sentences. */
  readonly doubts: readonly string[];
}

/** The layer that holds one frame still when it is laid over it, as a PNG with alpha of the frame's own size. */
export interface PaintOutFile {
  readonly png: Uint8Array<ArrayBuffer>;
  readonly parts: readonly string[];
  readonly doubts: readonly string[];
}

/** Frame by frame, so that steps and playing need nothing of the frames before. */
export interface RedrawWorker<Bitmap> {
  /** Has to come first, and again after the worker was started anew. */
  shot(shot: RedrawShot): Promise<Answer<true>>;
  frame(frame: number, width: number, choice: RedrawChoice): Promise<Answer<RedrawnPicture<Bitmap>>>;
  paintOut(frame: number, choice: RedrawChoice): Promise<Answer<PaintOutFile>>;
}
