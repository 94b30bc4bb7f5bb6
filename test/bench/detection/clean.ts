import { CROWD_TEXTURES, crowdLayer, crowdSurface, type Slot, slotsOf } from "../../support/crowd.ts";
import { createRandom, type Random, seedOf } from "../../support/random.ts";
import { capsule, type Layer, type Light, type SceneIntent } from "../../support/scene.ts";
import { type Shot, type ShotOptions, shotOf } from "../../support/shot.ts";
import type { Motion, Point } from "../../support/similarity.ts";
import { passingArm, sweepingShadow } from "./confusers.ts";
import { type BenchShot, lookOf, type Recipe } from "./recipe.ts";

// Shots in which nothing is wrong, each with something that could be taken for it.

const [WIDTH, HEIGHT] = [640, 400];
const GRID = [6, 4] as const;
const COUNT = GRID[0] * GRID[1];
const SIZES = [52, 62] as const;
const FRAMES = 16;
const PICTURE = { width: WIDTH, height: HEIGHT, frames: FRAMES };

interface Confused {
  readonly layers: readonly Layer[];
  readonly options?: ShotOptions;
  readonly light?: (frame: number) => Light;
  readonly sheet?: Record<string, unknown>;
  readonly holds?: number;
  readonly allowed?: BenchShot["allowed"];
}

interface Stage {
  readonly seed: number;
  readonly random: Random;
  readonly slots: readonly Slot[];
  /** A still part, or one that differs in what is given. */
  part(index: number, more?: Partial<Parameters<typeof crowdLayer>[0]>): Layer;
}

const allStill = ({ slots, part }: Stage): Layer[] => slots.map((_, i) => part(i));
const whole = (intent: SceneIntent["intent"], frames = FRAMES): SceneIntent[] => [{ from: 1, to: frames, intent }];

/** An animated arm with a sleeve that rides on it, swinging about its upper end. */
function figure(stage: Stage, at: Point, onTwos: boolean): Layer[] {
  const { seed, random } = stage;
  const reach = random.between(70, 90);
  const motion = (frame: number): Motion => {
    const pose = onTwos ? 2 * Math.floor((frame - 1) / 2) : frame - 1;
    return { turn: 0.3 * Math.sin(0.22 * pose), pivot: at };
  };
  const arm: Layer = {
    id: "arm-right",
    outline: capsule(at, [at[0], at[1] + reach], 21, 15),
    ...crowdSurface("skin", seedOf(seed, 0x61), null),
    motion,
    part: { name: "Right arm", kind: "limb", puppet: "Oda", intents: whole("moves") },
  };
  const sleeve: Layer = {
    id: "sleeve-right",
    outline: capsule([at[0], at[1] + 2], [at[0], at[1] + 0.62 * reach], 24, 20),
    ...crowdSurface("woven", seedOf(seed, 0x62), null),
    motion,
    part: { name: "Right sleeve", kind: "costume", puppet: "Oda", carrier: "arm-right", intents: whole("rides") },
  };
  return [arm, sleeve];
}

const withFigure = (stage: Stage): Confused => {
  const layers = allStill(stage).filter((_, i) => i !== 2 && i !== 8);
  const { centre } = stage.slots[2];
  const onTwos = stage.random.next() < 0.5;
  return { layers: [...layers, ...figure(stage, [centre[0], centre[1] - 20], onTwos)], holds: COUNT - 2 };
};

