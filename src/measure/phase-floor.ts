// What stays on a part of any size: nothing in the scatter of its tiles shows it, since it pulls all of them alike.

/**
 * Interpolation's own pull by the phase of a pixel, px a frame. On rendered cloth of 200 and 400 px without JPEG, noise
 * 0.5 and 1, what the sigmas lack without a floor is 0.0002 to 0.00035 px.
 */
const INTERPOLATION = 0.00027;
/** What JPEG's rounding pulls by where no noise dithers it, px a frame: from the same parts with JPEG. */
const ROUNDING = 0.001;
/**
 * Step of a coefficient, grey levels: the low frequencies at quality 92. The files' own tables are not asked. What is
 * left of a rounding's error under Gaussian noise is exp(-2 pi^2 noise^2 / step^2) of it.
 */
const STEP = 3;
/** Taken where the noise is not known: noise 0.5 as it comes out of a JPEG, grey levels squared. */
const USUAL_NOISE = 0.5;

/**
 * Sigma in each direction of what pulls all tiles of a part alike, px of one frame.
 * @param noise variance of one frame's noise before the prefilter, grey levels squared; null where it is not known
 * @param lossless the frame was never rounded by a lossy compression, as far as its file says
 */
export function phaseFloor(noise: number | null, lossless: boolean): number {
  if (lossless) return INTERPOLATION;
  return Math.hypot(INTERPOLATION, ROUNDING * Math.exp((-2 * Math.PI ** 2 * (noise ?? USUAL_NOISE)) / STEP ** 2));
}
