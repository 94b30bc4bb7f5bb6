import { centreOf, type Layer, type Scene } from "./scene.ts";
import { IDENTITY, type Similarity, similarityOf } from "./similarity.ts";

// Where camera, layers and the material in them are at a frame.

/** Camera at a frame: about the frame's centre, identity where the scene has none. */
export function cameraAt(scene: Scene, frame: number): Similarity {
  return scene.camera ? similarityOf({ ...scene.camera(frame), pivot: centreOf(scene) }) : IDENTITY;
}

/** Motion of a layer since frame 1, camera out. */
export const layerMotionAt = (layer: Layer, frame: number): Similarity =>
  layer.motion ? similarityOf(layer.motion(frame)) : IDENTITY;

/** The material point that sits at place p of the layer when it crawls: the fixed point of m = p - crawl(m). */
export function materialAt(crawl: NonNullable<Layer["crawl"]>, u: number, v: number, frame: number): [number, number] {
  let mu = u;
  let mv = v;
  for (let round = 0; round < 60; round++) {
    const [du, dv] = crawl(mu, mv, frame);
    const change = Math.abs(u - du - mu) + Math.abs(v - dv - mv);
    mu = u - du;
    mv = v - dv;
    if (change < 1e-10) return [mu, mv];
  }
  throw new Error(`the crawl at (${u}, ${v}) of frame ${frame} folds the material: its gradient must stay below 1`);
}
