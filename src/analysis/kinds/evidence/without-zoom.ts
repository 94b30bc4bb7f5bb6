import {
  coefficientsOf,
  type Regression,
  startRegression,
  withColumn,
} from "../../../measure/statistics/regression.ts";
import type { FrameNumber } from "../../../units/index.ts";
import type { FrameRow } from "../../series.ts";

/** Growth of the picture over a move, natural log, below which sharpness shows nothing of it. */
const LEAST_ZOOM = 0.001;
/**
 * Share of the contrast of waves of 3 px that can be gained at most for a picture that grows by one part of itself: three
 * times the variance of a texture's own blur, 4 px squared. A blurrier texture shows no waves of 3 px.
 */
const MOST_GAIN = 12;

/** Share of the scatter that a step has to explain before it is believed: about 5 standard errors in 20 rows. */
const STEP_SHARE = 0.6;

/** Slope of y over x by least squares, with the one step that explains most of the rest where it explains much; 0 where there is none. */
function slopeBesideStep(x: Float64Array, y: Float64Array): number {
  const rows = y.length;
  const ones = new Float64Array(rows).fill(1);
  const begun = startRegression(y, 1, ones);
  const level = withColumn(begun, ones);
  const line = level === null ? null : withColumn(level, x);
  if (line === null || rows < 4) return 0;
  let best: Regression = line;
  for (let from = 2; from <= rows - 2; from++) {
    const stepped = withColumn(
      line,
      Float64Array.from(y, (_, i) => (i >= from ? 1 : 0)),
    );
    if (stepped !== null && stepped.scatter[0] < best.scatter[0]) best = stepped;
  }
  const fit = best.scatter[0] < (1 - STEP_SHARE) * line.scatter[0] ? best : line;
  return coefficientsOf(fit, y)?.values[1] ?? 0;
}

/**
 * The rows with what a zoom or dolly did to their sharpness taken out. A picture that grows shows coarser texture at any
 * wavelength, so waves of 3 px gain contrast in proportion to how much it grew, while the lens is as sharp as it was. How
 * much depends on the texture, so it is fitted to the move itself, beside a step of the focus where there plainly is one, and kept to what a zoom can do. A focus that
 * creeps along with the zoom by as little as that can't be told from it.
 * @param moves stretches in which the camera is meant to move; without one nothing is changed, since a camera that holds
 *   grows its picture only by the breathing of the focus itself
 */
export function withoutZoom(
  frames: readonly FrameRow[],
  moves: readonly { readonly from: FrameNumber; readonly to: FrameNumber }[],
): readonly FrameRow[] {
  const isMoved = ({ frame }: FrameRow): boolean => moves.some(({ from, to }) => from <= frame && frame <= to);
  const growth = ({ camera }: FrameRow): number => (camera === null ? 0 : Math.log(camera.scale));
  const told = frames.filter((row) => row.focus !== undefined && row.camera !== null && isMoved(row));
  const grown = told.map(growth);
  if (told.length < 3 || Math.max(...grown) - Math.min(...grown) < LEAST_ZOOM) return frames;
  const slopeOf = (value: (row: FrameRow) => number): number => {
    const rows = told.filter((row) => Number.isFinite(value(row)));
    const slope = slopeBesideStep(Float64Array.from(rows, growth), Float64Array.from(rows, value));
    return Math.min(0, Math.max(-MOST_GAIN, slope));
  };
  const whole = slopeOf(({ focus }) => focus?.loss ?? Number.NaN);
  const count = told[0].focus?.regions.length ?? 0;
  const ofRegions = Array.from({ length: count }, (_, region) =>
    slopeOf(({ focus }) => focus?.regions[region] ?? Number.NaN),
  );
  return frames.map((row) => {
    const { focus } = row;
    if (focus === undefined) return row;
    const grew = growth(row);
    return {
      ...row,
      focus: {
        ...focus,
        loss: focus.loss - whole * grew,
        regions: focus.regions.map((loss, region) => loss - ofRegions[region] * grew),
      },
    };
  });
}
