// Small exact geometry of outlines: polygons as lists of corners, px, y down, even-odd throughout.

type Corner = readonly [number, number];
type Ring = readonly Corner[];

/** Signed area, px squared, positive where the corners go from x towards y (clockwise as seen). Zero for fewer than 3 corners. */
export const polygonArea = (ring: Ring): number => {
  let twice = 0;
  let [x0, y0] = ring.at(-1) ?? [0, 0];
  for (const [x1, y1] of ring) {
    twice += x0 * y1 - x1 * y0;
    [x0, y0] = [x1, y1];
  }
  return twice / 2;
};

/** Left, top, right and bottom of all corners. Infinite and inverted where there are none. */
export const boundsOf = (ring: Ring): readonly [number, number, number, number] => {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of ring) {
    left = Math.min(left, x);
    top = Math.min(top, y);
    right = Math.max(right, x);
    bottom = Math.max(bottom, y);
  }
  return [left, top, right, bottom];
};

/** Where the boundary of the rings crosses the horizontal line at y, in ascending order of x. */
const crossings = (rings: readonly Ring[], y: number): number[] => {
  const found: number[] = [];
  for (const ring of rings) {
    let [x0, y0] = ring.at(-1) ?? [0, 0];
    for (const [x1, y1] of ring) {
      if (y0 <= y !== y1 <= y) found.push(x0 + ((y - y0) / (y1 - y0)) * (x1 - x0));
      [x0, y0] = [x1, y1];
    }
  }
  return found.sort((a, b) => a - b);
};

/** True where the point is inside the outline: even-odd, holes cut out. */
export const outlineContains = (
  outline: { readonly points: Ring; readonly holes: readonly Ring[] },
  x: number,
  y: number,
): boolean => {
  const odd = (ring: Ring) => crossings([ring], y).filter((at) => at <= x).length % 2 === 1;
  return odd(outline.points) && !outline.holes.some(odd);
};

/**
 * True where the even-odd inside of a ring has an area, however it crosses itself. The signed area can't
 * tell: it is zero for a symmetric bow tie, and not for a ring that runs round twice and encloses nothing.
 */
export const enclosesArea = (ring: Ring): boolean => {
  const levels = [...new Set(ring.map(([, y]) => y))].sort((a, b) => a - b);
  for (let i = 1; i < levels.length; i++) {
    const [top, bottom] = [levels[i - 1], levels[i]];
    // Between two levels every edge is a straight line. Two edges that aren't one line meet at one height
    // at most, so that two heights can't both be empty by chance.
    for (const fraction of [0.381966, 0.723607]) {
      const at = crossings([ring], top + fraction * (bottom - top));
      let covered = 0;
      for (let k = 1; k < at.length; k += 2) covered += at[k] - at[k - 1];
      if (covered > 1e-9 * Math.max(1, Math.abs(at[0]), Math.abs(at[at.length - 1]))) return true;
    }
  }
  return false;
};

/**
 * Centroid of an outline with its holes cut out, px. Where the signed areas nearly cancel (a bow tie) the
 * middle of the bounds stands in.
 */
export const centroidOf = (outline: {
  readonly points: Ring;
  readonly holes: readonly Ring[];
}): readonly [number, number] => {
  const [left, top, right, bottom] = boundsOf(outline.points);
  const [midX, midY] = [(left + right) / 2, (top + bottom) / 2];
  let [area, sumX, sumY] = [0, 0, 0];
  for (const ring of [outline.points, ...outline.holes]) {
    // Corners relative to the middle keep the digits; holes count against the outline, whichever way they run.
    const near = ring.map(([x, y]) => [x - midX, y - midY] as const);
    const own = polygonArea(near);
    const sign = Math.sign(own) * (ring === outline.points ? 1 : -1);
    let [x0, y0] = near.at(-1) ?? [0, 0];
    for (const [x1, y1] of near) {
      const cross = sign * (x0 * y1 - x1 * y0);
      sumX += (x0 + x1) * cross;
      sumY += (y0 + y1) * cross;
      [x0, y0] = [x1, y1];
    }
    area += sign * own;
  }
  if (Math.abs(area) <= 1e-6 * (right - left) * (bottom - top)) return [midX, midY];
  return [midX + sumX / (6 * area), midY + sumY / (6 * area)];
};

/** True where the segment from a to b touches the rectangle from (0, 0) to (width, height). */
const segmentMeets = (a: Corner, b: Corner, width: number, height: number): boolean => {
  // Liang and Barsky's clipping: the stretch of the segment that is inside all four edges.
  let [enter, leave] = [0, 1];
  for (const [delta, room] of [
    [a[0] - b[0], a[0]],
    [b[0] - a[0], width - a[0]],
    [a[1] - b[1], a[1]],
    [b[1] - a[1], height - a[1]],
  ]) {
    if (delta === 0 && room < 0) return false;
    if (delta < 0) enter = Math.max(enter, room / delta);
    if (delta > 0) leave = Math.min(leave, room / delta);
  }
  return enter <= leave;
};

/** True where any of the outline lies in a picture of this size. */
export const isInPicture = (
  outline: { readonly points: Ring; readonly holes: readonly Ring[] },
  width: number,
  height: number,
): boolean => {
  const touches = outline.points.some((corner, i) =>
    segmentMeets(outline.points.at(i - 1) ?? corner, corner, width, height),
  );
  // An outline whose edge stays outside has the whole picture inside it, or none.
  return touches || outlineContains(outline, width / 2, height / 2);
};
