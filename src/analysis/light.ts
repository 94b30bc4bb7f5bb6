import { fitSmoothField } from "../measure/smooth-field.ts";
import { cellsOutside } from "./camera.ts";
import type { GridMeasurement } from "./measurement.ts";

/** Lattice on which the shape of the light is told. */
export const LIGHT_COLUMNS = 4;
export const LIGHT_ROWS = 3;

export interface LightFit {
  /** Mean of the smooth log-gain field, stops against the reference frame. */
  readonly stops: number;
  /** The field minus its mean at the middles of a 4 x 3 lattice, row-major, stops. */
  readonly shape: readonly number[];
}

/** @returns null where too few cells show the set */
export function fitLight(
  grid: GridMeasurement,
  excluded: (x: number, y: number, index: number) => boolean,
  width: number,
  height: number,
): LightFit | null {
  const cells = cellsOutside(grid, excluded);
  const x: number[] = [];
  const y: number[] = [];
  const stops: number[] = [];
  for (let k = 0; k < cells.index.length; k++) {
    const value = grid.gainStops[cells.index[k]];
    if (!Number.isFinite(value)) continue;
    x.push(cells.x[k]);
    y.push(cells.y[k]);
    stops.push(value);
  }
  const field = fitSmoothField(x, y, stops, width, height);
  if (field === null) return null;
  const shape: number[] = [];
  let sum = 0;
  for (let r = 0; r < LIGHT_ROWS; r++)
    for (let c = 0; c < LIGHT_COLUMNS; c++) {
      const value = field.at(((c + 0.5) * width) / LIGHT_COLUMNS, ((r + 0.5) * height) / LIGHT_ROWS);
      shape.push(value);
      sum += value;
    }
  const mean = sum / shape.length;
  return { stops: mean, shape: shape.map((value) => value - mean) };
}
