import { CROWD_TEXTURES, crowdLayer, crowdSurface, pick, type Slot, slotsOf } from "../../support/crowd.ts";
import { createRandom, type Random, seedOf } from "../../support/random.ts";
import { capsule, type Layer, type Light, roundedBox } from "../../support/scene.ts";
import type { Seeded } from "../../support/seeded-faults.ts";
import { type Shot, type ShotOptions, shotOf } from "../../support/shot.ts";
import type { Point } from "../../support/similarity.ts";
import { type BenchShot, eventFrame, lookOf, type Recipe } from "./recipe.ts";

// Faults of the camera, the light, the lens and the set between the parts: one a shot, with held parts beside it that
// must stay quiet.

const [WIDTH, HEIGHT] = [400, 300];
const FRAMES = 24;
const SHOTS = 60;
const QUICK = 5;

interface Room {
  readonly seed: number;
  readonly random: Random;
  readonly slots: readonly Slot[];
  readonly look: ReturnType<typeof lookOf>;
  still(index: number): Layer;
}

interface Made {
  readonly faults: readonly Seeded[];
  readonly layers?: readonly Layer[];
  readonly options?: ShotOptions;
  readonly light?: (frame: number) => Light;
  readonly blur?: (frame: number) => number;
  readonly copies?: ReadonlyMap<number, number>;
  /** Parts that do not stand still. */
  readonly moving?: number;
}

const everywhere = { part: null, texture: null, place: null, px: null, stops: null } as const;

function frameWide(name: string, sorts: Readonly<Record<string, (room: Room) => Made>>, parts = 3): Recipe {
  const names = Object.keys(sorts);
  const make = (seed: number, index: number): BenchShot => {
    const look = lookOf(index);
    const slots = slotsOf(seed, [2, 2], [WIDTH, HEIGHT], [84, 100]);
    const room: Room = {
      seed,
      random: createRandom(seed, 0x6677),
      slots,
      look,
      still: (i) =>
        crowdLayer({
          id: `part-${i + 1}`,
          slot: slots[i],
          texture: CROWD_TEXTURES[(i + index) % CROWD_TEXTURES.length],
          seed: seedOf(seed, i),
          kind: (["limb", "prop", "body"] as const)[(i + index) % 3],
        }),
    };
    const made = sorts[names[Math.floor(index / 2) % names.length]](room);
    const options = { width: WIDTH, height: HEIGHT, frames: FRAMES, seed, ...look, ...made.options };
    const still = slots.slice(0, parts).map((_, i) => room.still(i));
    const shot = shotOf(options, [...still, ...(made.layers ?? [])], () => made.faults, made.light);
    return {
      name,
      shot: made.blur === undefined ? shot : ({ ...shot, scene: { ...shot.scene, blur: made.blur } } satisfies Shot),
      faults: made.faults,
      stillHolds: parts,
      allowed: [],
      copies: made.copies ?? new Map(),
      ...look,
    };
  };
  return { name, faults: names, shots: SHOTS, quick: QUICK, make };
}

function cameraGoes(name: string, direction: Point, at: (frame: number) => number, from: number): Made {
  return {
    options: { camera: (frame) => ({ dx: at(frame) * direction[0], dy: at(frame) * direction[1] }) },
    faults: [
      { ...everywhere, kind: "camera-shift", name, from, to: FRAMES, px: at(FRAMES), growth: { direction, at } },
    ],
  };
}

const anyWay = (random: Random): Point => {
  const angle = random.between(0, 2 * Math.PI);
  return [Math.cos(angle), Math.sin(angle)];
};

export const camera = frameWide("camera", {
  "camera-shift step": ({ random }) => {
    const direction = anyWay(random);
    const from = eventFrame(random, FRAMES);
    return cameraGoes("camera-shift step", direction, (frame) => (frame < from ? 0 : 0.03), from);
  },
  "camera-shift slow": ({ random }) =>
    cameraGoes("camera-shift slow", anyWay(random), (frame) => (0.03 * (frame - 1)) / (FRAMES - 1), 2),
});

const DROP = 0.02;
const dims = (name: string, from: number, to: number): Made["faults"] => [
  { ...everywhere, kind: "light", name, from, to, stops: Math.log2(1 - DROP) },
];

/** The shot's own flicker in shots whose light drops, stops: 0.15 %. */
const QUIET = 0.0022;

