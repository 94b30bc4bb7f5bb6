// What stays on a part of any size: nothing in the scatter of its tiles shows it, since it pulls all of them alike.

/**
 * Share of the pull's amplitude that goes into each frame's sigma. A sine's root mean square is 0.7 of it, half of which
 * in squares is the anchor's: 0.5 for a part that goes through all phases, 0 for one that stays. Half of the bench's holds
 * stay: 0.35 by that, and 0.4 to 0.45 is what sigmas lack on stripes, woven and herringbone of 400 px at noise 0.5.
 */
const SHARE = 0.4;
/** Finer than this no texture comes through the prefilter, cycles a px. */
const FINEST = 0.25;
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
 * How far interpolation pulls by the phase of a pixel, px a frame. A cubic B-spline shows a wave of f cycles a px with
 * images of f - 1 and f + 1, (f / (1 - f))^4 and (f / (1 + f))^4 as high (Unser 1999: its response is sinc^4), which turn
 * the wave's phase to and fro by their difference as it goes from pixel to pixel.
 * @param pixelOn how alike the gradient is one pixel farther: cos(2 pi f) for one wave
 */
export function interpolationPull(pixelOn: number): number {
  const f = Math.min(FINEST, Math.acos(Math.max(-1, Math.min(1, pixelOn))) / (2 * Math.PI));
  return f > 0 ? (SHARE * ((f / (1 - f)) ** 4 - (f / (1 + f)) ** 4)) / (2 * Math.PI * f) : 0;
}

/**
 * Sigma in one direction of what pulls all tiles of a part alike, px of one frame.
 * @param pixelOn how alike the texture's gradient that way is one pixel farther
 * @param noise variance of one frame's noise before the prefilter, grey levels squared; null where it is not known
 * @param step that the file's low frequencies were rounded to, grey levels; null: kept without loss
 */
export function phaseFloor(pixelOn: number, noise: number | null, step: number | null = USUAL_STEP): number {
  const pull = interpolationPull(pixelOn);
  if (step === null) return pull;
  const left = Math.exp((-2 * Math.PI ** 2 * (noise ?? USUAL_NOISE)) / step ** 2);
  return Math.hypot(pull, ROUNDING * step * left);
}
