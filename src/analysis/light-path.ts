import { fitSmoothField, type SmoothField } from "../measure/smooth-field.ts";
import { median } from "../measure/statistics/robust.ts";
import { cellsOutside } from "./camera.ts";
import { LIGHT_COLUMNS, LIGHT_ROWS, type LightFit } from "./light.ts";
import type { GridMeasurement } from "./measurement.ts";

// The light followed from frame to frame. A lamp changes the smooth field over the whole frame at once; a shadow is local
// and moves, so that from one frame to the next it changes the few cells at its edge and no others. Summed up, the smooth
// change that most cells share is the lamps, whatever lies in shadow by now; against the first frame alone, a shadow over
// half of the picture can't be told from a lamp that dropped.

/** Cells that must be known in both frames. */
const LEAST_CELLS = 12;
/** A cell that is this far from the light followed so far lies in a shadow, or something stands in it: about 3 %, stops. */
const DISTURBED = 0.045;
/** Share of the cells that must be undisturbed to hold the sum of changes to. */
const LEAST_UNDISTURBED = 0.25;

export class LightPath {
  /** Gain of each cell in the frame before, stops; NaN where it was not told. */
  private before: Float32Array | null = null;
  /** Coefficients of the field followed so far: those of a SmoothField, which add. */
  private field: Float64Array | null = null;

  constructor(
    private readonly width: number,
    private readonly height: number,
  ) {}

  /**
   * The light of the next frame against the reference frame.
   * @param excluded cells in which something moves
   * @returns null where too few cells show the set
   */
  take(grid: GridMeasurement, excluded: (x: number, y: number, index: number) => boolean): LightFit | null {
    const { before } = this;
    const cells = cellsOutside(grid, excluded);
    const known = [...cells.index.keys()].filter((k) => Number.isFinite(grid.gainStops[cells.index[k]]));
    const gains = new Float32Array(grid.gainStops.length).fill(Number.NaN);
    for (const k of known) gains[cells.index[k]] = grid.gainStops[cells.index[k]];
    this.before = gains;
    const shared = before === null ? [] : known.filter((k) => Number.isFinite(before[cells.index[k]]));
    const smooth = (chosen: readonly number[], value: (cell: number) => number): SmoothField | null =>
      fitSmoothField(
        chosen.map((k) => cells.x[k]),
        chosen.map((k) => cells.y[k]),
        chosen.map((k) => value(cells.index[k])),
        this.width,
        this.height,
      );
    const step =
      before === null || this.field === null || shared.length < LEAST_CELLS
        ? null
        : smooth(shared, (cell) => gains[cell] - before[cell]);
    if (step === null || this.field === null) {
      this.field = smooth(known, (cell) => gains[cell])?.coefficients ?? null;
      return this.field === null ? null : this.fitOf(this.field);
    }
    const field = this.field.map((value, t) => value + step.coefficients[t]);
    // Small errors of the steps would add up: cells outside all shadows still know the light itself.
    const apart = known.map((k) => gains[cells.index[k]] - this.at(field, cells.x[k], cells.y[k]));
    const undisturbed = apart.filter((value) => Math.abs(value) < DISTURBED);
    if (undisturbed.length >= Math.max(LEAST_CELLS, LEAST_UNDISTURBED * known.length))
      field[0] = field[0] + median(undisturbed);
    this.field = field;
    return this.fitOf(field);
  }

  private at(field: Float64Array, x: number, y: number): number {
    const p = (2 * x) / this.width - 1;
    const q = (2 * y) / this.height - 1;
    return field[0] + field[1] * p + field[2] * q + field[3] * p * p + field[4] * p * q + field[5] * q * q;
  }

  private fitOf(field: Float64Array): LightFit {
    const nodes: number[] = [];
    for (let r = 0; r < LIGHT_ROWS; r++)
      for (let c = 0; c < LIGHT_COLUMNS; c++)
        nodes.push(this.at(field, ((c + 0.5) * this.width) / LIGHT_COLUMNS, ((r + 0.5) * this.height) / LIGHT_ROWS));
    const mean = nodes.reduce((sum, value) => sum + value, 0) / nodes.length;
    return { stops: mean, shape: nodes.map((value) => value - mean) };
  }
}
