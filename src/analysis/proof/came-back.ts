import { quadratic, whitenedSquare } from "../../measure/statistics/matrix.ts";
import type { PartProof, ProofFrame } from "../../model/index.ts";
import { type FrameNumber, px } from "../../units/index.ts";
import { covarianceAt, displacementAt, type Point, type RigidMotion } from "../kinds/evidence/rigid.ts";
import type { Hold, TrackRow } from "../series.ts";

/** Beside three sigma, what may be missing of what was put in, px of the analysed frame. */
export const TOLERANCE = 0.02;
const SIGMAS = 3;

/** A row as a rigid motion, with the anchor's own error in its covariance; null where it has no number. */
function motionOf(hold: Hold, row: TrackRow | undefined): RigidMotion | null {
  if (row === undefined) return null;
  const [xx, xy, xt, yy, yt, tt] = row.covariance.map((value, k) => value + hold.anchorCovariance[k]);
  const numbers = [row.dx, row.dy, row.turn, xx, xy, xt, yy, yt, tt];
  if (!numbers.every(Number.isFinite)) return null;
  const covariance = Float64Array.of(xx, xy, xt, xy, yy, yt, xt, yt, tt);
  return { dx: row.dx, dy: row.dy, turn: row.turn, covariance, centre: hold.centroid };
}

const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

/**
 * What was measured of a known drift: the hold with it in less the hold without, at one place of the part. Both were
 * measured on the same frames, so the noise of the frames is common to both and most of it falls out: what is left is
 * what measuring itself gets wrong. The sigma told is the whole one of a measurement.
 * @param known displacement of the place by frame, px of the original frame
 * @param tolerance TOLERANCE in px of the original frame
 * @returns `cameBack` null where no frame gave a number
 */
export function whatCameBack(
  injected: Hold,
  plain: Hold,
  at: Point,
  known: ReadonlyMap<FrameNumber, Point>,
  direction: Point,
  tolerance: number,
): { readonly frames: readonly ProofFrame[]; readonly cameBack: PartProof["cameBack"] | null } {
  const frames: ProofFrame[] = [];
  const told: { readonly along: number; readonly error: Point; readonly sigma: number; readonly square: number }[] = [];
  for (const [frame, put] of known) {
    const rowOf = (hold: Hold) => hold.rows.find((row) => row.frame === frame);
    const [now, before] = [motionOf(injected, rowOf(injected)), motionOf(plain, rowOf(plain))];
    const putPx = px(Math.hypot(...put));
    if (now === null || before === null) {
      frames.push({ frame, putPx, measuredPx: null, errorPx: null, sigma: null });
      continue;
    }
    const [a, b] = [displacementAt(now, at), displacementAt(before, at)];
    const moved: Point = [a[0] - b[0], a[1] - b[1]];
    const error: Point = [moved[0] - put[0], moved[1] - put[1]];
    const covariance = covarianceAt(now, at);
    const sigma = Math.sqrt(quadratic(covariance, direction));
    const along = moved[0] * direction[0] + moved[1] * direction[1];
    told.push({ along, error, sigma, square: whitenedSquare(covariance, error) });
    frames.push({ frame, putPx, measuredPx: px(along), errorPx: px(Math.hypot(...error)), sigma: px(sigma) });
  }
  const last = told.at(-1);
  if (last === undefined) return { frames, cameBack: null };
  const errors = told.map(({ error }) => Math.hypot(...error));
  const biases = told.map(({ error }) => error[0] * direction[0] + error[1] * direction[1]);
  const lastError = errors[errors.length - 1];
  const proved =
    lastError <= SIGMAS * last.sigma + tolerance &&
    rms(errors) <= SIGMAS * rms(told.map(({ sigma }) => sigma)) + tolerance;
  return {
    frames,
    cameBack: {
      px: px(last.along),
      sigma: px(last.sigma),
      biasPx: px(biases.reduce((sum, bias) => sum + bias, 0) / biases.length),
      rmsPx: px(rms(errors)),
      z: Math.sqrt(told.reduce((sum, { square }) => sum + square, 0) / (2 * told.length)),
      proved,
    },
  };
}
