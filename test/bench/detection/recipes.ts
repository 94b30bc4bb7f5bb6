import { clean } from "./clean.ts";
import { cleanCloth } from "./clean-cloth.ts";
import { camera, light, region, repeat, soft, stray } from "./frame-wide.ts";
import { joints } from "./joints.ts";
import { fine, parts } from "./parts.ts";
import type { BenchShot, Recipe } from "./recipe.ts";

/** Every sort of shot. The order is in the seeds: a new one goes to the end. */
export const recipes: readonly Recipe[] = [
  clean,
  parts,
  camera,
  light,
  region,
  joints,
  stray,
  soft,
  repeat,
  cleanCloth,
  fine,
];

/** Room for sorts of shots in a seed. */
const SORTS = 16;
/** Room for shots of one sort under one seed of the bench. */
const INDICES = 1000;

/** A shot's seed says which shot it is, so that it can be made again alone. */
export const seedFor = (benchSeed: number, recipe: number, index: number): number =>
  (benchSeed * INDICES + index) * SORTS + recipe;

export function shotFor(seed: number): BenchShot & { readonly recipe: string } {
  const recipe = recipes[seed % SORTS];
  if (recipe === undefined) throw new Error(`--only ${seed}: there is no such shot`);
  return { ...recipe.make(seed, Math.floor(seed / SORTS) % INDICES), recipe: recipe.name };
}
