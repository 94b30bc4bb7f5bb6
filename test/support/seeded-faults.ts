import type { FlagKind } from "../../src/model/index.ts";
import { type CrowdPart, crowdLayer, pick, type Slot } from "./crowd.ts";
import { createRandom, type Random, seedOf } from "./random.ts";
import type { Layer } from "./scene.ts";
import type { Expected } from "./shot.ts";
import type { Point } from "./similarity.ts";
import type { TextureName } from "./texture.ts";
import { valueNoise } from "./value-noise.ts";

// Faults of one part each, at the size that must still be seen, with what a perfect judge would say of them.

/** Sizes of faults, px; what goes on is px a frame. */
export interface FaultSizes {
  readonly sag: number;
  readonly knock: number;
  readonly pop: number;
  readonly setShift: number;
  readonly crawlInPair: number;
  readonly crawlAFrame: number;
  readonly boil: number;
  readonly skinShift: number;
  readonly seating: number;
}

/** What has to be found in every shot. */
export const LIMIT_SIZES: FaultSizes = {
  sag: 0.02,
  knock: 0.05,
  pop: 0.1,
  setShift: 0.1,
  crawlInPair: 0.3,
  crawlAFrame: 0.03,
  boil: 0.3,
  skinShift: 0.3,
  seating: 0.3,
};

/** How far down it is meant to see where there is texture enough. */
export const FINE_SIZES: FaultSizes = {
  ...LIMIT_SIZES,
  sag: 0.01,
  knock: 0.02,
  pop: 0.05,
  crawlInPair: 0.2,
  crawlAFrame: 0.02,
  skinShift: 0.1,
};

/** A fault that was put into a shot. */
export interface Seeded extends Expected {
  /** Its kind, and which sort of it: "crawl in a pair". */
  readonly name: string;
  /** Null where it is in no part. */
  readonly texture: TextureName | null;
  /** Where it is, px; null for what is everywhere. */
  readonly place: Point | null;
  /** Where a drift that grows has to be told: unit vector, and px by frame. */
  readonly growth?: Growth;
  /** A surface that goes over its carrier: how far its middle goes, and each place's share of that. */
  readonly creep?: Growth & { readonly share: (u: number, v: number) => number };
}

/** A way along one line: unit vector, and px by frame. */
interface Growth {
  readonly direction: Point;
  readonly at: (frame: number) => number;
}

interface Room {
  readonly id: string;
  readonly slot: Slot;
  readonly texture: TextureName;
  readonly seed: number;
  readonly frames: number;
}

/** Parts of a puppet that a rigid drift can be in. */
const RIGID_KINDS = ["limb", "hand", "body", "prop"] as const;
const DOWN_WITHIN = 0.35;

const towards = (angle: number): Point => [Math.cos(angle), Math.sin(angle)];
const anyWay = (random: Random): Point => towards(random.between(0, 2 * Math.PI));

/** Frame of an event with at least six frames on either side. */
const eventFrame = (random: Random, frames: number): number => 7 + random.integer(frames - 12);

interface Plan {
  readonly part: Omit<CrowdPart, keyof Room>;
  readonly expected: Omit<Expected, "part" | "stops">;
  readonly more?: readonly Layer[];
  readonly growth?: Growth;
  readonly creep?: Seeded["creep"];
}

type Maker = (room: Room, random: Random, sizes: FaultSizes) => Plan;

function slow(kind: FlagKind, partKind: string, direction: Point, perFrame: number, frames: number): Plan {
  const at = (frame: number): number => perFrame * (frame - 1);
  return {
    part: {
      kind: partKind,
      drift: direction,
      motion: (frame) => ({ dx: at(frame) * direction[0], dy: at(frame) * direction[1] }),
    },
    expected: { kind, from: 2, to: frames, px: at(frames) },
    growth: { direction, at },
  };
}

function jump(kind: FlagKind, partKind: string, direction: Point, px: number, from: number, to: number): Plan {
  const at = (frame: number): number => (frame >= from && frame <= to ? px : 0);
  return {
    part: {
      kind: partKind,
      drift: direction,
      motion: (frame) => ({ dx: at(frame) * direction[0], dy: at(frame) * direction[1] }),
    },
    expected: { kind, from, to, px },
    growth: { direction, at },
  };
}

