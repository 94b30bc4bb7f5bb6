import type { Seeded } from "../../support/seeded-faults.ts";
import { cleanPatch, insideOf, translationBound } from "../../support/bound.ts";
import type { Scene } from "../../support/scene.ts";
import { centroidOf, layerOf, placeOf } from "../../support/truth.ts";

// Whether a fault can be seen by anybody: its size in standard errors of an estimator that reaches the Cramer-Rao bound
// and knows when and which way the part went. What lies below that is missed by noise, not by a judge.

/**
 * Standard errors from which a perfect judge finds 95 of 100 faults. Two axes, 22 places in a hold of 24 frames and three
 * families at 1 false alarm in 1,000: exp(-t^2 / 2) = 1 / 66,000 gives 4.7, and 1.6 more is the normal law's 95 %. The
 * measuring code has no part in it.
 */
export const FOUND_BY_ANYONE = 4.7 + 1.6;

/**
 * Size of each fault of a part in such standard errors; null where it is none, or no single way. Light's gain and offset
 * are unknown to the estimator too, and a turn of a rigid part; its reference is as noisy as any frame, and JPEG is not
 * counted, so that it flatters. Of a surface it knows each place's share of the way, which flatters more.
 */
export function perfectScores(scene: Scene, frames: number, faults: readonly Seeded[]): (number | null)[] {
  if (!faults.some(({ growth, creep, part }) => (growth ?? creep) !== undefined && part !== null))
    return faults.map(() => null);
  const clean = cleanPatch(scene, 1);
  return faults.map(({ growth, creep, part }) => {
    const way = growth ?? creep;
    if (way === undefined || part === null) return null;
    const outline = layerOf(scene, part).outline.map((point) => placeOf(scene, part, point, 1, "in"));
    const patch = { ...clean, inside: insideOf(outline, 1) };
    const { best, worst, direction } = translationBound(
      creep === undefined ? patch : { ...patch, share: creep.share },
      {
        noisyFrames: 1,
        gainOffset: true,
        ...(creep === undefined ? { turnAbout: centroidOf(outline) } : {}),
      },
    );
    const along = way.direction[0] * direction[0] + way.direction[1] * direction[1];
    const information = (along / best) ** 2 + (1 - along * along) / worst ** 2;
    const path = Array.from({ length: frames }, (_, i) => way.at(i + 1));
    const mean = path.reduce((sum, value) => sum + value, 0) / frames;
    return Math.sqrt(information * path.reduce((sum, value) => sum + (value - mean) ** 2, 0));
  });
}