export const light = frameWide("light", {
  "light one frame": ({ random }) => {
    const at = eventFrame(random, FRAMES);
    return {
      options: { flickerStops: QUIET },
      light: (frame) => (frame === at ? { gain: 1 - DROP } : {}),
      faults: dims("light one frame", at, at),
    };
  },
  "light step": ({ random }) => {
    const from = eventFrame(random, FRAMES);
    return {
      options: { flickerStops: QUIET },
      light: (frame) => (frame >= from ? { gain: 1 - DROP } : {}),
      faults: dims("light step", from, FRAMES),
    };
  },
  // One lamp of two, at a corner: 2 % between regions.
  "light lamp": ({ random }) => {
    const from = eventFrame(random, FRAMES);
    const [left, top] = [random.next() < 0.5, random.next() < 0.5];
    const share = (x: number, y: number): number => {
      const [u, v] = [left ? x / WIDTH : 1 - x / WIDTH, top ? y / HEIGHT : 1 - y / HEIGHT];
      return Math.exp(-(u ** 2 + v ** 2) / 1.1);
    };
    // Between the middles of the nodes of a 4 x 3 lattice at opposite corners.
    const spread = Math.exp(-((1 / 8) ** 2 + (1 / 6) ** 2) / 1.1) - Math.exp(-((7 / 8) ** 2 + (5 / 6) ** 2) / 1.1);
    const depth = DROP / spread;
    return {
      options: { flickerStops: QUIET },
      light: (frame) => (frame < from ? {} : { gainField: (x, y) => 1 - depth * share(x, y) }),
      faults: dims("light lamp", from, FRAMES),
    };
  },
});

/** Lens blur of the shots, and the one at which a grating of 8 px has lost 5 % of its contrast: exp(-2 (pi f)^2 (b^2 - a^2)) is 0.95. */
const SHARP = 0.7;
const SOFT = Math.sqrt(SHARP ** 2 - Math.log(0.95) / (2 * (Math.PI / 8) ** 2));

export const soft = frameWide("soft", {
  "soft step": ({ random }) => {
    const from = eventFrame(random, FRAMES);
    return {
      blur: (frame) => (frame < from ? SHARP : SOFT),
      faults: [{ ...everywhere, kind: "soft", name: "soft step", from, to: FRAMES }],
    };
  },
  "soft slow": () => ({
    blur: (frame) => Math.sqrt(SHARP ** 2 + ((SOFT ** 2 - SHARP ** 2) * (frame - 1)) / (FRAMES - 1)),
    faults: [{ ...everywhere, kind: "soft", name: "soft slow", from: 2, to: FRAMES }],
  }),
});

/** Between the parts of a 2 x 2 lattice: the fourth place is free. */
const freePlace = ({ slots, random }: Room, spread: number): Point => [
  slots[3].centre[0] + random.between(-spread, spread),
  slots[3].centre[1] + random.between(-spread, spread),
];

export const stray = frameWide("stray", {
  stray: (room) => {
    const { random, seed } = room;
    const from = eventFrame(random, FRAMES);
    const to = random.next() < 0.5 ? FRAMES : from + 2;
    const place = freePlace(room, 40);
    const end: Point = [place[0] + random.between(0, 3), place[1] + random.between(0, 3)];
    const crumb: Layer = {
      id: "crumb",
      outline: capsule(place, end, 5),
      ...crowdSurface("skin", seedOf(seed, 0x7374), null),
      brightness: pick(random, [0.04, 0.4]),
      shown: (frame) => frame >= from && frame <= to,
    };
    return {
      layers: [crumb],
      faults: [{ kind: "stray", name: "stray", part: null, texture: null, place, from, to, px: 10, stops: null }],
    };
  },
});

export const region = frameWide("region", {
  "set-shift outside": (room) => {
    const { random, seed } = room;
    const from = eventFrame(random, FRAMES);
    const place = freePlace(room, 8);
    const [x, y] = anyWay(random);
    const size = random.between(80, 100);
    const texture = pick(random, ["woven", "skin", "herringbone"] as const);
    const jar: Layer = {
      id: "jar",
      outline: roundedBox(place, size, size),
      ...crowdSurface(texture, seedOf(seed, 0x6a61), null),
      motion: (frame) => (frame < from ? {} : { dx: 0.1 * x, dy: 0.1 * y }),
    };
    return {
      layers: [jar],
      faults: [
        {
          kind: "set-shift",
          name: "set-shift outside",
          part: null,
          texture,
          place,
          from,
          to: FRAMES,
          px: 0.1,
          stops: null,
        },
      ],
    };
  },
});

export const repeat = frameWide("repeat", {
  repeat: ({ random, seed, slots }) => {
    const at = eventFrame(random, FRAMES);
    const [x, y] = slots[3].centre;
    const arm: Layer = {
      id: "arm-right",
      outline: capsule([x, y - 45], [x, y + 35], 20, 15),
      ...crowdSurface("woven", seedOf(seed, 0x6172), null),
      motion: (frame) => ({ turn: 0.25 * Math.sin(0.3 * (frame - 1)), pivot: [x, y - 45] }),
      part: {
        name: "Right arm",
        kind: "limb",
        puppet: "Oda",
        intents: [{ from: 1, to: FRAMES, intent: "moves" }],
      },
    };
    return {
      layers: [arm],
      copies: new Map([[at, at - 1]]),
      faults: [{ ...everywhere, kind: "repeat", name: "repeat", from: at, to: at }],
    };
  },
});
