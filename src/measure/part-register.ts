import type { ChosenTemplate } from "./choose-prefilter.ts";
import { failed, type PartMotion, UNEVEN, WEAK_SIGMA } from "./part-motion.ts";
import { expectedNoise, PartRefiner, type Place } from "./part-refine.ts";
import { NEAREST_RIVAL, type Rival } from "./part-rivals.ts";
import { searchNear, searchPart } from "./part-search.ts";
import type { PreparedFrame } from "./prepared.ts";

// A held part found again: from where it was, and where that does not fit from where it is found; and whether it could be
// a thread's period elsewhere just as well.

/** A part found somewhere else has to show this share of itself. */
const LEAST_FOUND = 0.4;
/** What is left over may be this many times the noise, or this share of the part's own contrast; less of a pattern that repeats. */
const MISFIT = 3;
const MISFIT_CONTRAST = 0.35;
const MISFIT_REPEATED = 0.15;
/** Twice the log of the likelihood ratio from which on one place is decided: three sigmas. */
const DECIDED = 9;
/** And without looking there, by what the template alone says of that place. */
const SURE = 36;
/** How much too small a rival's correlation may be: it is told to half a pixel of a smaller picture. */
const UNSURE = 0.25;
/** Independent residuals a tile. */
const A_TILE = 4;
/** Share of a rival's distance from which on a displacement could be one the other way. */
const COULD_BE = 0.25;
/** A part that shows less of itself than this where it was found may be elsewhere. */
const WHOLE = 0.85;
/** Where less of a part's area than this could be used, and it is told weakly, that is said. */
const LITTLE_AREA = 0.5;
/**
 * Sigma, px, that uneven light adds for each unit of unevenness: parts of 52 to 62 px under rendered shadows with edges of
 * 40 to 80 px, of which stripes were off by 0.02 px where brightness differed by a fifth.
 */
const MODEL_SHARE = 0.05;
/**
 * How uneven the light is at least taken to be where the part is found only with it, share in grey levels: a shadow that
 * takes a third of the light away leaves about 0.65 ^ (1 / 2) = 0.8 of them. Argued, not measured; where the gain that was
 * fitted differs by more, that counts.
 */
const LOST_IN_LIGHT = 0.2;
/** Why a part can't be told there. */
const SHADED = "the edge of a shadow or a light lies over it";

const fitsNoise = (motion: PartMotion, chosen: ChosenTemplate): boolean =>
  motion.residual < MISFIT * Math.sqrt(expectedNoise(chosen, chosen.template));

/** Whether a motion has numbers, and what it leaves over is noise or no more than this share of the part's own contrast. */
function fits(motion: PartMotion, chosen: ChosenTemplate, share = MISFIT_CONTRAST): boolean {
  if (!Number.isFinite(motion.dx)) return false;
  return chosen.noise === null || fitsNoise(motion, chosen) || motion.residual < share * chosen.template.contrast;
}

/** The same where there is no need to look elsewhere: a pattern that repeats half fits in many places. */
const fitsWell = (motion: PartMotion, chosen: ChosenTemplate): boolean =>
  fits(motion, chosen, MISFIT_REPEATED) || (fits(motion, chosen) && chosen.rivals().length === 0);

/** Twice the log of the likelihood ratio of two places by what they leave over, grey levels. */
const evidence = (tiles: number, here: number, there: number): number => A_TILE * tiles * 2 * Math.log(there / here);

/** One registration of a template against a frame. Buffers are kept between calls: one registrar a thread. */
export class PartRegistrar {
  private readonly refiner = new PartRefiner();

  /**
   * Where the part is now against its template. Starts from the seed; where that does not fit, looks for the part up to
   * 40 px away, first on the smaller pictures, then through the coarsest prefilter.
   * @param seedX, seedY px, what the camera alone did
   * @param zoom of the camera since the template
   */
  register(chosen: ChosenTemplate, frame: PreparedFrame, seedX = 0, seedY = 0, zoom = 1): PartMotion {
    this.refiner.zoom = zoom;
    const seed: Place = { dx: seedX, dy: seedY, turn: 0 };
    const motion = this.inUnevenLight(
      chosen,
      frame,
      seed,
      this.decided(chosen, frame, seed, this.found(chosen, frame, seed)),
    );
    const used = 1 - chosen.template.lost;
    if (motion.state !== "weak" || used > LITTLE_AREA) return motion;
    const area = `only ${Math.round(100 * used)} % of the part's area could be used, the rest is too near to its outline`;
    return { ...motion, reason: `${motion.reason}; ${area}` };
  }

  /**
   * The motion with a smooth gain over the part, where the light on it changed unevenly: a shadow's edge lies on it. A
   * part that was not found may have been lost for that alone, so it is looked for once more where the seed says.
   */
  private inUnevenLight(chosen: ChosenTemplate, frame: PreparedFrame, seed: Place, motion: PartMotion): PartMotion {
    const { template, promised } = chosen;
    const isFound = Number.isFinite(motion.dx);
    if (isFound ? !(motion.uneven > UNEVEN) : motion.state !== "lost" || (promised ?? 0) > WEAK_SIGMA) return motion;
    // Once more from there, for which tiles show the part.
    const start = isFound ? motion : seed;
    const plain = this.refiner.refine(chosen, template, frame, start);
    const light = this.refiner.lightOf(template);
    const even = this.refiner.refine(
      chosen,
      template,
      frame,
      isFound && Number.isFinite(plain.dx) ? plain : start,
      light,
    );
    if (!isFound && !(fitsWell(even, chosen) && even.trusted > WHOLE)) return motion;
    if (!Number.isFinite(even.dx)) return failed("hidden", SHADED, even.trusted);
    const uneven = isFound ? motion.uneven : Math.max(LOST_IN_LIGHT, light.spread);
    const reason = even.state === "weak" ? `${SHADED}: ${even.reason}` : even.reason;
    // What the smooth gain can't follow of the light.
    const model = (MODEL_SHARE * Math.min(1, uneven)) ** 2;
    const [xx, xy, xt, yy, yt, tt] = even.covariance;
    const covariance = [xx + model, xy, xt, yy + model, yt, tt + model / template.radius ** 2] as const;
    return { ...even, covariance, uneven, reason, ...(motion.rival === undefined ? {} : { rival: motion.rival }) };
  }

