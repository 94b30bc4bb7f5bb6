// What stays on a part of any size: nothing in the scatter of its tiles shows it, since it pulls all of them alike.

/**
 * Interpolation's own pull by the phase of a pixel, px a frame. On rendered cloth of 200 and 400 px without JPEG, noise
 * 0.5 and 1, what the sigmas lack without a floor is 0.0002 to 0.00035 px.
 */
const INTERPOLATION = 0.00027;
/**
 * What JPEG's rounding pulls by where no noise dithers it, px a frame and for each grey level of its low frequencies'
 * step: 0.001 px on the same parts at quality 92, whose step is 3. Other steps follow from it, since a rounding's error
 * grows as its step; what is left of it under Gaussian noise is exp(-2 pi^2 noise^2 / step^2).
 */
const ROUNDING = 0.001 / 3;
/** Taken where the file's own table is not known: quality 92. */
const USUAL_STEP = 3;
/** Taken where the noise is not known: noise 0.5 as it comes out of a JPEG, grey levels squared. */
const USUAL_NOISE = 0.5;

/**
 * Sigma in each direction of what pulls all tiles of a part alike, px of one frame.
 * @param noise variance of one frame's noise before the prefilter, grey levels squared; null where it is not known
 * @param step that the file's low frequencies were rounded to, grey levels; null: kept without loss
 */
export function phaseFloor(noise: number | null, step: number | null = USUAL_STEP): number {
  if (step === null) return INTERPOLATION;
  const left = Math.exp((-2 * Math.PI ** 2 * (noise ?? USUAL_NOISE)) / step ** 2);
  return Math.hypot(INTERPOLATION, ROUNDING * step * left);
}
