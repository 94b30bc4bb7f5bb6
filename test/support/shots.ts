import type { PartKind } from "../../src/model/index.ts";
import { type Chain, figureLayers } from "./figure.ts";
import { createRandom, seedOf } from "./random.ts";
import { capsule, type Layer, type Light, roundedBox, type SceneIntent } from "./scene.ts";
import { framesOf, type Shot, type ShotOptions, shotOf, surfaceOf } from "./shot.ts";
import type { Motion, Point } from "./similarity.ts";
import { TEXTURES, type TextureName } from "./texture.ts";
import { centroidOf, displacementOf, largestDisplacement } from "./truth.ts";

// Ready-made shots with known truth: what is held, what gives way, what is knocked, and what must raise no flag.

export interface HeldPartOptions extends ShotOptions {
  /** Width and height of the part, px; 120 by default. */
  readonly size?: number;
  readonly texture?: TextureName;
  readonly contrast?: number;
  readonly brightness?: number;
  readonly kind?: PartKind;
  /** Drift by frame, px; along `direction`, or at the farthest point where it turns. Overrides `sagPerFrame`. */
  readonly drift?: (frame: number) => number;
  /** A steady drift from `onset` on, px a frame. */
  readonly sagPerFrame?: number;
  /** First frame that has drifted; 2 by default. */
  readonly onset?: number;
  /** Unit vector of the drift; down by default. */
  readonly direction?: Point;
  /** "slide" (the default): all of it goes along `direction`; "turn": about its joint, the middle of its left edge. */
  readonly about?: "slide" | "turn";
}

/** Drift of so much a frame from `onset` on. */
export const steady =
  (perFrame: number, onset = 2) =>
  (frame: number): number =>
    frame < onset ? 0 : perFrame * (frame - onset + 1);

/** Angle that takes a point at `radius` px from the pivot to `distance` px from where it was. */
export const turnFor = (distance: number, radius: number): number => 2 * Math.asin(distance / (2 * radius));

const farthest = (outlines: readonly (readonly Point[])[], pivot: Point): number =>
  Math.max(...outlines.flat().map(([x, y]) => Math.hypot(x - pivot[0], y - pivot[1])));

/** One part before a set, its middle at a place between pixels that comes from the seed. */
function heldLayer(options: HeldPartOptions, width: number, height: number, motion?: Layer["motion"]): Layer {
  const { seed = 1, size = 120, texture = "woven", brightness = 0.3, kind = "limb" } = options;
  const random = createRandom(seed, 0x686c);
  const centre: Point = [width / 2 + random.between(-1, 1), height / 2 + random.between(-1, 1)];
  return {
    id: "held",
    outline: roundedBox(centre, size, size),
    ...surfaceOf(texture, seedOf(seed, 0x7061), brightness, options.contrast),
    ...(motion === undefined ? {} : { motion }),
    part: {
      name: "Left arm",
      kind,
      puppet: "Oda",
      joints: [{ id: "shoulder-left", name: "Left shoulder", at: [centre[0] - size / 2, centre[1]] }],
    },
  };
}

const roomFor = (options: HeldPartOptions): { width: number; height: number } => {
  const { size = 120 } = options;
  return {
    width: options.width ?? Math.max(320, Math.round(size * 1.8)),
    height: options.height ?? Math.max(240, Math.round(size * 1.5)),
  };
};

/** A part that is held, and drifts by `drift` or `sagPerFrame`; without either it stands still. */
export function heldPart(options: HeldPartOptions = {}): Shot {
  const { direction = [0, 1], onset = 2, about = "slide" } = options;
  const room = roomFor(options);
  const drift = options.drift ?? steady(options.sagPerFrame ?? 0, onset);
  const still = heldLayer(options, room.width, room.height);
  const pivot = still.part?.joints?.[0]?.at ?? [0, 0];
  const radius = farthest([still.outline], pivot);
  const motion = (frame: number): Motion =>
    about === "turn"
      ? { turn: turnFor(drift(frame), radius), pivot }
      : { dx: drift(frame) * direction[0], dy: drift(frame) * direction[1] };
  const frames = framesOf(options);
  return shotOf({ ...options, ...room }, [{ ...still, motion }], (scene) => {
    const px = largestDisplacement(scene, ["held"], frames);
    if (px === 0) return [];
    let from = 1;
    while (largestDisplacement(scene, ["held"], from) === 0) from++;
    const falls = displacementOf(scene, "held", centroidOf(still.outline), frames)[1] > 0;
    const where = about === "turn" ? { joint: "shoulder-left", pivot } : {};
    return [{ kind: falls ? "sag" : "spring-back", part: "held", from, to: frames, px, stops: null, ...where }];
  });
}

