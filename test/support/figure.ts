import { seedOf } from "./random.ts";
import { capsule, type Layer, roundedBox, type ScenePart } from "./scene.ts";
import type { Motion, Point } from "./similarity.ts";
import { TEXTURES, type TextureName } from "./texture.ts";

// Oda the beekeeper, seen from the front: her left side is the picture's right. Her left arm is held out, her right
// arm hangs and can be animated.

/** Joint of the held arm that gives way. */
export type Chain = "shoulder" | "elbow" | "wrist";

export interface FigureOptions {
  readonly seed: number;
  readonly width: number;
  readonly height: number;
  readonly frames: number;
  readonly sagging: Chain;
  /** px at the farthest point of what hangs on the joint. */
  readonly drift: (frame: number) => number;
  readonly animated: boolean;
}

export interface Figure {
  readonly layers: readonly Layer[];
  /** Ids of the parts that sag, the one nearest to the body first. */
  readonly moved: readonly string[];
  readonly joint: string;
  readonly pivot: Point;
}

/** One limb of the chain, drawn from joint to joint. */
interface Limb {
  readonly id: string;
  readonly name: string;
  readonly from: Point;
  readonly to: Point;
  readonly radius: readonly [number, number];
  readonly texture: TextureName;
  readonly kind: string;
  readonly carrier: string;
  readonly joint: { readonly id: string; readonly name: string };
  readonly build: "ball" | "wire";
  /** Share of its length that is tucked under its carrier. */
  readonly tucked: number;
}

/** What a person outlines: the limb beyond what covers it, cut straight at the next joint or round at the end of the chain. */
function inSight(limb: Pick<Limb, "from" | "to" | "radius" | "tucked">, last: boolean): Point[] {
  const { from, to, tucked } = limb;
  const [start, end] = [0.96 * limb.radius[0], 0.96 * limb.radius[1]];
  const whole = capsule(from, to, start, end);
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const along: Point = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
  const at = (share: number, side: number): Point => {
    const radius = side * (start + share * (end - start));
    return [
      from[0] + share * (to[0] - from[0]) - radius * along[1],
      from[1] + share * (to[1] - from[1]) + radius * along[0],
    ];
  };
  const far = last ? whole.slice(0, 17) : [at(1, -1), at(1, 1)];
  return [...far, at(tucked, 1), at(tucked, -1)];
}

export function figureLayers(options: FigureOptions): Figure {
  const { seed, width, height, frames, sagging, drift, animated } = options;
  // Drawn for 480 x 360 and scaled to the frame's height; textures keep their size in px.
  const size = height / 360;
  const at = (x: number, y: number): Point => [width / 2 + (x - 240) * size, y * size];
  const shoulder = at(282, 142);
  const elbow = at(352, 160);
  const wrist = at(415, 146);
  const tip = at(448, 138);
  const left: readonly Limb[] = [
    {
      id: "arm-left",
      name: "Left arm",
      from: shoulder,
      to: elbow,
      radius: [24 * size, 20 * size],
      texture: "woven",
      kind: "limb",
      carrier: "torso",
      joint: { id: "shoulder-left", name: "Left shoulder" },
      build: "ball",
      tucked: 0.45,
    },
    {
      id: "forearm-left",
      name: "Left forearm",
      from: elbow,
      to: wrist,
      radius: [19 * size, 15 * size],
      texture: "woven",
      kind: "limb",
      carrier: "arm-left",
      joint: { id: "elbow-left", name: "Left elbow" },
      build: "ball",
      tucked: 0.38,
    },
    {
      id: "hand-left",
      name: "Left hand",
      from: wrist,
      to: tip,
      radius: [15 * size, 13 * size],
      texture: "skin",
      kind: "hand",
      carrier: "forearm-left",
      joint: { id: "wrist-left", name: "Left wrist" },
      build: "wire",
      tucked: 0.52,
    },
  ];
  const first = { shoulder: 0, elbow: 1, wrist: 2 }[sagging];
  const moving = left.slice(first);
  const pivot = moving[0].from;
  const outlines = left.map((limb) => capsule(limb.from, limb.to, limb.radius[0], limb.radius[1]));
  const reach = Math.max(
    ...outlines
      .slice(first)
      .flat()
      .map(([x, y]) => Math.hypot(x - pivot[0], y - pivot[1])),
  );
  const sag = (frame: number): Motion => ({ turn: 2 * Math.asin(drift(frame) / (2 * reach)), pivot });

  const surface = (texture: TextureName, index: number, brightness: number, angle = 0) => ({
    texture: TEXTURES[texture].make(seedOf(seed, index, 0x6f64), { angle }),
    contrast: TEXTURES[texture].contrast,
    brightness,
  });
  const arm = left.map((limb, index): Layer => {
    const angle = Math.atan2(limb.to[1] - limb.from[1], limb.to[0] - limb.from[0]);
    const part: ScenePart = {
      name: limb.name,
      kind: limb.kind,
      puppet: "Oda",
      carrier: limb.carrier,
      build: limb.build,
      outline: inSight(limb, index === left.length - 1),
      joints: [{ ...limb.joint, at: limb.from }],
    };
    return {
      id: limb.id,
      outline: outlines[index],
      ...surface(limb.texture, index + 10, 0.3, angle),
      ...(index >= first ? { motion: sag } : {}),
      part,
    };
  });

  const torso: Layer = {
    id: "torso",
    outline: roundedBox(at(240, 225), 120 * size, 210 * size, 4),
    ...surface("herringbone", 1, 0.24),
    part: { name: "Torso", kind: "body", puppet: "Oda" },
  };
  const head: Layer = {
    id: "head",
    outline: roundedBox(at(240, 72), 84 * size, 92 * size, 2.4),
    ...surface("skin", 2, 0.36),
    part: {
      name: "Head",
      kind: "head",
      puppet: "Oda",
      carrier: "torso",
      joints: [{ id: "neck", name: "Neck", at: at(240, 118) }],
    },
  };
  const shoulderRight = at(196, 142);
  const swing = (frame: number): Motion => ({ turn: 0.35 * Math.sin((frame - 1) * 0.16), pivot: shoulderRight });
  const right: Pick<Limb, "from" | "to" | "radius" | "tucked"> = {
    from: shoulderRight,
    to: at(110, 236),
    radius: [22 * size, 17 * size],
    tucked: 0.42,
  };
  const armRight: Layer = {
    id: "arm-right",
    outline: capsule(right.from, right.to, right.radius[0], right.radius[1]),
    ...surface("woven", 3, 0.3, 2.3),
    ...(animated ? { motion: swing } : {}),
    part: {
      name: "Right arm",
      kind: "limb",
      puppet: "Oda",
      carrier: "torso",
      outline: inSight(right, true),
      joints: [{ id: "shoulder-right", name: "Right shoulder", at: shoulderRight }],
      intents: [{ from: 1, to: frames, intent: animated ? "moves" : "holds" }],
    },
  };
  return {
    // Each limb is tucked under the one that carries it.
    layers: [...arm.toReversed(), armRight, torso, head],
    moved: moving.map((limb) => limb.id),
    joint: moving[0].joint.id,
    pivot,
  };
}
