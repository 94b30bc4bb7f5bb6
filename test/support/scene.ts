import type { Motion, Point } from "./similarity.ts";
import type { Texture } from "./texture.ts";

// What a synthetic shot is made of. Places are px of frame 1: origin at the top-left corner, x right, y down, the
// centre of pixel i at i + 0.5. Displacement is where the material went: current minus frame 1. Motions and camera
// are the identity at frame 1.

/** What covers a place: linear reflectance is brightness * (1 + contrast * texture), 0 to 1. */
export interface Surface {
  readonly texture: Texture;
  /** RMS contrast in linear light. */
  readonly contrast: number;
  /** Mean linear reflectance. */
  readonly brightness: number;
  /** Colour as linear RGB; only its ratios count. Grey if left out. */
  readonly tint?: readonly [number, number, number];
  /** Gain in linear light at a place of the set: it stays where it is when the material moves. */
  readonly shading?: (x: number, y: number) => number;
}

export interface Layer extends Surface {
  readonly id: string;
  /** Outline at frame 1, px; a simple polygon, either way round. */
  readonly outline: readonly Point[];
  readonly holes?: readonly (readonly Point[])[];
  /** Where the layer went since frame 1, camera out. Still if left out. */
  readonly motion?: (frame: number) => Motion;
  /** Where the material at (u, v) of the layer went inside the outline, px, before `motion`; gradient well below 1. */
  readonly crawl?: (u: number, v: number, frame: number) => Point;
  /** Left out of the picture where false. */
  readonly shown?: (frame: number) => boolean;
  /** What the sheet says of it; a layer without is on no sheet. */
  readonly part?: ScenePart;
}

export type Intent = "moves" | "holds" | "alive" | "rides" | "swapped" | "hidden";

export interface SceneIntent {
  readonly from: number;
  readonly to: number;
  readonly intent: Intent;
  readonly wears?: string;
}

/** A part as a sheet tells of it; its id is the layer's. */
export interface ScenePart {
  readonly name: string;
  readonly kind: string;
  readonly puppet?: string;
  readonly copy?: string;
  readonly carrier?: string;
  readonly build?: "ball" | "wire" | "other";
  readonly massGrams?: number;
  readonly bandPx?: number;
  /** What a person would draw at frame 1: the layer's outline if left out. */
  readonly outline?: readonly Point[];
  readonly joints?: readonly { readonly id: string; readonly name: string; readonly at: Point }[];
  /** "holds" in all frames if left out. */
  readonly intents?: readonly SceneIntent[];
}

/** A soft-edged shadow over the half plane `nx x + ny y < edge`. */
export interface Shadow {
  /** Unit vector across the edge, pointing out of the shadow. */
  readonly across: Point;
  /** Place of the edge's middle along `across`, px. */
  readonly edge: number;
  /** Width of the penumbra, px. */
  readonly softness: number;
  /** Light taken away in the umbra, 0 to 1. */
  readonly depth: number;
}

export interface Light {
  /** Gain of all light, linear. */
  readonly gain?: number;
  /** Gain at a place in the picture, linear; smooth. */
  readonly gainField?: (x: number, y: number) => number;
  readonly shadow?: Shadow;
}

export interface Noise {
  /** Standard deviation at mid grey (linear 0.18), in steps of 8-bit sRGB. */
  readonly sigma8: number;
  /** Share of the variance at mid grey that is photon noise, 0 to 1; the rest is the same at any brightness. */
  readonly poissonShare: number;
}

export interface Scene {
  /** Shot name, in the sheet and in file names. */
  readonly name: string;
  readonly width: number;
  readonly height: number;
  readonly fps: number;
  readonly seed: number;
  /** The set: fills the picture behind all layers. */
  readonly background: Surface;
  /** Back to front. */
  readonly layers: readonly Layer[];
  /** Motion of the whole picture since frame 1, about the frame's centre (a pivot given here is ignored). */
  readonly camera?: (frame: number) => Motion;
  readonly light?: (frame: number) => Light;
  /** Gaussian lens blur, sigma in px. */
  readonly blur: number | ((frame: number) => number);
  readonly noise: Noise | null;
  /** Three channels where true, else one. */
  readonly colour?: boolean;
  readonly bits?: 8 | 16;
  /** Quality that files are written with; null: PNG. */
  readonly jpegQuality: number | null;
  readonly pxPerMm?: number;
}

export const centreOf = (scene: Scene): Point => [scene.width / 2, scene.height / 2];

/** Outline with rounded ends around the line from `from` to `to`: limbs, fingers, heads (from = to). px. */
export function capsule(from: Point, to: Point, radiusFrom: number, radiusTo: number = radiusFrom): Point[] {
  const along = Math.atan2(to[1] - from[1], to[0] - from[0]);
  const arc = (centre: Point, radius: number, start: number): Point[] =>
    Array.from({ length: 17 }, (_, i) => {
      const angle = start + (i * Math.PI) / 16;
      return [centre[0] + radius * Math.cos(angle), centre[1] + radius * Math.sin(angle)] as const;
    });
  return [...arc(to, radiusTo, along - Math.PI / 2), ...arc(from, radiusFrom, along + Math.PI / 2)];
}

/** A closed outline of about `width` by `height` px: a superellipse, between an ellipse (2) and a rectangle (large). */
export function roundedBox(centre: Point, width: number, height: number, power = 5): Point[] {
  return Array.from({ length: 64 }, (_, i) => {
    const angle = (i * Math.PI) / 32;
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    return [
      centre[0] + (width / 2) * Math.sign(c) * Math.abs(c) ** (2 / power),
      centre[1] + (height / 2) * Math.sign(s) * Math.abs(s) ** (2 / power),
    ] as const;
  });
}
