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
/** Reach of the nodes that tell a node's ramp, px: one step of the lattice and its diagonal. */
const REACH = 12;
/** Nodes that it takes. */
const LEAST_AROUND = 4;
/** Side of the planes that a shaded piece is made in, px, and where in them it lies: vectors reach past a row. */
const SIDE = 40;
const CORNER = 4;

/** Natural log of how much brighter a piece was found; NaN where it is too dark to say. */
export const brighterBy = (mean: number, difference: number): number =>
  mean > LEAST_LEVEL && mean + difference > LEAST_LEVEL ? Math.log1p(difference / mean) : Number.NaN;

/** Ramp of brightness, natural log a px along x and y. */
export type Ramp = readonly [x: number, y: number];

/**
 * Ramps of the light over a lattice.
 * @param places of all nodes, x and y by turns, px
 * @param step of the lattice, px
 * @param brighter natural log of each node's brightness against its reference; NaN where it isn't known
 * @returns for each node that lies under a ramp worth a second look; null for the others
 */
export function rampsOf(places: readonly number[], step: number, brighter: Float64Array): (Ramp | null)[] {
  const reach = REACH * step;
  const index = new Map<number, number[]>();
  const keyOf = (col: number, row: number): number => col * 65_536 + row;
  for (let i = 0; i < brighter.length; i++) {
    if (!Number.isFinite(brighter[i])) continue;
    const key = keyOf(Math.floor(places[2 * i] / reach), Math.floor(places[2 * i + 1] / reach));
    const cell = index.get(key);
    if (cell === undefined) index.set(key, [i]);
    else cell.push(i);
  }
  const near: number[] = [];
  return Array.from(brighter, (_, i) => {
    const [x, y] = [places[2 * i], places[2 * i + 1]];
    const [col, row] = [Math.floor(x / reach), Math.floor(y / reach)];
    near.length = 0;
    for (let r = row - 1; r <= row + 1; r++)
      for (let c = col - 1; c <= col + 1; c++)
        for (const k of index.get(keyOf(c, r)) ?? [])
          if (Math.hypot(places[2 * k] - x, places[2 * k + 1] - y) <= reach) near.push(k);
    const ramp = near.length < LEAST_AROUND ? null : rampThrough(places, brighter, near);
    return ramp !== null && Math.hypot(ramp[0], ramp[1]) >= LEAST_RAMP ? ramp : null;
  });
}

/** By least squares; null where the nodes lie on a line. */
function rampThrough(places: readonly number[], brighter: Float64Array, near: readonly number[]): Ramp | null {
  let [mx, my, mb] = [0, 0, 0];
  for (const k of near) {
    mx += places[2 * k] / near.length;
    my += places[2 * k + 1] / near.length;
    mb += brighter[k] / near.length;
  }
  let [xx, xy, yy, xb, yb] = [0, 0, 0, 0, 0];
  for (const k of near) {
    const [x, y, b] = [places[2 * k] - mx, places[2 * k + 1] - my, brighter[k] - mb];
    xx += x * x;
    xy += x * y;
    yy += y * y;
    xb += x * b;
    yb += y * b;
  }
  const determinant = xx * yy - xy * xy;
  return determinant > 0.05 * xx * yy ? [(yy * xb - xy * yb) / determinant, (xx * yb - xy * xb) / determinant] : null;
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
  [rampX, rampY]: Ramp,
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
    for (let x = 0; x < size; x++, from++, to++) {
      const gain = 1 + rampX * (x - half) + rampY * (y - half);
      const level = t[from];
      toT[to] = gain * level;
      toX[to] = gain * gx[from] + rampX * level;
      toY[to] = gain * gy[from] + rampY * level;
    }
  }
  return { reference: { ...reference, width: SIDE, height: SIDE, ...shaded }, corner: CORNER };
}
