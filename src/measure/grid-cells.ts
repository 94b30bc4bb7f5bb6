import type { ReferenceFrame } from "./prepared.ts";
import type { SubsetReference } from "./subset.ts";

// What a grid is made of, and what it comes to.

export interface GridLayout {
  readonly cols: number;
  readonly rows: number;
  /** Centre of the first cell, px (centre of pixel i at i + 0.5), and distance between centres. */
  readonly originX: number;
  readonly originY: number;
  readonly step: number;
}

/** A reference frame with what its cells alone say, each made when it is first asked for. */
export interface GridReference {
  readonly frame: ReferenceFrame;
  readonly layout: GridLayout;
  /** Upper-left corner of each cell, index px. */
  corner(index: number): { readonly left: number; readonly top: number };
  /** Null where the cell is flat. */
  cell(index: number): SubsetReference | null;
  /** The cell held along its lines; null where it shows something else than lines. */
  across(index: number): SubsetReference | null;
}

/** One value a cell, row-major; see GridMeasurement of the analysis for units. */
export interface GridResult {
  readonly dx: Float32Array;
  readonly dy: Float32Array;
  readonly varX: Float32Array;
  readonly varY: Float32Array;
  readonly covXY: Float32Array;
  readonly gainStops: Float32Array;
  /** RMS of what the match leaves over, grey levels. */
  readonly residual: Float32Array;
  /** Loss of sharpness and its variance: BlurChange. Of the background grid alone. */
  readonly blurLoss: Float32Array;
  readonly blurVariance: Float32Array;
  /** 1: found. 2: of a pair, stands still by its pixels. `ACROSS`, `ACROSS_ALONE`: told across its lines alone; of the background grid alone. */
  readonly valid: Uint8Array;
}
