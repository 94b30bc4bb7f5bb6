import { coverageOf } from "./coverage.ts";
import { insideOf } from "./bound.ts";
import type { Scene } from "./scene.ts";
import type { Point } from "./similarity.ts";
import { layerOf, placeOf } from "./truth.ts";

// What of a layer can be seen at a frame, behind the layers before it. Crawl of the layers before it counts at their
// outlines only.

const outlineAt = (scene: Scene, id: string, frame: number): Point[] =>
  layerOf(scene, id).outline.map((point) => placeOf(scene, id, point, frame, "in"));

/** Ids of the layers that are before a layer at a frame. */
function before(scene: Scene, id: string, frame: number): string[] {
  const own = scene.layers.findIndex((layer) => layer.id === id);
  return scene.layers.slice(own + 1).flatMap((layer) => (layer.shown?.(frame) === false ? [] : [layer.id]));
}

/** Share of a layer's area in the picture that nothing covers, to a thousandth (products of the shares of pixels). */
export function visibleShare(scene: Scene, id: string, frame: number): number {
  const box = { left: 0, top: 0, right: scene.width, bottom: scene.height };
  const own = coverageOf(outlineAt(scene, id, frame), layerOf(scene, id).holes ?? [], box);
  if (own === null) return 0;
  const covers = before(scene, id, frame).flatMap(
    (cover) => coverageOf(outlineAt(scene, cover, frame), layerOf(scene, cover).holes ?? [], box) ?? [],
  );
  let [all, seen] = [0, 0];
  for (let row = 0; row < own.height; row++)
    for (let col = 0; col < own.width; col++) {
      const share = own.data[row * own.width + col];
      all += share;
      let open = share;
      for (const { left, top, width, height, data } of covers) {
        const [x, y] = [col + own.left - left, row + own.top - top];
        if (x >= 0 && y >= 0 && x < width && y < height) open *= 1 - data[y * width + x];
      }
      seen += open;
    }
  return all > 0 ? seen / all : 0;
}

/** Whether a pixel's centre is covered by a layer before this one, or nearer than `reach` px to one. */
export function coveredAt(
  scene: Scene,
  id: string,
  frame: number,
  reach: number,
): (col: number, row: number) => boolean {
  const covers = before(scene, id, frame).map((cover) => insideOf(outlineAt(scene, cover, frame), -reach));
  return (col, row) => covers.some((cover) => cover(col, row));
}
