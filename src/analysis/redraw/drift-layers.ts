import { type Affine, enlarged, followedBy, IDENTITY, inverseOf, rescaled } from "../../measure/affine.ts";
import type { Layer } from "../../measure/redraw/redraw.ts";
import type { Shape } from "../../measure/redraw/soft-mask.ts";
import { boundsOf, outlineAt, polygonArea, type Report, type Sheet } from "../../model/index.ts";
import { cameraMap, depthOf, driftOfPart, isAnimated, isStill } from "./part-drift.ts";
import { bendOf, nodesAt } from "./surface-bend.ts";

/** A way shorter than this is not drawn, px of the frame. */
const UNSEEN = 0.02;

type Ring = readonly (readonly [number, number])[];

const inPicture = (ring: Ring, scale: number): Ring => ring.map(([x, y]) => [x * scale, y * scale]);

/** Where a part's outline and holes are at a frame, px of the picture, which is `scale` of the frame. */
export function shapeAt(report: Report, sheet: Sheet | null, part: string, frame: number, scale: number): Shape | null {
  const points = outlineAt(
    report,
    sheet,
    part,
    report.shot.frames.findIndex((each) => each === frame),
  );
  const holes = report.parts.find(({ id }) => id === part)?.holes ?? [];
  if (points === null) return null;
  const drawn = report.parts.find(({ id }) => id === part)?.outline ?? points;
  // Holes go along with the outline's middle: they are small beside what the outline turns by.
  const [a, b] = [boundsOf(drawn), boundsOf(points)];
  const [dx, dy] = [(b[0] + b[2] - a[0] - a[2]) / 2, (b[1] + b[3] - a[1] - a[3]) / 2];
  return {
    points: inPicture(points, scale),
    holes: holes.map((ring) =>
      inPicture(
        ring.map(([x, y]) => [x + dx, y + dy]),
        scale,
      ),
    ),
  };
}

/** True where two shapes may lie on one another: by the rectangles around them. */
export const outlinesTouch = (one: Shape, other: Shape): boolean => {
  const [a, b] = [boundsOf(one.points), boundsOf(other.points)];
  return a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];
};

/** What is animated at a frame and may pass in front of what holds. */
export function animatedShapes(report: Report, sheet: Sheet | null, frame: number, scale: number): readonly Shape[] {
  return [
    ...report.parts.flatMap(({ id }) =>
      isAnimated(report, sheet, id, frame) ? (shapeAt(report, sheet, id, frame, scale) ?? []) : [],
    ),
    ...(report.animated ?? []).map(({ outline }) => ({ points: inPicture(outline, scale), holes: [] })),
  ];
}

/** What is to be drawn elsewhere in one frame. */
export interface RedrawFrame {
  /** Layers from the back to the front, with the part of each. */
  readonly layers: readonly (Layer & { readonly part: string })[];
  /** What the whole picture is drawn by after them, as when the camera is put back; null: it stays. */
  readonly whole: Affine | null;
}

export interface RedrawChoice {
  /** How many times its drift a part is from its anchor in the new picture: 1 as it is, 0 held still. */
  readonly times: number;
  /** Parts that are drawn so; null: all that drifted. */
  readonly parts: readonly string[] | null;
  /** The frame whose camera the picture is to have; null: the camera's own motion stays. Enlarged by `times` as well. */
  readonly camera: number | null;
}

/**
 * What of a frame is drawn elsewhere for its drift to look `times` as large.
 * @param scale px of the picture for a px of the frame
 */
export function redrawFrame(
  report: Report,
  sheet: Sheet | null,
  frame: number,
  { times, parts, camera }: RedrawChoice,
  scale: number,
): RedrawFrame {
  const animated = animatedShapes(report, sheet, frame, scale);
  const here = cameraMap(report, frame);
  const layers = report.parts.flatMap(({ id }): (Layer & { part: string; depth: number; area: number })[] => {
    if (parts !== null && !parts.includes(id)) return [];
    const drift = driftOfPart(report, sheet, id, frame);
    const shape = shapeAt(report, sheet, id, frame, scale);
    if (drift === null || shape === null) return [];
    const there = cameraMap(report, drift.anchor);
    // From the anchor's picture to this one, by the camera alone.
    const seen = here === null || there === null ? IDENTITY : followedBy(inverseOf(there), here);
    const is = followedBy(drift.motion, seen);
    const drawn = followedBy(enlarged(drift.motion, times), seen);
    const to = followedBy(inverseOf(is), drawn);
    const nodes = nodesAt(report, id, drift.anchor, frame);
    const outline = shape.points.map(([x, y]): [number, number] => [x / scale, y / scale]);
    if (nodes === null && isStill(to, outline, UNSEEN)) return [];
    return [
      {
        part: id,
        depth: depthOf(report, sheet, id),
        area: Math.abs(polygonArea(shape.points)),
        shape,
        to: rescaled(to, scale),
        bend: nodes === null ? null : bendOf(nodes, times - 1, scale),
        covers: animated.filter((cover) => outlinesTouch(cover, shape)),
      },
    ];
  });
  const from = camera === null ? null : cameraMap(report, camera);
  const whole =
    from === null || here === null
      ? null
      : rescaled(
          followedBy(inverseOf(here), followedBy(from, enlarged(followedBy(inverseOf(from), here), times))),
          scale,
        );
  return { layers: layers.toSorted((a, b) => a.depth - b.depth || b.area - a.area), whole };
}

/** Where a place of one frame's picture lies in another's, by the camera alone; px of a picture of `scale`. */
export function cameraFromTo(report: Report, from: number, to: number, scale: number): Affine {
  const [a, b] = [cameraMap(report, from), cameraMap(report, to)];
  return a === null || b === null ? IDENTITY : rescaled(followedBy(inverseOf(a), b), scale);
}

/** Everything that covers the set in a frame used as a plate: the parts given and all that is animated. */
export function coveredIn(
  report: Report,
  sheet: Sheet | null,
  frame: number,
  parts: readonly string[],
  scale: number,
): readonly Shape[] {
  return [
    ...parts.flatMap((id) => shapeAt(report, sheet, id, frame, scale) ?? []),
    ...animatedShapes(report, sheet, frame, scale),
  ];
}

/** Frames that may show what a part covers now: its anchor first, then frames spread over the shot. */
export function platesFor(
  report: Report,
  sheet: Sheet | null,
  frame: number,
  parts: readonly string[],
): readonly number[] {
  const frames: readonly number[] = report.shot.frames;
  const anchors = parts.flatMap((id) => driftOfPart(report, sheet, id, frame)?.anchor ?? []);
  const spread = [frames[0], frames[frames.length >> 1], frames[frames.length - 1]];
  return [...new Set([...anchors, ...spread])].filter((each) => each !== undefined && each !== frame).slice(0, 4);
}
