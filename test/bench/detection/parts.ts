import { CROWD_TEXTURES, crowdLayer, slotsOf } from "../../support/crowd.ts";
import { seedOf } from "../../support/random.ts";
import type { Layer } from "../../support/scene.ts";
import { partFaults, type PartFault, type Seeded, seededPart } from "../../support/seeded-faults.ts";
import { shotOf } from "../../support/shot.ts";
import { type BenchShot, lookOf, type Recipe } from "./recipe.ts";

// Twelve parts of 80 px and more that have nothing to do with each other; eight have one fault each, of different
// kinds, so that many can be tried in few shots. No part carries another: each flag has one cause.

const [WIDTH, HEIGHT] = [640, 400];
const GRID = [4, 3] as const;
const COUNT = GRID[0] * GRID[1];
const SIZES = [84, 102] as const;
const FRAMES = 24;
const FAULTS = 8;

/** @param wanted faults that take turns; all by default */
export function partsRecipe(wanted: readonly PartFault[] = partFaults): Recipe {
  const make = (seed: number, index: number): BenchShot => {
    const slots = slotsOf(seed, GRID, [WIDTH, HEIGHT], SIZES);
    const layers: Layer[] = [];
    const faults: Seeded[] = [];
    for (let i = 0; i < COUNT; i++) {
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
      const seeded = seededPart(wanted[(turn + FAULTS * index) % wanted.length], room);
      layers.push(...seeded.layers);
      faults.push(seeded.fault);
    }
    const look = lookOf(index);
    const options = { width: WIDTH, height: HEIGHT, frames: FRAMES, seed, ...look };
    return {
      name: "parts",
      shot: shotOf(options, layers, () => faults),
      faults,
      stillHolds: COUNT - FAULTS,
      allowed: [],
      copies: new Map(),
      ...look,
    };
  };
  // 60 faults of each sort.
  return { name: "parts", faults: wanted, shots: Math.ceil((60 * wanted.length) / FAULTS), quick: 9, make };
}