export interface StepOptions extends HeldPartOptions {
  /** Frame of the event; the middle of the shot by default. */
  readonly frame?: number;
  /** Size of the event, px; 0.5 by default. */
  readonly px?: number;
}

const eventFrame = (options: StepOptions): number => options.frame ?? Math.ceil(framesOf(options) / 2) + 1;

/** A held part that jumps once, and stays there. */
export function knockedPart(options: StepOptions = {}): Shot {
  const { px = 0.5, direction = [1, 0] } = options;
  const frame = eventFrame(options);
  const shot = heldPart({ ...options, direction, drift: (at) => (at < frame ? 0 : px) });
  return { ...shot, expected: [{ kind: "knock", part: "held", from: frame, to: shot.frames, px, stops: null }] };
}

/** A held part that is out in one frame, and back in the next. */
export function poppedPart(options: StepOptions = {}): Shot {
  const { px = 0.5, direction = [1, 0] } = options;
  const frame = eventFrame(options);
  const shot = heldPart({ ...options, direction, drift: (at) => (at === frame ? px : 0) });
  return { ...shot, expected: [{ kind: "pop", part: "held", from: frame, to: frame, px, stops: null }] };
}

export interface CameraOptions extends HeldPartOptions {
  readonly frame?: number;
  /** What the picture does at `frame` and from there on; half a pixel to the right by default. */
  readonly knock?: Motion;
}

/** A tripod that is knocked once. Its size is that at the frame's centre. */
export function knockedCamera(options: CameraOptions = {}): Shot {
  const { knock = { dx: 0.5, dy: 0 } } = options;
  const frame = eventFrame(options);
  const room = roomFor(options);
  const layers = [heldLayer(options, room.width, room.height)];
  const px = Math.hypot(knock.dx ?? 0, knock.dy ?? 0);
  return shotOf({ ...options, ...room, camera: (at) => (at < frame ? {} : knock) }, layers, () => [
    { kind: "camera-shift", part: null, from: frame, to: framesOf(options), px, stops: null },
  ]);
}

/** Several still parts of all textures side by side, nothing wrong: what must raise no flag. */
export function cleanShot(options: ShotOptions & { readonly parts?: number } = {}): Shot {
  const { seed = 1, parts = 6, width = 480, height = 360 } = options;
  return shotOf({ ...options, width, height }, stillParts(seed, parts, width, height), () => []);
}

function stillParts(seed: number, count: number, width: number, height: number): Layer[] {
  const names = Object.keys(TEXTURES) as TextureName[];
  const random = createRandom(seed, 0x636c);
  const cols = Math.ceil(Math.sqrt((count * width) / height));
  const rows = Math.ceil(count / cols);
  return Array.from({ length: count }, (_, i) => {
    const x = ((i % cols) + 0.5) * (width / cols) + random.between(-2, 2);
    const y = (Math.floor(i / cols) + 0.5) * (height / rows) + random.between(-2, 2);
    const texture = names[i % names.length];
    return {
      id: `still-${i + 1}`,
      outline: roundedBox([x, y], (0.74 * width) / cols, (0.74 * height) / rows),
      ...surfaceOf(texture, seedOf(seed, i, 0x7374), random.between(0.2, 0.4)),
      part: { name: `Jar ${i + 1}`, kind: "prop" },
    };
  });
}

/** Exposure that flickers evenly and nothing else: no flag. */
export function flicker(options: ShotOptions & { readonly parts?: number } = {}): Shot {
  return cleanShot({ flickerStops: 0.02, ...options });
}

export interface LampOptions extends ShotOptions {
  readonly frame?: number;
  /** Last frame in which the lamp is down; the shot's last by default. */
  readonly until?: number;
  /** Share of the lamp's light that is lost; 0.06 by default. */
  readonly drop?: number;
  readonly parts?: number;
}

