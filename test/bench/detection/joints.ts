import { createRandom, type Random } from "../../support/random.ts";
import type { Layer, Scene } from "../../support/scene.ts";
import { type SheetFile, sheetOf } from "../../support/sheet.ts";
import { armSag } from "../../support/shots.ts";
import { type BenchShot, lookOf, type Recipe } from "./recipe.ts";

// Sags of 1 px and more of a figure's held arm, about its shoulder, elbow or wrist, while the other arm is animated. The
// figure is so large that its hand, the smallest part, is a limb of 94 px. Joints lie in the sheet as a person places them.

const FRAMES = 24;
const CHAIN = ["shoulder", "elbow", "wrist"] as const;
/** Sigma along each axis of where a person marks a joint, px: 95 of 100 within 5 px. */
const PLACED = 2;

/** The sheet of the scene as somebody would make it who marks joints by eye. */
function sheetByHand(scene: Scene, random: Random): SheetFile {
  const layers = scene.layers.map((layer): Layer => {
    const joints = layer.part?.joints?.map(({ at: [x, y], ...joint }) => ({
      ...joint,
      at: [x + PLACED * random.normal(), y + PLACED * random.normal()] as const,
    }));
    return layer.part === undefined || joints === undefined ? layer : { ...layer, part: { ...layer.part, joints } };
  });
  return sheetOf({ ...scene, layers }, FRAMES);
}

function sagOfArm(seed: number, index: number): BenchShot {
  const random = createRandom(seed, 0x6a6f);
  const look = lookOf(index);
  // JPEG takes turns by threes as well: every joint with and without it.
  const at = CHAIN[(Math.floor(index / 3) + Math.floor(index / 9)) % CHAIN.length];
  const total = random.between(1, 2.5);
  const made = armSag({
    seed,
    width: 960,
    height: 720,
    frames: FRAMES,
    at,
    sagPerFrame: total / (FRAMES - 1),
    ...look,
  });
  const shot = { ...made, sheet: sheetByHand(made.scene, random) };
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
