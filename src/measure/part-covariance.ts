import { correlationAlong } from "./part-correlation.ts";
import { directionOf, inverseOf, type Information, sandwichOf, type Symmetric3 } from "./part-information.ts";
import type { PartTemplate } from "./part-template.ts";

// How well a part's motion is told: what its pixels leave over, what the prefilter's correlation adds, and how far the
// tiles' scores scatter more than their pixels say (JPEG, shading, cloth that works).

/**
 * What Huber's and Tukey's weights leave of the scatter of the tiles' scores, over the white figure, where all is as it
 * should be: the mean over rendered parts of six textures, noise 0.5 to 4 (0.45 to 0.56, whatever the texture).
 */
const CALM_SCATTER = 0.5;
/** How many degrees of freedom the white figure is worth, before the tiles say otherwise. */
const WHITE_WORTH = 20;

/** One tile's sums at the answer. */
export interface TileScores {
  /** Normal equations, six numbers a tile, and score, three a tile. */
  readonly h: Float64Array;
  readonly g: Float64Array;
  /** Weight of each tile. */
  readonly trust: Float64Array;
}

/** Correlated noise can't make a motion much surer than white noise does. */
const LEAST_CORRELATION = 0.5;

/**
 * Variance of the score over its energy along each principal direction, grey levels squared.
 * @param variance of the residuals, grey levels squared
 */
export function scoreVariance(
  template: PartTemplate,
  { h, g, trust }: TileScores,
  information: Information,
  variance: number,
): [number, number, number] {
  const factor = (i: number): number =>
    Math.max(LEAST_CORRELATION, correlationAlong(template.correlation, template.sigma, directionOf(information, i)));
  const white: [number, number, number] = [variance * factor(0), variance * factor(1), variance * factor(2)];
  const [inverse, noise] = [inverseOf(information), inverseOf(information, white)];
  const traced = (inverse: Symmetric3, a: ArrayLike<number>, at: number): number =>
    inverse[0] * a[at] +
    inverse[3] * a[at + 3] +
    inverse[5] * a[at + 5] +
    2 * (inverse[1] * a[at + 1] + inverse[2] * a[at + 2] + inverse[4] * a[at + 4]);
  let clusters = 0;
  let meat = 0;
  let expected = 0;
  const outer = new Float64Array(6);
  for (let k = 0; k < template.tiles; k++) {
    const w = trust[k];
    if (w <= 0.1) continue;
    clusters++;
    const [x, y, r] = [g[3 * k], g[3 * k + 1], g[3 * k + 2]];
    outer.set([x * x, x * y, x * r, y * y, y * r, r * r]);
    meat += w * w * traced(inverse, outer, 0);
    expected += w * w * traced(noise, h, 6 * k);
  }
  if (!(expected > 0) || clusters < 3) return white;
  // Three unknowns are fitted; two scores a tile say something of its scatter.
  const ratio = (clusters / (clusters - 1.5)) * (meat / expected / CALM_SCATTER);
  const degrees = 2 * (clusters - 1.5);
  // Between what the pixels and what the tiles say, by what each is worth: a maximum of the two would push up.
  const times = (WHITE_WORTH + degrees * ratio) / (WHITE_WORTH + degrees);
  return [white[0] * times, white[1] * times, white[2] * times];
}

/**
 * Covariance of (dx, dy, turn): px, px, radians.
 * @param score its variance along each principal direction, from scoreVariance
 * @param floor what pulls all tiles alike in x and in y, px
 * @param unsettled last step of a search that did not come to rest, px
 */
export function partCovariance(
  template: PartTemplate,
  information: Information,
  score: readonly number[],
  floor: readonly [number, number],
  unsettled: number,
): [number, number, number, number, number, number] {
  const { radius } = template;
  const c = sandwichOf(information, score);
  const [x, y] = floor.map((own) => own * own + unsettled * unsettled);
  return [c[0] + x, c[1], c[2] / radius, c[3] + y, c[4] / radius, (c[5] + (x + y) / 2) / (radius * radius)];
}
