import type { Plane } from "./plane.ts";
import type { ReferenceFrame } from "./prepared.ts";
import type { Workspace } from "./workspace.ts";

// A shadow's soft edge that goes over a surface is a ramp of brightness inside each subset. A search that knows one gain
// and one offset takes it for a motion: by a tenth of a pixel on a weave, by half a pixel where the texture is faint. How
// the light changed is known well from the mean brightness of the subsets around, so nodes under a ramp are sought a
// second time, with the ramp put into what is sought.

/** Levels below which a ratio of brightness says nothing, grey levels of the even scale. */
const LEAST_LEVEL = 8;
/** Ramp from which a node is sought again, natural log a px. */
const LEAST_RAMP = 2e-4;
/** Reach of the nodes that tell a node's ramp, in steps of their lattice: the next ones, along its diagonals too. */
const NEXT = 1.5;
/** Nodes that it takes. */
const LEAST_NEXT = 4;
/** Reach of those that tell how the ramp bends, and how many it takes. */
const AROUND = 2.5;
const LEAST_AROUND = 8;
/** Mean square of a term that the others leave over, px to the power that it has: below it nodes lie on a line. */
const LEAST_PIVOT = 0.5;
/** Side of the planes that a shaded piece is made in, px, and where in them it lies: vectors reach past a row. */
const SIDE = 40;
const CORNER = 4;

/** Natural log of how much brighter a piece was found; NaN where it is too dark to say. */
export const brighterBy = (mean: number, difference: number): number =>
  mean > LEAST_LEVEL && mean + difference > LEAST_LEVEL ? Math.log1p(difference / mean) : Number.NaN;

/** How brightness goes about a node, natural log: a px along x and y, and half a px squared along xx, xy and yy. */
export type Ramp = readonly [x: number, y: number, xx: number, xy: number, yy: number];

/**
 * Ramps of the light over a lattice.
 * @param places of all nodes, x and y by turns, px
 * @param step of the lattice, px
 * @param brighter natural log of each node's mean brightness against its reference's; NaN where it isn't known
 * @returns for each node that lies under a ramp worth a second look; null for the others
 */
export function rampsOf(places: readonly number[], step: number, brighter: Float64Array): (Ramp | null)[] {
  const reach = AROUND * step;
  const index = new Map<number, number[]>();
  const keyOf = (col: number, row: number): number => col * 65_536 + row;
  for (let i = 0; i < brighter.length; i++) {
    if (!Number.isFinite(brighter[i])) continue;
    const key = keyOf(Math.floor(places[2 * i] / reach), Math.floor(places[2 * i + 1] / reach));
    const cell = index.get(key);
    if (cell === undefined) index.set(key, [i]);
    else cell.push(i);
  }
  return Array.from(brighter, (_, i) => {
    const [x, y] = [places[2 * i], places[2 * i + 1]];
    const [col, row] = [Math.floor(x / reach), Math.floor(y / reach)];
    const next: number[] = [];
    const around: number[] = [];
    for (let r = row - 1; r <= row + 1; r++)
      for (let c = col - 1; c <= col + 1; c++)
        for (const k of index.get(keyOf(c, r)) ?? []) {
          const far = Math.hypot(places[2 * k] - x, places[2 * k + 1] - y);
          if (far <= reach) around.push(k);
          if (far <= NEXT * step) next.push(k);
        }
    const termsOf = (near: readonly number[], terms: number): Float64Array | null =>
      fitted(near, terms, (k) => [places[2 * k] - x, places[2 * k + 1] - y, brighter[k]]);
    const line = next.length < LEAST_NEXT ? null : termsOf(next, 3);
    if (line === null || Math.hypot(line[1], line[2]) < LEAST_RAMP) return null;
    const bent = around.length < LEAST_AROUND ? null : termsOf(around, 6);
    return bent === null ? [line[1], line[2], 0, 0, 0] : [bent[1], bent[2], bent[3], bent[4], bent[5]];
  });
}

/** Least squares through 1, x, y, x^2 / 2, xy and y^2 / 2, as many of them as are asked for; null where nodes can't tell them apart. */
function fitted(
  near: readonly number[],
  terms: number,
  sampleOf: (k: number) => readonly [x: number, y: number, value: number],
): Float64Array | null {
  const normal = Array.from({ length: terms }, () => new Float64Array(terms + 1));
  for (const k of near) {
    const [x, y, value] = sampleOf(k);
    const row = [1, x, y, (x * x) / 2, x * y, (y * y) / 2];
    for (let p = 0; p < terms; p++) {
      for (let q = 0; q < terms; q++) normal[p][q] += row[p] * row[q];
      normal[p][terms] += row[p] * value;
    }
  }
  for (let p = 0; p < terms; p++) {
    // What is left of the term once those before it are taken out.
    if (!(normal[p][p] > LEAST_PIVOT * near.length)) return null;
    for (let r = 0; r < terms; r++) {
      if (r === p) continue;
      const share = normal[r][p] / normal[p][p];
      for (let q = p; q <= terms; q++) normal[r][q] -= share * normal[p][q];
    }
  }
  return Float64Array.from(normal, (row, p) => row[terms] / row[p]);
}

type Shaded = Pick<ReferenceFrame, "even" | "gradientX" | "gradientY">;

const scratches = new WeakMap<Workspace, readonly [Plane, Plane, Plane]>();

/**
 * A piece of a reference under a ramp: a small reference of its own, good until the next one is made in its workspace.
 * @param left leftmost column of the piece in the reference
 * @returns it, and where the piece's corner lies in it
 */
export function shadedPiece(
  reference: ReferenceFrame,
  left: number,
  top: number,
  size: number,
  [rampX, rampY, xx, xy, yy]: Ramp,
): { readonly reference: ReferenceFrame; readonly corner: number } {
  const { workspace, width } = reference;
  let scratch = scratches.get(workspace);
  if (scratch === undefined) {
    const plane = (): Plane => workspace.plane(SIDE, SIDE);
    scratches.set(workspace, (scratch = [plane(), plane(), plane()]));
  }
  const [even, gradientX, gradientY] = scratch;
  const shaded: Shaded = { even, gradientX, gradientY };
  const [t, gx, gy] = [reference.even.data, reference.gradientX.data, reference.gradientY.data];
  const [toT, toX, toY] = [even.data, gradientX.data, gradientY.data];
  const half = (size - 1) / 2;
  for (let y = 0; y < size; y++) {
    let from = (top + y) * width + left;
    let to = (CORNER + y) * SIDE + CORNER;
    const v = y - half;
    for (let x = 0; x < size; x++, from++, to++) {
      const u = x - half;
      const gain = 1 + rampX * u + rampY * v + (xx / 2) * u * u + xy * u * v + (yy / 2) * v * v;
      const level = t[from];
      toT[to] = gain * level;
      toX[to] = gain * gx[from] + (rampX + xx * u + xy * v) * level;
      toY[to] = gain * gy[from] + (rampY + xy * u + yy * v) * level;
    }
  }
  return { reference: { ...reference, width: SIDE, height: SIDE, ...shaded }, corner: CORNER };
}