/** A surface that goes `at(frame)` px at one place, and its share of that everywhere else. */
const creeping =
  ({ direction, at, share }: NonNullable<Seeded["creep"]>): NonNullable<Layer["crawl"]> =>
  (u, v, frame) => {
    const far = at(frame) * share(u, v);
    return [far * direction[0], far * direction[1]];
  };

/** All at the middle of the part, nothing at its edge. */
const domeOver =
  ({ centre, size }: Slot) =>
  (u: number, v: number): number => {
    const x = (2 * (u - centre[0])) / size;
    const y = (2 * (v - centre[1])) / size;
    return Math.max(0, 1 - x * x) ** 2 * Math.max(0, 1 - y * y) ** 2;
  };

/**
 * 95th percentile over a part and its frames of what its surface did about each place's mean, without what all of it did
 * together in a frame.
 */
function jitterIn(slot: Slot, frames: number, crawl: (u: number, v: number, frame: number) => Point): number {
  const side = 24;
  const mean = (list: readonly Point[], axis: 0 | 1): number =>
    list.reduce((sum, point) => sum + point[axis], 0) / list.length;
  const at = (k: number, axis: 0 | 1): number => slot.centre[axis] + slot.size * ((k + 0.5) / side - 0.5);
  const rows = Array.from({ length: frames }, (_, row) => {
    const moved = Array.from({ length: side ** 2 }, (__, k) =>
      crawl(at(k % side, 0), at(Math.floor(k / side), 1), row + 1),
    );
    const [x, y] = [mean(moved, 0), mean(moved, 1)];
    return moved.map((point): Point => [point[0] - x, point[1] - y]);
  });
  const lengths = rows[0].flatMap((_, k) => {
    const path = rows.map((row) => row[k]);
    const [x, y] = [mean(path, 0), mean(path, 1)];
    return path.map((point) => Math.hypot(point[0] - x, point[1] - y));
  });
  lengths.sort((one, other) => one - other);
  return lengths[Math.floor(0.95 * lengths.length)];
}

/** Radius of a pushed patch of skin as a share of the part's size. */
const PATCH = 0.36;

