import { cameraAt, layerMotionAt, materialAt } from "./placing.ts";
import type { Layer, Scene } from "./scene.ts";
import { applyTo, compose, type Point, type Similarity } from "./similarity.ts";

/** Where everything is at a frame, as maps from px of frame 1. */
export interface FrameTruth {
  readonly camera: Similarity;
  /** For each layer its place in the picture, camera in; crawl not included. */
  readonly layers: Readonly<Record<string, Similarity>>;
}

export function truthAt(scene: Scene, frame: number): FrameTruth {
  const camera = cameraAt(scene, frame);
  const layers = scene.layers.map((layer) => [layer.id, compose(camera, layerMotionAt(layer, frame))] as const);
  return { camera, layers: Object.fromEntries(layers) };
}

export interface TruthOptions {
  /** Frame that displacement is told against; 1 if left out. */
  readonly against?: number;
  /** "in": as the picture shows it; "out": as the set would have it, camera taken out (the default). */
  readonly camera?: "in" | "out";
}

export function layerOf(scene: Scene, id: string): Layer {
  const layer = scene.layers.find((candidate) => candidate.id === id);
  if (layer === undefined) throw new Error(`scene '${scene.name}' has no layer '${id}'`);
  return layer;
}

/**
 * Where the material that was at `point` of a layer in frame 1 is at a frame, px. `id` null: the background.
 */
export function placeOf(
  scene: Scene,
  id: string | null,
  point: Point,
  frame: number,
  camera: "in" | "out" = "out",
): [number, number] {
  let place: Point = point;
  if (id !== null) {
    const layer = layerOf(scene, id);
    if (layer.crawl !== undefined) {
      const material = materialAt(layer.crawl, point[0], point[1], 1);
      const [du, dv] = layer.crawl(material[0], material[1], frame);
      place = [material[0] + du, material[1] + dv];
    }
    place = applyTo(layerMotionAt(layer, frame), place);
  }
  return camera === "in" ? applyTo(cameraAt(scene, frame), place) : [place[0], place[1]];
}

/** Displacement of the material that was at `point` in frame 1: current minus the frame it is told against, px. */
export function displacementOf(
  scene: Scene,
  id: string | null,
  point: Point,
  frame: number,
  options: TruthOptions = {},
): [number, number] {
  const { against = 1, camera = "out" } = options;
  const now = placeOf(scene, id, point, frame, camera);
  const then = placeOf(scene, id, point, against, camera);
  return [now[0] - then[0], now[1] - then[1]];
}

/** Turn of a layer, radians, positive from x towards y; crawl not included. */
export function turnOf(scene: Scene, id: string, frame: number, options: TruthOptions = {}): number {
  const { against = 1, camera = "out" } = options;
  const layer = layerOf(scene, id);
  const angleAt = (at: number): number => {
    const motion = layerMotionAt(layer, at);
    const map = camera === "in" ? compose(cameraAt(scene, at), motion) : motion;
    return Math.atan2(map.b, map.a);
  };
  const turn = angleAt(frame) - angleAt(against);
  return Math.atan2(Math.sin(turn), Math.cos(turn));
}

/**
 * Largest displacement over the outlines of some layers, px: that of a vertex, since under a similarity the size of
 * the displacement is a convex function of the place. Exact where nothing crawls.
 */
export function largestDisplacement(
  scene: Scene,
  ids: readonly string[],
  frame: number,
  options: TruthOptions = {},
): number {
  let largest = 0;
  for (const id of ids) {
    for (const point of layerOf(scene, id).outline) {
      const [dx, dy] = displacementOf(scene, id, point, frame, options);
      largest = Math.max(largest, Math.hypot(dx, dy));
    }
  }
  return largest;
}

/** Centroid of a simple polygon, px: the place at which a part's dx and dy are told. */
export function centroidOf(outline: readonly Point[]): [number, number] {
  let twiceArea = 0;
  let x = 0;
  let y = 0;
  for (let i = 0; i < outline.length; i++) {
    const [x0, y0] = outline[i];
    const [x1, y1] = outline[(i + 1) % outline.length];
    const cross = x0 * y1 - x1 * y0;
    twiceArea += cross;
    x += (x0 + x1) * cross;
    y += (y0 + y1) * cross;
  }
  return [x / (3 * twiceArea), y / (3 * twiceArea)];
}
