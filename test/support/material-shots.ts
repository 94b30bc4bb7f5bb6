import { seedOf } from "./random.ts";
import { type Layer, roundedBox } from "./scene.ts";
import { framesOf, type Shot, type ShotOptions, shotOf, surfaceOf } from "./shot.ts";
import type { Motion, Point } from "./similarity.ts";
import type { TextureName } from "./texture.ts";
import { displacementOf } from "./truth.ts";
import { valueNoise } from "./value-noise.ts";

// Shots in which material moves inside an outline: cloth that creeps over its carrier, fur that jitters, a head that
// turns about the upright, skin that is pushed over its core.

export interface ClothOptions extends ShotOptions {
  readonly size?: number;
  readonly texture?: TextureName;
  readonly contrast?: number;
  /** px a frame, at the middle of the cloth, where it creeps most; 0 at its edge. 0.05 by default. */
  readonly crawlPerFrame?: number;
  /** First frame that has crept; 2 by default. */
  readonly onset?: number;
  readonly direction?: Point;
  /** What the carrier does by frame, the cloth with it; still by default. */
  readonly carrierMotion?: (frame: number) => Motion;
}

/** A jacket that rides on a torso and creeps over it. */
export function crawlingCloth(options: ClothOptions = {}): Shot {
  const { seed = 1, size = 160, crawlPerFrame = 0.05, onset = 2, direction = [1, 0], carrierMotion } = options;
  const width = options.width ?? Math.max(320, 2 * size);
  const height = options.height ?? Math.max(240, Math.round(1.7 * size));
  const frames = framesOf(options);
  const centre: Point = [width / 2, height / 2];
  const crept = (frame: number): number => (frame < onset ? 0 : crawlPerFrame * (frame - onset + 1));
  const intent = carrierMotion === undefined ? "holds" : "moves";
  const moves = carrierMotion === undefined ? {} : { motion: carrierMotion };
  const torso: Layer = {
    id: "torso",
    outline: roundedBox(centre, 1.35 * size, 1.3 * size),
    ...surfaceOf("skin", seedOf(seed, 0x746f), 0.3),
    ...moves,
    part: { name: "Torso", kind: "body", puppet: "Oda", intents: [{ from: 1, to: frames, intent }] },
  };
  const jacket: Layer = {
    id: "jacket",
    outline: roundedBox(centre, size, size),
    ...surfaceOf(options.texture ?? "woven", seedOf(seed, 0x6a61), 0.28, options.contrast),
    ...moves,
    crawl: (u, v, frame) => {
      const x = (2 * (u - centre[0])) / size;
      const y = (2 * (v - centre[1])) / size;
      const share = Math.max(0, 1 - x * x) ** 2 * Math.max(0, 1 - y * y) ** 2;
      return [crept(frame) * share * direction[0], crept(frame) * share * direction[1]];
    },
    part: {
      name: "Jacket",
      kind: "costume",
      puppet: "Oda",
      carrier: "torso",
      intents: [{ from: 1, to: frames, intent: "rides" }],
    },
  };
  return shotOf({ ...options, width, height }, [torso, jacket], () =>
    crawlPerFrame === 0
      ? []
      : [{ kind: "crawl", part: "jacket", from: onset, to: frames, px: Math.abs(crept(frames)), stops: null }],
  );
}

export interface BoilOptions extends ShotOptions {
  readonly size?: number;
  readonly texture?: TextureName;
  readonly kind?: "costume" | "hair";
  /** Standard deviation of the jitter along x and along y, px; 0.5 by default. */
  readonly jitter?: number;
}

/** Cloth or fur that is touched in every frame: it jitters in patches of about 25 px, and goes nowhere. */
export function boilingCloth(options: BoilOptions = {}): Shot {
  const { seed = 1, size = 160, jitter = 0.5, kind = "costume" } = options;
  const width = options.width ?? Math.max(320, 2 * size);
  const height = options.height ?? Math.max(240, Math.round(1.5 * size));
  const frames = framesOf(options);
  // Value noise of uniform values has a variance of 1/3 at its lattice and (181 / 231)^2 of that on average.
  const gain = jitter / (Math.sqrt(1 / 3) * (181 / 231));
  const fields = Array.from({ length: frames + 1 }, (_, frame) =>
    [0, 1].map((axis) => valueNoise(seedOf(seed, frame, axis, 0x626f), 25, 25, 0.4)),
  );
  const cloth: Layer = {
    id: "jacket",
    outline: roundedBox([width / 2, height / 2], size, size),
    ...surfaceOf(options.texture ?? "woven", seedOf(seed, 0x6a61), 0.28),
    crawl: (u, v, frame) => (frame === 1 ? [0, 0] : [gain * fields[frame][0](u, v), gain * fields[frame][1](u, v)]),
    part: { name: "Jacket", kind, puppet: "Oda" },
  };
  return shotOf({ ...options, width, height }, [cloth], (scene) => {
    if (jitter === 0) return [];
    const sizes: number[] = [];
    for (let frame = 2; frame <= frames; frame++) {
      for (let i = 0; i < 225; i++) {
        const place: Point = [
          width / 2 + size * (((i % 15) + 0.5) / 15 - 0.5),
          height / 2 + size * ((Math.floor(i / 15) + 0.5) / 15 - 0.5),
        ];
        sizes.push(Math.hypot(...displacementOf(scene, "jacket", place, frame)));
      }
    }
    const px = sizes.toSorted((a, b) => a - b)[Math.floor(0.95 * sizes.length)];
    return [{ kind: "boil", part: "jacket", from: 2, to: frames, px, stops: null }];
  });
}