const confusers: Readonly<Record<string, (stage: Stage) => Confused>> = {
  nothing: (stage) => ({ layers: allStill(stage) }),
  flicker: (stage) => ({ layers: allStill(stage), options: { flickerStops: stage.random.between(0.0072, 0.0144) } }),
  "light drift": (stage) => ({
    layers: allStill(stage),
    options: { lightDriftStops: stage.random.between(0.01, 0.03) },
    allowed: ["light"],
  }),
  "sweeping shadow": (stage) => ({
    layers: allStill(stage),
    light: sweepingShadow(stage.random, PICTURE),
    allowed: ["light"],
  }),
  "passing arm": (stage) => ({
    layers: [...allStill(stage), passingArm(stage.seed, stage.random, PICTURE)],
  }),
  breathing: (stage) => ({
    layers: stage.slots.map((_, i) => {
      if (i % 2 === 1) return stage.part(i);
      const size = stage.random.between(0.4, 1.5);
      const pace = (2 * Math.PI) / stage.random.between(6, 10);
      const motion = (frame: number): Motion => ({ dy: size * Math.sin(pace * (frame - 1)) });
      return stage.part(i, { kind: "body", motion, intents: whole("alive") });
    }),
  }),
  swaps: (stage) => ({
    layers: stage.slots.flatMap((slot, i) => {
      if (i % 4 !== 0) return [stage.part(i)];
      const isOther = (frame: number): boolean => frame > 5 && frame <= 10;
      const worn = (from: number, to: number, wears: string): SceneIntent => ({ from, to, intent: "swapped", wears });
      const intents = [worn(1, 5, "smile-1"), worn(6, 10, "smile-2"), worn(11, FRAMES, "smile-1")];
      const first = stage.part(i, { kind: "face", shown: (frame) => !isOther(frame), intents });
      const { part: _, ...other } = crowdLayer({
        id: `${first.id}-other`,
        slot,
        texture: "skin",
        seed: seedOf(stage.seed, i, 0x6f),
        shown: isOther,
      });
      return [first, other];
    }),
    holds: COUNT + 2 * Math.ceil(COUNT / 4),
  }),
  figure: withFigure,
  "camera move": (stage) => {
    const { random } = stage;
    const angle = random.between(0, 2 * Math.PI);
    const far = random.between(4, 10);
    const zoom = random.between(0.995, 1.012);
    const eased = (frame: number): number => 0.5 - 0.5 * Math.cos((Math.PI * (frame - 1)) / (FRAMES - 1));
    return {
      layers: allStill(stage),
      options: {
        camera: (frame) => ({
          dx: far * Math.cos(angle) * eased(frame),
          dy: far * Math.sin(angle) * eased(frame),
          scale: 1 + (zoom - 1) * eased(frame),
        }),
      },
      sheet: { camera: [{ from: 1, to: FRAMES, intent: "moves" }] },
    };
  },
  "new poses": (stage) => ({
    layers: stage.slots.map((_, i) => {
      if (i % 2 === 1) return stage.part(i);
      const angle = stage.random.between(0, 2 * Math.PI);
      const far = stage.random.between(2, 12);
      const share = (frame: number): number => Math.min(1, Math.max(0, (frame - 5) / 4));
      const motion = (frame: number): Motion => ({
        dx: far * Math.cos(angle) * share(frame),
        dy: far * Math.sin(angle) * share(frame),
      });
      const intents: SceneIntent[] = [
        { from: 1, to: 5, intent: "holds" },
        { from: 6, to: 9, intent: "moves" },
        { from: 10, to: FRAMES, intent: "holds" },
      ];
      return stage.part(i, { motion, intents });
    }),
    holds: COUNT + COUNT / 2,
  }),
  "flicker and a moving figure": (stage) => ({
    ...withFigure(stage),
    options: { flickerStops: 0.01, lightDriftStops: 0.015 },
    allowed: ["light"],
  }),
};

/** Without a sheet nobody can know that these are meant. */
const MEANT: ReadonlySet<string> = new Set(["breathing", "swaps", "camera move"]);
const names = Object.keys(confusers);

function cleanShot(seed: number, index: number): BenchShot {
  const random = createRandom(seed, 0x636f);
  const slots = slotsOf(seed, GRID, [WIDTH, HEIGHT], SIZES);
  const stage: Stage = {
    seed,
    random,
    slots,
    part: (i, more = {}) =>
      crowdLayer({
        id: `part-${i + 1}`,
        slot: slots[i],
        texture: CROWD_TEXTURES[(i + index) % CROWD_TEXTURES.length],
        seed: seedOf(seed, i),
        kind: (["limb", "prop", "body"] as const)[i % 3],
        ...more,
      }),
  };
  const name = names[index % names.length];
  const confused = confusers[name](stage);
  // Looks take turns beside confusers.
  const look = lookOf(Math.floor(index / names.length) + index);
  const options = { width: WIDTH, height: HEIGHT, frames: FRAMES, seed, ...look, ...confused.options };
  const shot = shotOf(options, confused.layers, () => [], confused.light);
  return {
    name,
    shot: confused.sheet === undefined ? shot : ({ ...shot, sheet: { ...shot.sheet, ...confused.sheet } } as Shot),
    faults: [],
    stillHolds: confused.holds ?? COUNT,
    allowed: confused.allowed ?? [],
    needsSheet: MEANT.has(name),
    copies: new Map(),
    ...look,
  };
}

export const clean: Recipe = { name: "clean", faults: [], shots: 132, quick: 11, make: cleanShot };
