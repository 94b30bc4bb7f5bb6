import { isTextured, type PartCell } from "./part-cells.ts";
import type { CameraCell, DisturbedCell } from "./whole-checks.ts";

// What the measurement has to reach. Fixed before any run.

export const FACTOR_OF_BOUND = 2.5;
export const FLOOR_PX = 0.0015;
export const SMALL_PART_PX = 0.03;
export const CAMERA_PX = 0.002;
/** Size that the camera's figure is aimed at, as all cost is; the bound of smaller pictures may lie above it. */
export const CAMERA_WIDTH = 1920;
export const WITHIN_SHARE = 0.95;
export const BIAS_PX = 0.005;
export const Z_LOW = 0.9;
export const Z_HIGH = 1.1;
export const Z_BOUND_PX = 0.05;
export const NOT_MEASURED_SHARE = 0.02;
/** Noise up to which the reach counts, steps of 8 bit. */
export const MOST_NOISE = 2;

export interface Line {
  readonly what: string;
  readonly cell: string;
  readonly value: number;
  /** What it may be at most, or has to be at least. */
  readonly limit: number;
  readonly reached: boolean;
  /** Why nobody could reach it; null where it can be reached. */
  readonly impossible: string | null;
}

export const nameOf = ({ size, texture, noise, jpeg }: PartCell): string =>
  `${size} px ${texture}, noise ${noise}${jpeg ? ", JPEG 92" : ""}`;

export const cameraName = ({ width, height, noise, jpeg }: CameraCell): string =>
  `${width} x ${height}, noise ${noise}${jpeg ? ", JPEG 92" : ""}`;

const atMost = (what: string, cell: string, value: number, limit: number): Line => ({
  what,
  cell,
  value,
  limit,
  reached: value <= limit,
  impossible: null,
});

/** Every cell that a reach line speaks of, with what it came to. */
export function reachLines(
  parts: readonly PartCell[],
  disturbed: readonly DisturbedCell[],
  cameras: readonly CameraCell[],
): Line[] {
  const lines: Line[] = [];
  for (const cell of parts) {
    const { figures, bound, size, noise, texture } = cell;
    const name = nameOf(cell);
    const counts = cell.jpeg && noise <= MOST_NOISE && isTextured(texture);
    if (counts && size === 200)
      lines.push(
        atMost("200 px: RMSE at most 2.5 x bound + 0.0015 px", name, figures.rmse, FACTOR_OF_BOUND * bound + FLOOR_PX),
      );
    if (counts && size === 80) {
      const line = atMost("80 px: RMSE at most 0.03 px", name, figures.rmse, SMALL_PART_PX);
      const least = cell.jpegBound ?? bound;
      const beyond = !line.reached && least > SMALL_PART_PX;
      lines.push({
        ...line,
        impossible: beyond ? `can't be reached by anybody: bound ${least.toFixed(3)} px, JPEG's rounding in it` : null,
      });
    }
    // Two standard errors of the amplitude are no evidence that it is there.
    if (counts && size === 200)
      lines.push(
        atMost("200 px: bias over phase at most 0.005 px", name, figures.bias - 2 * figures.biasSigma, BIAS_PX),
      );
    if (bound < Z_BOUND_PX) {
      const { z, zLow, zHigh } = figures;
      const reached = zLow <= Z_HIGH && zHigh >= Z_LOW;
      const limit = z > Z_HIGH ? Z_HIGH : Z_LOW;
      lines.push({
        what: "z's 95 % interval overlaps 0.9 to 1.1",
        cell: name,
        value: z,
        limit,
        reached,
        impossible: null,
      });
    }
    if (isTextured(texture) && noise <= MOST_NOISE)
      lines.push(atMost("not measured: at most 2 % of frames", name, figures.notMeasured, NOT_MEASURED_SHARE));
  }
  for (const { disturbance, size, texture, figures, worstBound, within, possible, hidden } of disturbed) {
    if (!isTextured(texture)) continue;
    const cell = `${size} px ${texture}, ${disturbance}`;
    const limit = WITHIN_SHARE;
    const reached = within >= limit;
    lines.push(
      {
        what: "disturbed: 95 % of visible frames within 0.1 px",
        cell,
        value: within,
        limit,
        reached,
        impossible:
          reached || possible >= limit
            ? null
            : `can't be reached by anybody: bound ${worstBound.toFixed(3)} px, ${(100 * possible).toFixed(0)} % at best`,
      },
      atMost("disturbed: not measured: at most 2 % of visible frames", cell, figures.notMeasured, NOT_MEASURED_SHARE),
    );
    if (hidden.frames > 0)
      lines.push(atMost("disturbed: no hidden frame told wrongly", cell, hidden.wrong / hidden.frames, 0));
  }
  for (const cell of cameras) {
    const { noise, jpeg, figures, width } = cell;
    if (!jpeg || noise < 1 || noise > MOST_NOISE || width !== CAMERA_WIDTH) continue;
    lines.push(atMost("camera: RMSE at most 0.002 px", cameraName(cell), figures.rmse, CAMERA_PX));
  }
  return lines;
}
