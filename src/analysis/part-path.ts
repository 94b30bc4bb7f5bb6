import { polygonCentroid, type Polygon } from "../measure/mask.ts";
import type { FrameNumber } from "../units/index.ts";
import type { GridMeasurement } from "./measurement.ts";
import { movePoint, movePointBack, type RegionMotion, regionMotion } from "./region-motion.ts";

/** A part's outline in one frame, px of the analysed frame. */
export interface Shape {
  readonly outline: Polygon;
  readonly holes: readonly Polygon[];
}

export interface ShapeKey extends Shape {
  readonly frame: FrameNumber;
}

const mapped = (shape: Shape, move: (point: readonly [number, number]) => [number, number]): Shape => ({
  outline: shape.outline.map(move),
  holes: shape.holes.map((hole) => hole.map(move)),
});

/** Motion of a pair, as far as it is needed before the first outline is known. */
interface Waiting {
  readonly from: FrameNumber;
  readonly to: FrameNumber;
  readonly pair: GridMeasurement;
}

/**
 * A part's outline followed through the shot: taken from its keys where there are any, carried by measured motion in
 * between, and carried backwards from its first key to the frames before.
 */
export class PartPath {
  readonly shapes = new Map<FrameNumber, Shape>();
  /** The region's motion from the frame before to this one. */
  readonly motions = new Map<FrameNumber, RegionMotion>();
  private readonly keys: ReadonlyMap<FrameNumber, Shape>;
  private readonly waiting: Waiting[] = [];
  private readonly firstKey: FrameNumber;

  constructor(keys: readonly ShapeKey[]) {
    this.keys = new Map(keys.map((key) => [key.frame, key] as const));
    this.firstKey = keys[0].frame;
  }

  /** The latest known outline at or before a frame; before the first key, the first key's. */
  shapeNear(frame: FrameNumber): Shape {
    let best: Shape | undefined;
    let at = Number.NEGATIVE_INFINITY;
    for (const [number, shape] of this.shapes)
      if (number <= frame && number > at) {
        at = number;
        best = shape;
      }
    return best ?? (this.keys.get(this.firstKey) as Shape);
  }

  start(frame: FrameNumber): void {
    const key = this.keyBetween(null, frame);
    if (key !== null) this.shapes.set(frame, key);
  }

  /** A key drawn at a frame that could not be read still counts for the next one that could. */
  private keyBetween(after: FrameNumber | null, upTo: FrameNumber): Shape | null {
    let found: Shape | null = null;
    for (const [frame, shape] of this.keys) if (frame <= upTo && (after === null || frame > after)) found = shape;
    return found;
  }

  /**
   * One step on. `motion` is how the part moved since the frame before: measured, the camera's alone, or null where
   * the part was not found again (the outline then stays where it was).
   */
  step(from: FrameNumber, to: FrameNumber, motion: RegionMotion | null, pair: GridMeasurement | null): void {
    const key = this.keyBetween(from, to);
    const before = this.shapes.get(from);
    if (before === undefined) {
      if (pair !== null) this.waiting.push({ from, to, pair });
      if (key !== null) {
        this.shapes.set(to, key);
        this.backwards();
      }
      return;
    }
    if (motion !== null) this.motions.set(to, motion);
    this.shapes.set(to, key ?? (motion === null ? before : mapped(before, (point) => movePoint(motion, point))));
  }

  /** The region's motion from `from` on, by the pair's nodes inside the outline there; null where it is not known. */
  motionOf(from: FrameNumber, pair: GridMeasurement): RegionMotion | null {
    const shape = this.shapes.get(from);
    if (shape === undefined) return null;
    const { x, y } = polygonCentroid(shape.outline);
    return regionMotion(pair, shape.outline, x, y);
  }

  private backwards(): void {
    for (let i = this.waiting.length - 1; i >= 0; i--) {
      const { from, to, pair } = this.waiting[i];
      const later = this.shapes.get(to) as Shape;
      // The nodes belong to the earlier frame, whose outline is what is looked for: start from the later one, repeat.
      let earlier = later;
      let motion: RegionMotion | null = null;
      for (let round = 0; round < 4; round++) {
        const { x, y } = polygonCentroid(earlier.outline);
        const next = regionMotion(pair, earlier.outline, x, y);
        if (next === null) break;
        motion = next;
        earlier = mapped(later, (point) => movePointBack(next, point));
      }
      this.shapes.set(from, earlier);
      if (motion !== null) this.motions.set(to, motion);
    }
    this.waiting.length = 0;
  }

  /** Where a point of the part, told at one frame, is at another; it stays where motion is not known. */
  carryPoint(
    point: readonly [number, number],
    from: FrameNumber,
    to: FrameNumber,
    frames: readonly FrameNumber[],
  ): [number, number] {
    let at: [number, number] = [point[0], point[1]];
    if (to >= from) {
      for (const frame of frames) {
        if (frame <= from || frame > to) continue;
        const motion = this.motions.get(frame);
        if (motion !== undefined) at = movePoint(motion, at);
      }
      return at;
    }
    for (let i = frames.length - 1; i >= 0; i--) {
      const frame = frames[i];
      if (frame > from || frame <= to) continue;
      const motion = this.motions.get(frame);
      if (motion !== undefined) at = movePointBack(motion, at);
    }
    return at;
  }
}