export interface HeadOptions extends ShotOptions {
  readonly size?: number;
  readonly texture?: TextureName;
  readonly contrast?: number;
  /** Turn about the upright, degrees a frame; 0.3 by default. 0: the head is held. */
  readonly degreesPerFrame?: number;
  /** Skin that is pushed at a frame, and stays: where (as shares of the head's half width and height), how far, px. */
  readonly shift?: { readonly frame: number; readonly at: Point; readonly radius: number; readonly by: Point };
}

/** A head that turns about the upright, so that its face moves in perspective's way inside an outline that stays. */
export function turningHead(options: HeadOptions = {}): Shot {
  const { seed = 1, size = 160, degreesPerFrame = 0.3, shift } = options;
  const width = options.width ?? Math.max(320, 2 * size);
  const height = options.height ?? Math.max(240, Math.round(1.5 * size));
  const frames = framesOf(options);
  const centre: Point = [width / 2, height / 2];
  const radiusX = 0.45 * size;
  const radiusY = 0.5 * size;
  // Depth is that of an ellipsoid whose limb stands a little forward, just enough that no material is folded there.
  const rim = Math.max(0.2, 1.3 * Math.abs(Math.sin((degreesPerFrame * (frames - 1) * Math.PI) / 180)));
  const crawl = (u: number, v: number, frame: number): Point => {
    const angle = (degreesPerFrame * (frame - 1) * Math.PI) / 180;
    const x = u - centre[0];
    const y = v - centre[1];
    const depth = radiusX * Math.sqrt(Math.max(0, 1 - (y / radiusY) ** 2 - (x / radiusX) ** 2) + rim * rim);
    let dx = depth * Math.sin(angle) + x * (Math.cos(angle) - 1);
    let dy = 0;
    if (shift !== undefined && frame >= shift.frame) {
      const far = Math.hypot(x - shift.at[0] * radiusX, y - shift.at[1] * radiusY) / shift.radius;
      const share = far < 1 ? (1 - far * far) ** 2 : 0;
      dx += share * shift.by[0];
      dy += share * shift.by[1];
    }
    return [dx, dy];
  };
  const head: Layer = {
    id: "head",
    outline: roundedBox(centre, 2 * radiusX, 2 * radiusY, 2),
    ...surfaceOf(options.texture ?? "skin", seedOf(seed, 0x6865), 0.34, options.contrast),
    crawl,
    part: {
      name: "Head",
      kind: shift === undefined ? "head" : "skin",
      puppet: "Oda",
      intents: [{ from: 1, to: frames, intent: degreesPerFrame === 0 ? "holds" : "moves" }],
    },
  };
  return shotOf({ ...options, width, height }, [head], () =>
    shift === undefined
      ? []
      : [
          {
            kind: "skin-shift",
            part: "head",
            from: shift.frame,
            to: frames,
            px: Math.hypot(shift.by[0], shift.by[1]),
            stops: null,
          },
        ],
  );
}

export interface SleeveOptions extends ShotOptions {
  readonly texture?: TextureName;
  /** What the arm turns about its shoulder, degrees a frame; 0.8 by default. 0: it is held. */
  readonly degreesPerFrame?: number;
  /** How far the sleeve has slipped along the arm at a frame, px, most at its middle; not at all by default. */
  readonly slipped?: (frame: number) => number;
}

/** An arm that swings from its shoulder with a sleeve on it, which goes along. */
export function sleeveOnArm(options: SleeveOptions = {}): Shot {
  const { seed = 1, degreesPerFrame = 0.8, slipped = () => 0 } = options;
  const width = options.width ?? 320;
  const height = options.height ?? 240;
  const frames = framesOf(options);
  const shoulder: Point = [50, 90];
  const motion = (frame: number): Motion => ({
    turn: (degreesPerFrame * (frame - 1) * Math.PI) / 180,
    pivot: shoulder,
  });
  const moves = degreesPerFrame === 0 ? {} : { motion };
  const arm: Layer = {
    id: "arm",
    outline: roundedBox([160, 90], 260, 84),
    ...surfaceOf("speckle", seedOf(seed, 0x6172), 0.3),
    ...moves,
    part: {
      name: "Left arm",
      kind: "limb",
      puppet: "Oda",
      intents: [{ from: 1, to: frames, intent: degreesPerFrame === 0 ? "holds" : "moves" }],
    },
  };
  const middle: Point = [130, 90];
  const sleeve: Layer = {
    id: "sleeve",
    outline: roundedBox(middle, 140, 82),
    ...surfaceOf(options.texture ?? "woven", seedOf(seed, 0x736c), 0.28),
    ...moves,
    crawl: (u, v, frame) => {
      const x = (u - middle[0]) / 70;
      const y = (v - middle[1]) / 41;
      return [slipped(frame) * Math.max(0, 1 - x * x) ** 2 * Math.max(0, 1 - y * y) ** 2, 0];
    },
    part: {
      name: "Left sleeve",
      kind: "costume",
      puppet: "Oda",
      carrier: "arm",
      intents: [{ from: 1, to: frames, intent: "rides" }],
    },
  };
  return shotOf({ ...options, width, height }, [arm, sleeve], () => {
    const from = Array.from({ length: frames }, (_, i) => i + 1).find((frame) => slipped(frame) !== 0);
    if (from === undefined) return [];
    return [{ kind: "crawl", part: "sleeve", from, to: frames, px: Math.abs(slipped(frames)), stops: null }];
  });
}
