import type { Scene } from "./scene.ts";
import type { Point } from "./similarity.ts";

/** A sheet as a file holds it: what `JSON.parse` would give, before anybody has checked it. */
export interface SheetFile {
  readonly format: "holdfast-sheet";
  readonly version: 1;
  readonly [key: string]: unknown;
}

const pair = ([x, y]: Point): [number, number] => [x, y];

/** The sheet of a scene: its layers that are parts, with what a person would have drawn and written at frame 1. */
export function sheetOf(scene: Scene, frames: number): SheetFile {
  const parts = scene.layers.flatMap((layer) => {
    const { part } = layer;
    if (part === undefined) return [];
    const {
      outline = layer.outline,
      joints = [],
      intents = [{ from: 1, to: frames, intent: "holds" }],
      ...rest
    } = part;
    const holes = (layer.holes ?? []).map((hole) => hole.map(pair));
    return [
      {
        id: layer.id,
        ...rest,
        outlines: [{ frame: 1, points: outline.map(pair), holes }],
        joints: joints.map(({ id, name, at }) => ({ id, name, frame: 1, at: pair(at) })),
        intents,
      },
    ];
  });
  return {
    format: "holdfast-sheet",
    version: 1,
    shot: { name: scene.name, fps: scene.fps },
    ...(scene.pxPerMm === undefined ? {} : { scale: { pxPerMm: scene.pxPerMm } }),
    parts,
  };
}
