import { createRandom } from "../../support/random.ts";
import { armSag } from "../../support/shots.ts";
import { type BenchShot, lookOf, type Recipe } from "./recipe.ts";

// Sags of 1 px and more of a figure's held arm, about its shoulder, elbow or wrist, while the other arm is animated.

const FRAMES = 24;
const CHAIN = ["shoulder", "elbow", "wrist"] as const;

function sagOfArm(seed: number, index: number): BenchShot {
  const random = createRandom(seed, 0x6a6f);
  const look = lookOf(index);
  const at = CHAIN[Math.floor(index / 3) % CHAIN.length];
  const total = random.between(1, 2.5);
  const shot = armSag({
    seed,
    width: 480,
    height: 360,
    frames: FRAMES,
    at,
    sagPerFrame: total / (FRAMES - 1),
    ...look,
  });
  const faults = shot.expected.map((one) => ({ ...one, name: `joint ${at}`, texture: null, place: null }));
  return { name: at, shot, faults, stillHolds: 2, allowed: [], copies: new Map(), ...look };
}

export const joints: Recipe = {
  name: "joints",
  faults: CHAIN.map((at) => `joint ${at}`),
  shots: 60,
  quick: 6,
  make: sagOfArm,
};
