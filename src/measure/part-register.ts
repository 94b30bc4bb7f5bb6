import type { ChosenTemplate } from "./choose-prefilter.ts";
import { failed, type PartMotion, WEAK_SIGMA } from "./part-motion.ts";
import { expectedNoise, PartRefiner, type Place } from "./part-refine.ts";
import { searchPart } from "./part-search.ts";
import type { PreparedFrame } from "./prepared.ts";

// A held part found again: from where it was, and where that does not fit from where it is found.

/** A part found somewhere else has to show this share of itself. */
const LEAST_FOUND = 0.4;
/** What is left over may be this many times the noise, or this share of the part's own contrast. */
const MISFIT = 3;
const MISFIT_CONTRAST = 0.35;

/** Whether a motion has numbers, and what it leaves over is noise or little beside the part's own contrast. */
function fits(motion: PartMotion, chosen: ChosenTemplate): boolean {
  const { template, noise } = chosen;
  if (!Number.isFinite(motion.dx)) return false;
  if (noise === null) return true;
  const expected = Math.sqrt(expectedNoise(chosen, template));
  return motion.residual < MISFIT * expected || motion.residual < MISFIT_CONTRAST * template.contrast;
}

/** One registration of a template against a frame. Buffers are kept between calls: one registrar a thread. */
export class PartRegistrar {
  private readonly refiner = new PartRefiner();

  /**
   * Where the part is now against its template. Starts from the seed; where that does not fit, looks for the part up to
   * 40 px away, first on the quarter-size picture, then through the coarsest prefilter.
   * @param seedX, seedY px, what the camera alone did
   */
  register(chosen: ChosenTemplate, frame: PreparedFrame, seedX = 0, seedY = 0): PartMotion {
    const { template, coarse, promised } = chosen;
    const from = (start: Place): PartMotion => this.refiner.refine(chosen, template, frame, start);
    const seed: Place = { dx: seedX, dy: seedY, turn: 0 };
    const near = from(seed);
    if (fits(near, chosen) && near.trusted > 0.6) return near;
    if (promised !== null && promised > WEAK_SIGMA)
      return Number.isFinite(near.dx) ? near : failed("weak", "too little texture", near.trusted);
    let best = near;
    const better = (motion: PartMotion): boolean =>
      fits(motion, chosen) &&
      motion.trusted > LEAST_FOUND &&
      (!fits(best, chosen) || motion.trusted > best.trusted + 0.1);
    const found = searchPart(template, frame, seedX, seedY);
    const starts = found === null ? [seed] : [seed, { dx: found.dx, dy: found.dy, turn: 0 }];
    for (const start of starts) {
      const rough = coarse === null ? null : this.refiner.refine(chosen, coarse, frame, start);
      const motion = from(rough !== null && Number.isFinite(rough.dx) ? rough : start);
      if (better(motion)) best = motion;
      if (fits(best, chosen) && best.trusted > 0.8) break;
    }
    if (fits(best, chosen)) return best;
    if (Number.isFinite(best.dx))
      return failed("lost", "what was found does not fit: the part changed, or is covered", best.trusted);
    return best;
  }
}