const makers = {
  sag: ({ frames }, random, { sag }) =>
    slow("sag", pick(random, RIGID_KINDS.slice(0, 3)), towards(Math.PI / 2 + random.between(-0.35, 0.35)), sag, frames),
  "spring-back": ({ frames }, random, { sag }) =>
    slow(
      "spring-back",
      pick(random, RIGID_KINDS.slice(0, 3)),
      towards(-Math.PI / 2 + random.between(-DOWN_WITHIN, DOWN_WITHIN)),
      sag,
      frames,
    ),
  knock: ({ frames }, random, { knock }) =>
    jump("knock", pick(random, RIGID_KINDS.slice(0, 3)), anyWay(random), knock, eventFrame(random, frames), frames),
  pop: ({ frames }, random, { pop }) => {
    const frame = eventFrame(random, frames);
    return jump("pop", pick(random, RIGID_KINDS), anyWay(random), pop, frame, frame);
  },
  "set-shift step": ({ frames }, random, { setShift }) =>
    jump(
      "set-shift",
      pick(random, ["prop", "set", "support"]),
      anyWay(random),
      setShift,
      eventFrame(random, frames),
      frames,
    ),
  "set-shift slow": ({ frames }, random, { setShift }) =>
    slow("set-shift", pick(random, ["prop", "set", "support"]), anyWay(random), setShift / (frames - 1), frames),
  "crawl in a pair": ({ slot, frames }, random, { crawlInPair: px }) => {
    const direction = anyWay(random);
    const from = eventFrame(random, frames);
    const creep = { direction, at: (frame: number) => (frame < from ? 0 : px), share: domeOver(slot) };
    return {
      part: { kind: "costume", drift: direction, crawl: creeping(creep) },
      expected: { kind: "crawl", from, to: frames, px },
      creep,
    };
  },
  "crawl a frame": ({ slot, frames }, random, { crawlAFrame }) => {
    const direction = anyWay(random);
    const creep = { direction, at: (frame: number) => crawlAFrame * (frame - 1), share: domeOver(slot) };
    return {
      part: { kind: "costume", drift: direction, crawl: creeping(creep) },
      expected: { kind: "crawl", from: 2, to: frames, px: creep.at(frames) },
      creep,
    };
  },
  boil: ({ seed, slot, frames }, _, sizes) => {
    // Value noise of uniform values has a variance of 1/3 at its lattice and (181 / 231)^2 of that on average.
    const gain = sizes.boil / (Math.sqrt(1 / 3) * (181 / 231));
    const fields = Array.from({ length: frames + 1 }, (_, frame) =>
      [0, 1].map((axis) => valueNoise(seedOf(seed, frame, axis, 0x626f), 25, 25, 0.4)),
    );
    const crawl = (u: number, v: number, frame: number): Point =>
      frame === 1 ? [0, 0] : [gain * fields[frame][0](u, v), gain * fields[frame][1](u, v)];
    return {
      part: { kind: "costume", crawl },
      expected: { kind: "boil", from: 2, to: frames, px: jitterIn(slot, frames, crawl) },
    };
  },
  "skin-shift": ({ slot, frames }, random, { skinShift: px }) => {
    const direction = anyWay(random);
    const from = eventFrame(random, frames);
    const radius = PATCH * slot.size;
    const middle: Point = [
      slot.centre[0] + random.between(-0.1, 0.1) * slot.size,
      slot.centre[1] + random.between(-0.1, 0.1) * slot.size,
    ];
    const creep = {
      direction,
      at: (frame: number) => (frame < from ? 0 : px),
      share: (u: number, v: number) => Math.max(0, 1 - (Math.hypot(u - middle[0], v - middle[1]) / radius) ** 2) ** 2,
    };
    return {
      part: { kind: "skin", drift: direction, crawl: creeping(creep) },
      expected: { kind: "skin-shift", from, to: frames, px },
      creep,
    };
  },
  seating: (room, random, { seating: px }) => {
    const { frames, slot, seed, texture } = room;
    const direction = anyWay(random);
    const [first, second] = [Math.round(frames / 3), Math.round((2 * frames) / 3)];
    const other = crowdLayer({
      id: `${room.id}-other`,
      slot,
      texture,
      seed: seedOf(seed, 0x6f74),
      shown: (frame) => frame > first && frame <= second,
    });
    const { part: _, ...unlisted } = other;
    return {
      part: {
        kind: "face",
        drift: direction,
        motion: (frame) => (frame > second ? { dx: px * direction[0], dy: px * direction[1] } : {}),
        shown: (frame) => frame <= first || frame > second,
        intents: [
          { from: 1, to: first, intent: "swapped", wears: "smile-1" },
          { from: first + 1, to: second, intent: "swapped", wears: "smile-2" },
          { from: second + 1, to: frames, intent: "swapped", wears: "smile-1" },
        ],
      },
      expected: { kind: "seating", from: second + 1, to: frames, px },
      more: [unlisted],
    };
  },
} as const satisfies Readonly<Record<string, Maker>>;

export type PartFault = keyof typeof makers;
export const partFaults = Object.keys(makers) as readonly PartFault[];

/** The layers of a part with a fault in it, the part's own first, and the fault. */
export function seededPart(
  name: PartFault,
  room: Room,
  sizes: FaultSizes = LIMIT_SIZES,
): { readonly layers: readonly Layer[]; readonly fault: Seeded } {
  const random = createRandom(room.seed, 0x6661);
  const plan: Plan = makers[name](room, random, sizes);
  const { part, expected, more = [], growth, creep } = plan;
  return {
    layers: [crowdLayer({ ...room, ...part }), ...more],
    fault: {
      ...expected,
      part: room.id,
      stops: null,
      name,
      texture: room.texture,
      place: room.slot.centre,
      ...(growth === undefined ? {} : { growth }),
      ...(creep === undefined ? {} : { creep }),
    },
  };
}
