import { createRandom, type Random, seedOf } from "./random.ts";
import { type Layer, roundedBox, type SceneIntent, type ScenePart, type Surface } from "./scene.ts";
import type { Motion, Point } from "./similarity.ts";
import { TEXTURES, type TextureName } from "./texture.ts";
import { fieldOf, type RowField } from "./value-noise.ts";

// Many parts side by side in one small picture, with set showing between them.

export interface Slot {
  readonly centre: Point;
  /** Width and height of what stands there, px. */
  readonly size: number;
}

/** Surfaces of parts that have something to measure on. */
export const CROWD_TEXTURES: readonly TextureName[] = ["woven", "herringbone", "stripes", "hair", "skin"];

/** Those that can be measured across their lines only. */
const LINED: ReadonlySet<TextureName> = new Set(["stripes", "hair"]);
/** Lines stand across a drift to this, radians: along them nobody can tell it. */
const ACROSS = 0.5;

export function slotsOf(
  seed: number,
  [cols, rows]: readonly [number, number],
  [width, height]: readonly [number, number],
  [smallest, largest]: readonly [number, number],
): Slot[] {
  const random = createRandom(seed, 0x736c);
  return Array.from({ length: cols * rows }, (_, i) => ({
    centre: [
      ((i % cols) + 0.5) * (width / cols) + random.between(-1.5, 1.5),
      (Math.floor(i / cols) + 0.5) * (height / rows) + random.between(-1.5, 1.5),
    ],
    size: random.between(smallest, largest),
  }));
}

/** The texture, made when it is drawn for the first time: many shots are only looked through. */
function whenDrawn(make: () => RowField): RowField {
  let made: RowField | null = null;
  return fieldOf((us, vs, out, count) => {
    made ??= make();
    made.row(us, vs, out, count);
  });
}

/** @param drift unit vector of what is to be seen on it; null: any way round */
export function crowdSurface(texture: TextureName, seed: number, drift: Point | null): Surface {
  const random = createRandom(seed, 0x7375);
  const { make, contrast } = TEXTURES[texture];
  const along = drift === null ? random.between(0, Math.PI) : Math.atan2(drift[1], drift[0]);
  const angle = LINED.has(texture) ? along + random.between(-ACROSS, ACROSS) : random.between(-0.4, 0.4);
  return {
    texture: whenDrawn(() => make(seedOf(seed, 0x7465), { angle })),
    contrast,
    brightness: random.between(0.22, 0.36),
  };
}

export interface CrowdPart {
  readonly id: string;
  readonly slot: Slot;
  readonly texture: TextureName;
  readonly seed: number;
  readonly kind?: ScenePart["kind"];
  readonly drift?: Point | null;
  readonly motion?: (frame: number) => Motion;
  readonly crawl?: NonNullable<Layer["crawl"]>;
  readonly shown?: (frame: number) => boolean;
  readonly intents?: readonly SceneIntent[];
  readonly carrier?: string;
}

export function crowdLayer(part: CrowdPart): Layer {
  const { id, slot, texture, seed, kind = "limb", drift = null, motion, crawl, shown, intents, carrier } = part;
  return {
    id,
    outline: roundedBox(slot.centre, slot.size, slot.size),
    ...crowdSurface(texture, seed, drift),
    ...(motion === undefined ? {} : { motion }),
    ...(crawl === undefined ? {} : { crawl }),
    ...(shown === undefined ? {} : { shown }),
    part: {
      name: id,
      kind,
      puppet: "Oda",
      ...(carrier === undefined ? {} : { carrier }),
      ...(intents === undefined ? {} : { intents }),
    },
  };
}

export const pick = <T>(random: Random, items: readonly T[]): T => items[random.integer(items.length)];
