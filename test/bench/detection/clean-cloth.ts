import { CROWD_TEXTURES, crowdLayer, type Slot, slotsOf } from "../../support/crowd.ts";
import { createRandom, type Random, seedOf } from "../../support/random.ts";
import type { Layer, Light, SceneIntent } from "../../support/scene.ts";
import type { Seeded } from "../../support/seeded-faults.ts";
import { type ShotOptions, shotOf } from "../../support/shot.ts";
import type { Motion } from "../../support/similarity.ts";
import { passingArm, sweepingShadow } from "./confusers.ts";
import { type BenchShot, lookOf, type Recipe } from "./recipe.ts";

// Cloth, hair and skin that lie still on what they ride on, each shot with something that could be taken for a slip. A
// carrier that sags is told as the carrier's sag and leaves its cloth quiet.

const [WIDTH, HEIGHT] = [640, 400];
const GRID = [4, 3] as const;
const SIZES = [100, 112] as const;
/** Size of cloth on its carrier. */
const ON = 0.76;
const FRAMES = 18;
const PICTURE = { width: WIDTH, height: HEIGHT, frames: FRAMES };
const ALONE = ["skin", "hair", "head", "costume"] as const;

interface Stage {
  readonly seed: number;
  readonly index: number;
  readonly random: Random;
  readonly slots: readonly Slot[];
}

interface Rides {
  readonly motion?: (frame: number) => Motion;
  readonly intents?: readonly SceneIntent[];
}

interface Confused {
  readonly layers: readonly Layer[];
  readonly options?: ShotOptions;
  readonly light?: (frame: number) => Light;
  readonly faults?: readonly Seeded[];
  readonly allowed?: BenchShot["allowed"];
}

/** In every third place a surface alone, in the others cloth on a body. */
const hasCarrier = (i: number): boolean => i % 3 !== 2;

function dressed({ seed, index, slots }: Stage, i: number, { motion, intents }: Rides = {}): Layer[] {
  const texture = CROWD_TEXTURES[(i + index) % CROWD_TEXTURES.length];
  const moves = motion === undefined ? {} : { motion };
  const under = { ...moves, ...(intents === undefined ? {} : { intents }) };
  const [slot, id] = [slots[i], `part-${i + 1}`];
  if (!hasCarrier(i)) {
    const kind = ALONE[(Math.floor(i / 3) + index) % ALONE.length];
    return [
      crowdLayer({ id, slot: { ...slot, size: 0.84 * slot.size }, texture, seed: seedOf(seed, i), kind, ...under }),
    ];
  }
  const body = crowdLayer({ id, slot, texture: "skin", seed: seedOf(seed, i, 1), kind: "body", ...under });
  const worn = crowdLayer({
    id: `${id}-worn`,
    slot: { ...slot, size: ON * slot.size },
    texture,
    seed: seedOf(seed, i, 2),
    kind: i % 6 === 4 ? "hair" : "costume",
    carrier: id,
    intents: [{ from: 1, to: FRAMES, intent: "rides" }],
    ...moves,
  });
  return [body, worn];
}

const all = (stage: Stage, rides: (i: number) => Rides = () => ({})): Layer[] =>
  stage.slots.flatMap((_, i) => dressed(stage, i, rides(i)));

const whole = (intent: SceneIntent["intent"]): SceneIntent[] => [{ from: 1, to: FRAMES, intent }];

const confusers: Readonly<Record<string, (stage: Stage) => Confused>> = {
  "cloth, nothing": (stage) => ({ layers: all(stage) }),
  "cloth, flicker": (stage) => ({
    layers: all(stage),
    options: { flickerStops: 0.012, lightDriftStops: 0.015 },
    allowed: ["light"],
  }),
  "cloth, shadow": (stage) => ({
    layers: all(stage),
    light: sweepingShadow(stage.random, PICTURE),
    allowed: ["light"],
  }),
  "cloth, passing arm": (stage) => ({
    layers: [...all(stage), passingArm(stage.seed, stage.random, PICTURE)],
  }),
  "cloth, breathing": (stage) => {
    const paces = stage.slots.map(() => [stage.random.between(0.4, 1.5), stage.random.between(6, 10)] as const);
    const rides = (i: number): Rides => ({
      motion: (frame) => ({ dy: paces[i][0] * Math.sin((2 * Math.PI * (frame - 1)) / paces[i][1]) }),
      intents: whole("alive"),
    });
    return { layers: all(stage, rides) };
  },
  "cloth, sagging carrier": (stage) => {
    const at = (frame: number): number => 0.04 * (frame - 1);
    const sags = (i: number): boolean => i % 2 === 0;
    const rides = (i: number): Rides => (sags(i) ? { motion: (frame) => ({ dy: at(frame) }) } : {});
    const faults = stage.slots.flatMap((slot, i): Seeded[] =>
      sags(i)
        ? [
            {
              name: "sag under cloth",
              kind: "sag",
              part: `part-${i + 1}`,
              from: 2,
              to: FRAMES,
              px: at(FRAMES),
              stops: null,
              texture: null,
              place: slot.centre,
              growth: { direction: [0, 1], at },
            },
          ]
        : [],
    );
    return { layers: all(stage, rides), faults };
  },
  "cloth, new poses": (stage) => {
    const ways = stage.slots.map(() => [stage.random.between(0, 2 * Math.PI), stage.random.between(2, 12)] as const);
    const intents: SceneIntent[] = [
      { from: 1, to: 5, intent: "holds" },
      { from: 6, to: 9, intent: "moves" },
      { from: 10, to: FRAMES, intent: "holds" },
    ];
    const rides = (i: number): Rides => {
      const share = (frame: number): number => Math.min(1, Math.max(0, (frame - 5) / 4));
      const [angle, far] = ways[i];
      const motion = (frame: number): Motion => ({
        dx: far * Math.cos(angle) * share(frame),
        dy: far * Math.sin(angle) * share(frame),
        turn: 0.01 * far * share(frame),
        pivot: stage.slots[i].centre,
      });
      return { motion, intents };
    };
    return { layers: all(stage, rides) };
  },
  "cloth, swinging": (stage) => {
    const rides = (i: number): Rides => ({
      motion: (frame) => ({
        turn: 0.12 * Math.sin(0.22 * (frame - 1) + 0.4 * i) - 0.12 * Math.sin(0.4 * i),
        pivot: [stage.slots[i].centre[0], stage.slots[i].centre[1] - 50],
      }),
      intents: whole("moves"),
    });
    return { layers: all(stage, rides) };
  },
};

const names = Object.keys(confusers);

function make(seed: number, index: number): BenchShot {
  const stage: Stage = {
    seed,
    index,
    random: createRandom(seed, 0x636c),
    slots: slotsOf(seed, GRID, [WIDTH, HEIGHT], SIZES),
  };
  const name = names[index % names.length];
  const { layers, options, light, faults = [], allowed = [] } = confusers[name](stage);
  const look = lookOf(Math.floor(index / names.length) + index);
  return {
    name,
    shot: shotOf(
      { width: WIDTH, height: HEIGHT, frames: FRAMES, seed, ...look, ...options },
      layers,
      () => faults,
      light,
    ),
    faults,
    stillHolds: layers.filter(({ part }) => part !== undefined).length - faults.length,
    allowed,
    needsSheet: true,
    copies: new Map(),
    ...look,
  };
}

export const cleanCloth: Recipe = { name: "clean cloth", faults: [], shots: 48, quick: 8, make };