  private found(chosen: ChosenTemplate, frame: PreparedFrame, seed: Place): PartMotion {
    const { template, coarse, promised } = chosen;
    const from = (start: Place): PartMotion => this.refiner.refine(chosen, template, frame, start);
    const near = from(seed);
    if (fitsWell(near, chosen) && near.trusted > 0.6) return near;
    if (promised !== null && promised > WEAK_SIGMA)
      return Number.isFinite(near.dx) ? near : failed("weak", "too little texture", near.trusted);
    let best = near;
    const better = (motion: PartMotion): boolean =>
      fits(motion, chosen) &&
      motion.trusted > LEAST_FOUND &&
      (!fits(best, chosen) ||
        motion.trusted > best.trusted + 0.1 ||
        (fitsWell(motion, chosen) && !fitsWell(best, chosen)));
    const good = (): boolean => fitsWell(best, chosen) && best.trusted > 0.8;
    const look = (start: Place): void => {
      const rough = coarse === null ? null : this.refiner.refine(chosen, coarse, frame, start);
      const motion = from(rough !== null && Number.isFinite(rough.dx) ? rough : start);
      if (better(motion)) best = motion;
    };
    look(seed);
    if (good()) return best;
    const far = searchPart(template, frame, seed.dx, seed.dy);
    if (far !== null) look({ dx: far.dx, dy: far.dy, turn: 0 });
    if (!fitsWell(best, chosen))
      for (const { dx, dy } of searchNear(template, frame, seed.dx, seed.dy)) {
        const motion = from({ dx, dy, turn: 0 });
        if (better(motion)) best = motion;
        if (good()) break;
      }
    if (fits(best, chosen)) return best;
    if (Number.isFinite(best.dx))
      return failed("lost", "what was found does not fit: the part changed, or is covered", best.trusted);
    return best;
  }

  /**
   * The motion, unless another place of a pattern that repeats explains the frame as well. Where the two can't be told
   * apart a displacement of less than a quarter of the period stands, since it is far more likely than one of three
   * quarters the other way; a larger one is handed on with its rival, for those who know the frames before.
   */
  private decided(chosen: ChosenTemplate, frame: PreparedFrame, seed: Place, found: PartMotion): PartMotion {
    if (!Number.isFinite(found.dx)) return found;
    const { template } = chosen;
    const { contrast, tiles } = template;
    let best = found;
    let open: Rival | null = null;
    // A step so short is none of a whole period the other way, whatever the period.
    const isShort = Math.hypot(found.dx - seed.dx, found.dy - seed.dy) < COULD_BE * NEAREST_RIVAL;
    if (isShort && found.trusted > WHOLE && fitsNoise(found, chosen)) return found;
    for (const rival of chosen.rivals()) {
      // What the template leaves over against itself there.
      const unlike = Math.max(0, 1 - UNSURE - rival.correlation) * contrast * contrast;
      const there = Math.sqrt(best.residual ** 2 + unlike);
      if (evidence(tiles, best.residual, there) > SURE) continue;
      const distance = Math.hypot(rival.dx, rival.dy);
      const along = ((best.dx - seed.dx) * rival.dx + (best.dy - seed.dy) * rival.dy) / distance;
      const isWhole = best.trusted > WHOLE && fitsNoise(best, chosen);
      if (Math.abs(along) < COULD_BE * distance && isWhole) continue;
      const here = best;
      for (const sign of [1, -1]) {
        const start = { dx: here.dx + sign * rival.dx, dy: here.dy + sign * rival.dy, turn: here.turn };
        const other = this.refiner.refine(chosen, template, frame, start);
        const away = Math.hypot(other.dx - here.dx, other.dy - here.dy);
        if (!(away > distance / 2) || other.trusted < here.trusted - 0.1) continue;
        const gain = evidence(tiles, other.residual, best.residual);
        // Of two places that explain what they show, the one that shows more of the part: its outline tells.
        const showsMore = fitsNoise(other, chosen) && other.trusted > best.trusted + 0.1;
        if (gain > DECIDED || (gain > -DECIDED && showsMore)) {
          best = other;
          open = null;
        } else if (gain > -DECIDED && other.trusted > best.trusted - 0.1) open ??= rival;
      }
    }
    if (open === null) return best;
    if (!fitsNoise(best, chosen)) return failed("ambiguous", ambiguity(open), best.trusted);
    return { ...best, rival: [open.dx, open.dy] };
  }
}

/** Why a place can't be told, with the pattern's period and its direction. */
export function ambiguity({ dx, dy }: { readonly dx: number; readonly dy: number }): string {
  const angle = Math.abs((Math.atan2(dy, dx) * 180) / Math.PI);
  const slope = Math.min(angle, 180 - angle);
  const direction =
    slope < 22.5
      ? "left or right"
      : slope > 67.5
        ? "up or down"
        : dx * dy > 0
          ? "along the falling diagonal"
          : "along the rising diagonal";
  return `its pattern repeats every ${Math.hypot(dx, dy).toFixed(1)} px ${direction}, and it fits as well one repeat further`;
}
