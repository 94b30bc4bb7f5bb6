import type { FlagKind } from "../../../src/model/index.ts";
import type { Random } from "../../support/random.ts";
import type { Seeded } from "../../support/seeded-faults.ts";
import type { TextureName } from "../../support/texture.ts";
import type { Shot } from "../../support/shot.ts";

/** A shot of the bench with all that was put into it. */
export interface BenchShot {
  /** What disturbs it without being a fault, or what the fault is. */
  readonly name: string;
  readonly shot: Shot;
  readonly faults: readonly Seeded[];
  /** Holds in which nothing happens. */
  readonly stillHolds: number;
  /** Kinds that are neither asked for nor wrong: a shadow that sweeps over the set is a change of light. */
  readonly allowed: readonly FlagKind[];
  /** Without what the sheet says of it, it would be a fault. */
  readonly needsSheet?: boolean;
  /** Frames that are the very exposure of another one: frame, and which. */
  readonly copies: ReadonlyMap<number, number>;
  readonly noise: number;
  readonly jpeg: number | null;
}

/** One sort of shot. Everything in a shot comes from its seed; `index` counts the shots of the sort, to take turns. */
export interface Recipe {
  readonly name: string;
  /** Names of the faults that it can hold; none: clean. */
  readonly faults: readonly string[];
  /** True where it has to be asked for by `--kinds`: its figures are no part of a full run. */
  readonly onRequest?: boolean;
  /** Shots for a full run and for a quick one. */
  readonly shots: number;
  readonly quick: number;
  make(seed: number, index: number): BenchShot;
}

/**
 * The set behind the parts. As contrasty as the parts are: these pictures have a tenth of a full frame's pixels to tell
 * the camera by.
 */
const SETS = ["speckle", "woven"] as const;

const NOISES = [0.5, 1, 2] as const;

/** Noise and JPEG take turns, so that every pair comes up as often. */
export function lookOf(index: number): {
  readonly noise: number;
  readonly jpeg: number | null;
  readonly background: TextureName;
} {
  return {
    background: SETS[index % SETS.length],
    noise: NOISES[index % NOISES.length],
    jpeg: Math.floor(index / NOISES.length) % 3 === 2 ? null : 92,
  };
}

/** Frame of an event with at least six frames on either side. */
export const eventFrame = (random: Random, frames: number): number => 7 + random.integer(frames - 12);
