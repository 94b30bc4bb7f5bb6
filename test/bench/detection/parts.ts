import { CROWD_TEXTURES, crowdLayer, slotsOf } from "../../support/crowd.ts";
import { seedOf } from "../../support/random.ts";
import type { Layer } from "../../support/scene.ts";
import {
  type FaultSizes,
  FINE_SIZES,
  LIMIT_SIZES,
  partFaults,
  type PartFault,
  type Seeded,
  seededPart,
} from "../../support/seeded-faults.ts";
import { shotOf } from "../../support/shot.ts";
import { type BenchShot, lookOf, type Recipe } from "./recipe.ts";

// Parts that have nothing to do with each other; two of three have one fault each, of different kinds, so that many can
// be tried in few shots. No part carries another: each flag has one cause.

const FRAMES = 24;

/** Faults with a size below the limit that there is meant to be an answer to. */
const FINE = ["sag", "knock", "pop", "crawl in a pair", "crawl a frame", "skin-shift"] as const;

interface Crowd {
  /** Faults that take turns. */
  readonly wanted: readonly PartFault[];
  readonly width: number;
  readonly height: number;
  /** Columns and rows of parts; a multiple of three together. */
  readonly grid: readonly [number, number];
  /** Smallest and largest part, px. */
  readonly partSizes: readonly [number, number];
  readonly faultSizes: FaultSizes;
  /** What the recipe and its faults are called by. */
  readonly name: string;
  readonly nameOf: (fault: string) => string;
  /** Faults of each sort. */
  readonly ofEach: number;
  readonly quick: number;
  readonly onRequest: boolean;
}

function crowdRecipe(crowd: Crowd): Recipe {
  const { wanted, width, height, grid, partSizes, faultSizes, name, nameOf, ofEach, quick, onRequest } = crowd;
  const count = grid[0] * grid[1];
  const each = (2 * count) / 3;
  const make = (seed: number, index: number): BenchShot => {
    const slots = slotsOf(seed, grid, [width, height], partSizes);
    const layers: Layer[] = [];
    const faults: Seeded[] = [];
    for (let i = 0; i < count; i++) {
      const room = {
        id: `part-${i + 1}`,
        slot: slots[i],
        // Faults, textures and places go round at paces of their own.
        texture: CROWD_TEXTURES[(i + 3 * index + Math.floor(index / 5)) % CROWD_TEXTURES.length],
        seed: seedOf(seed, i),
        frames: FRAMES,
      };
      if (i % 3 === 2) {
        layers.push(crowdLayer({ ...room, kind: (["limb", "prop", "body"] as const)[(i + index) % 3] }));
        continue;
      }
      const turn = i - Math.floor((i + 1) / 3);
      const seeded = seededPart(wanted[(turn + each * index) % wanted.length], room, faultSizes);
      layers.push(...seeded.layers);
      faults.push({ ...seeded.fault, name: nameOf(seeded.fault.name) });
    }
    const look = lookOf(index);
    const options = { width, height, frames: FRAMES, seed, ...look };
    return {
      name,
      shot: shotOf(options, layers, () => faults),
      faults,
      stillHolds: count - each,
      allowed: [],
      copies: new Map(),
      ...look,
    };
  };
  const shots = Math.ceil((ofEach * wanted.length) / each);
  return { name, faults: wanted.map(nameOf), shots, quick, onRequest, make };
}

/** Twelve parts of 80 px and more, eight with a fault. */
export const parts = crowdRecipe({
  wanted: partFaults,
  width: 640,
  height: 400,
  grid: [4, 3],
  partSizes: [84, 102],
  faultSizes: LIMIT_SIZES,
  name: "parts",
  nameOf: (fault) => fault,
  ofEach: 60,
  quick: 9,
  onRequest: false,
});

/** Six parts of 200 px, four with a fault of the smallest size that there is meant to be an answer to. */
export const fine = crowdRecipe({
  wanted: FINE,
  width: 840,
  height: 560,
  grid: [3, 2],
  partSizes: [196, 204],
  faultSizes: FINE_SIZES,
  name: "fine",
  nameOf: (fault) => `fine ${fault}`,
  ofEach: 30,
  quick: 3,
  onRequest: true,
});