/** Two lamps, of which the key, at the top left, drops. */
export function lampDrop(options: LampOptions = {}): Shot {
  const { seed = 1, drop = 0.06, width = 480, height = 360, parts = 6 } = options;
  const frame = eventFrame(options);
  const until = options.until ?? framesOf(options);
  const share = (x: number, y: number): number => 0.85 * Math.exp(-((x / width) ** 2 + (y / height) ** 2) / 1.4);
  const light = (at: number): Light =>
    at < frame || at > until ? {} : { gainField: (x, y) => 1 - drop * share(x, y) };
  let sum = 0;
  for (let i = 0; i < 4800; i++) {
    sum += 1 - drop * share(((i % 80) + 0.5) * (width / 80), (Math.floor(i / 80) + 0.5) * (height / 60));
  }
  const stops = Math.log2(sum / 4800);
  return shotOf(
    { ...options, width, height },
    stillParts(seed, parts, width, height),
    () => [{ kind: "light", part: null, from: frame, to: until, px: null, stops }],
    light,
  );
}

export interface ShadowOptions extends HeldPartOptions {
  readonly depth?: number;
  readonly softness?: number;
}

/** A soft shadow sweeps over a held part that does not move: no flag on the part. */
export function movingShadow(options: ShadowOptions = {}): Shot {
  const { depth = 0.35, softness = 50 } = options;
  const { width, height } = roomFor(options);
  const last = Math.max(1, framesOf(options) - 1);
  const across: Point = [Math.cos(0.3), Math.sin(0.3)];
  const farSide = across[0] * width + across[1] * height;
  const light = (frame: number): Light => ({
    shadow: { across, softness, depth, edge: -softness + ((farSide + 2 * softness) * (frame - 1)) / last },
  });
  return shotOf({ ...options, width, height }, [heldLayer(options, width, height)], () => [], light);
}

/** An animated arm passes in front of a held part that does not move. `listed`: the sheet knows the arm (the default). */
export function passingArm(options: HeldPartOptions & { readonly listed?: boolean } = {}): Shot {
  const { seed = 1, listed = true } = options;
  const { width, height } = roomFor(options);
  const frames = framesOf(options);
  const radius = 0.07 * width;
  // It stands at the right at first, and goes to the left and out of the part again.
  const outline = capsule([width - 1.3 * radius, 0.35 * height], [width - 1.3 * radius, 1.3 * height], radius);
  const travel = width - 2.6 * radius;
  const intents: SceneIntent[] = [{ from: 1, to: frames, intent: "moves" }];
  const arm: Layer = {
    id: "arm-right",
    outline,
    ...surfaceOf("woven", seedOf(seed, 0x6172), 0.22),
    motion: (frame) => ({ dx: (-travel * (frame - 1)) / Math.max(1, frames - 1) }),
    ...(listed ? { part: { name: "Right arm", kind: "limb", puppet: "Oda", intents } } : {}),
  };
  return shotOf({ ...options, width, height }, [heldLayer(options, width, height), arm], () => []);
}

export interface ArmSagOptions extends ShotOptions {
  /** Joint that gives way; the shoulder by default. */
  readonly at?: Chain;
  /** px a frame at the farthest point of what hangs on the joint; 0.08 by default. */
  readonly sagPerFrame?: number;
  readonly onset?: number;
  readonly drift?: (frame: number) => number;
  /** The other arm is animated; true by default. */
  readonly animated?: boolean;
}

/** A puppet holds its left arm out: torso, upper arm, forearm, hand. One joint sags, and carries what hangs on it. */
export function armSag(options: ArmSagOptions = {}): Shot {
  const { seed = 1, at = "shoulder", width = 480, height = 360, animated = true } = options;
  const frames = framesOf(options);
  const drift = options.drift ?? steady(options.sagPerFrame ?? 0.08, options.onset ?? 2);
  const figure = figureLayers({ seed, width, height, frames, sagging: at, drift, animated });
  return shotOf({ ...options, width, height }, figure.layers, (scene) => {
    const px = largestDisplacement(scene, figure.moved, frames);
    if (px === 0) return [];
    let from = 1;
    while (largestDisplacement(scene, figure.moved, from) === 0) from++;
    const [part, ...carries] = figure.moved;
    return [
      { kind: "sag", part, from, to: frames, px, stops: null, joint: figure.joint, pivot: figure.pivot, carries },
    ];
  });
}
