import type { Outline, Point, Polygon } from "../sheet.ts";

// Corners of one outline: ring 0 is the outline itself, those from 1 on its holes.

/** Which corner of which ring. */
export interface Corner {
  readonly ring: number;
  readonly index: number;
}

export const ringsOf = (outline: Pick<Outline, "points" | "holes">): readonly Polygon[] => [
  outline.points,
  ...outline.holes,
];

const withRing = (outline: Outline, ring: number, change: (points: Polygon) => Polygon): Outline =>
  ring === 0
    ? { ...outline, points: change(outline.points) }
    : { ...outline, holes: outline.holes.map((hole, i) => (i === ring - 1 ? change(hole) : hole)) };

export const moveCorner = (outline: Outline, { ring, index }: Corner, to: Point): Outline =>
  withRing(outline, ring, (points) => points.map((point, i) => (i === index ? to : point)));

/** Puts a corner behind the one that is named. */
export const insertCorner = (outline: Outline, { ring, index }: Corner, at: Point): Outline =>
  withRing(outline, ring, (points) => [...points.slice(0, index + 1), at, ...points.slice(index + 1)]);

/** Takes a corner away. A hole of three corners goes with it; an outline of three stays, and null is told. */
export const removeCorner = (outline: Outline, { ring, index }: Corner): Outline | null => {
  const points = ringsOf(outline)[ring];
  if (points === undefined) return null;
  if (points.length > 3) return withRing(outline, ring, (all) => all.filter((_, i) => i !== index));
  return ring === 0 ? null : { ...outline, holes: outline.holes.filter((_, i) => i !== ring - 1) };
};

export const addHole = (outline: Outline, hole: Polygon): Outline => ({ ...outline, holes: [...outline.holes, hole] });

/** The corner that is nearest to a place and within reach of it, px; null where none is. */
export const cornerNear = (outline: Pick<Outline, "points" | "holes">, at: Point, reach: number): Corner | null => {
  let best: Corner | null = null;
  let nearest = reach;
  ringsOf(outline).forEach((points, ring) =>
    points.forEach(([x, y], index) => {
      const distance = Math.hypot(x - at[0], y - at[1]);
      if (distance <= nearest) [best, nearest] = [{ ring, index }, distance];
    }),
  );
  return best;
};

/** The edge (named by its first corner) that is nearest to a place and within reach of it, px; null where none is. */
export const edgeNear = (outline: Pick<Outline, "points" | "holes">, at: Point, reach: number): Corner | null => {
  let best: Corner | null = null;
  let nearest = reach;
  ringsOf(outline).forEach((points, ring) =>
    points.forEach(([x0, y0], index) => {
      const [x1, y1] = points[(index + 1) % points.length];
      const [dx, dy] = [x1 - x0, y1 - y0];
      const along = Math.min(1, Math.max(0, ((at[0] - x0) * dx + (at[1] - y0) * dy) / (dx * dx + dy * dy || 1)));
      const distance = Math.hypot(x0 + along * dx - at[0], y0 + along * dy - at[1]);
      if (distance <= nearest) [best, nearest] = [{ ring, index }, distance];
    }),
  );
  return best;
};
