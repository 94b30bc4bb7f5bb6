import { type Carry, carried } from "./carry.ts";
import { erodeMask, type Polygon, polygonMask } from "./mask.ts";
import type { Plane } from "./plane.ts";
import type { PreparedFrame, ReferenceFrame } from "./prepared.ts";
import { brighterBy, rampsOf, shadedPiece } from "./shaded-nodes.ts";
import { ALONG_SIGMA, acrossLines, axesOf, tellsAlong } from "./one-way.ts";
import {
  REFERENCE_GRADIENT_NOISE,
  type SubsetReference,
  subsetReference,
  type SubsetResult,
  type SubsetSolver,
} from "./subset.ts";

// What a surface does over what it rides on: small subsets on a dense lattice inside an outline, each found again near
// where the part's own motion puts it. What they say beyond that motion is left over.

/** Distance of neighbouring nodes, px of the analysed frame. */
export const NODE_STEP = 8;
/** Side of a node's subset, px, and the one for parts that are too narrow for it. */
export const NODE_SIZE = 21;
export const NARROW_SIZE = 15;
/** Fewer nodes say nothing of a surface. */
export const LEAST_NODES = 9;
/** Reach of prefilter and spline beside a subset, px: nearer to the outline other things shine in. */
const BORDER = 2;
/** Farthest that a node is followed from where the part's motion puts it, px. */
const RANGE = 4;
/** Correlation under which the piece found is not the piece looked for. */
const LEAST_CORRELATION = 0.5;
/** Sigma above which even many nodes together say nothing, px. */
const LARGEST_SIGMA = 0.5;

/** Turn and growth in one step, radians, above which lines are not taken for lines: a subset doesn't turn with them. */
const MOST_TURN = 0.01;

/** Values that a node is told by: dx, dy beyond the seed, varX, varY, covXY, RMS of the match's residual. */
export const NODE_VALUES = 6;

/** Nodes on a lattice, px of the analysed frame: those whose subset shows the surface alone. */
export interface NodeLattice {
  readonly size: number;
  readonly step: number;
  /** Centres, x and y by turns. */
  readonly places: readonly number[];
  /** Column and row of each node, by turns. */
  readonly cells: readonly number[];
}

/**
 * @param covers outlines of what lies over the surface
 * @returns null where fewer than LEAST_NODES subsets fit
 */
export function nodeLattice(
  outline: Polygon,
  holes: readonly Polygon[],
  covers: readonly Polygon[],
  width: number,
  height: number,
  sizes: readonly number[] = [NODE_SIZE, NARROW_SIZE],
  step = NODE_STEP,
): NodeLattice | null {
  const mask = polygonMask(outline, holes, width, height);
  const data = mask.data.slice();
  for (const cover of covers) {
    const over = polygonMask(cover, [], width, height);
    const x0 = Math.max(over.left, mask.left);
    const x1 = Math.min(over.left + over.width, mask.left + mask.width);
    const y0 = Math.max(over.top, mask.top);
    const y1 = Math.min(over.top + over.height, mask.top + mask.height);
    for (let y = y0; y < y1; y++)
      for (let x = x0; x < x1; x++)
        if (over.data[(y - over.top) * over.width + x - over.left] === 1)
          data[(y - mask.top) * mask.width + x - mask.left] = 0;
  }
  for (const size of sizes) {
    const inner = erodeMask({ ...mask, data }, (size - 1) / 2 + BORDER);
    const margin = (size - 1) / 2 + 4;
    const places: number[] = [];
    const cells: number[] = [];
    const firstX = Math.floor((mask.width % step) / 2);
    const firstY = Math.floor((mask.height % step) / 2);
    for (let y = firstY, row = 0; y < mask.height; y += step, row++)
      for (let x = firstX, col = 0; x < mask.width; x += step, col++) {
        if (inner.data[y * mask.width + x] === 0) continue;
        const px = mask.left + x;
        const py = mask.top + y;
        if (px < margin || py < margin || px >= width - margin || py >= height - margin) continue;
        places.push(px + 0.5, py + 0.5);
        cells.push(col, row);
      }
    if (cells.length >= 2 * LEAST_NODES) return { size, step, places, cells };
  }
  return null;
}

/** What a node shows; the same held along its lines where it shows little else. */
interface NodePiece {
  readonly piece: SubsetReference;
  readonly held: SubsetReference | null;
}

interface Pieces {
  readonly place: Carry;
  readonly made: (NodePiece | null | undefined)[];
}

/** By the reference's picture, then by the lattice's places: a surface that is held has the same ones in all frames. */
const pieces = new WeakMap<Plane, WeakMap<readonly number[], Pieces>>();

function nodePiece(reference: ReferenceFrame, left: number, top: number, size: number): NodePiece | null {
  const piece = subsetReference(reference, left, top, size);
  return piece === null ? null : { piece, held: acrossLines(piece) };
}

const isSame = (one: Carry, other: Carry): boolean =>
  one.shiftX === other.shiftX && one.shiftY === other.shiftY && one.a === other.a && one.b === other.b;

/** What the nodes of a reference show, each made when it is first asked for. */
function piecesOf({ even }: ReferenceFrame, places: readonly number[], place: Carry): Pieces["made"] {
  let lattices = pieces.get(even);
  if (lattices === undefined) pieces.set(even, (lattices = new WeakMap()));
  let known = lattices.get(places);
  if (known === undefined || !isSame(known.place, place))
    lattices.set(places, (known = { place, made: new Array(places.length / 2).fill(undefined) }));
  return known.made;
}

/**
 * Each node found again; a second time, with the light's own slope in it, where a shadow's edge lies over it.
 * @param places centres at the lattice's own frame, x and y by turns
 * @param place where they are in the reference
 * @param motion from the reference to the current frame, as far as it is known: the seed
 * @returns NODE_VALUES a node, px: what it did beyond `motion`; NaN where it was not found
 */
export function measureNodes(
  reference: ReferenceFrame,
  current: PreparedFrame,
  solver: SubsetSolver,
  places: readonly number[],
  place: Carry,
  motion: Carry,
): Float32Array {
  const { size } = solver;
  const half = (size - 1) / 2;
  const nodes = places.length / 2;
  const out = new Float32Array(nodes * NODE_VALUES).fill(Number.NaN);
  const made = piecesOf(reference, places, place);
  const turn = Math.hypot(motion.a - 1, motion.b);
  const brighter = new Float64Array(nodes).fill(Number.NaN);
  const take = (i: number, found: SubsetResult, node: NodePiece, shiftX: number, shiftY: number): void => {
    if (!found.converged || found.correlation < LEAST_CORRELATION) return;
    if (axesOf([found.varX, found.covXY, found.varY]).smaller > LARGEST_SIGMA ** 2) return;
    const [varX, covXY, varY] = turnedLines(found, node, half * turn);
    out.set([found.dx - shiftX, found.dy - shiftY, varX, varY, covXY, found.residual], i * NODE_VALUES);
  };
  const cornerOf = (i: number): readonly [left: number, top: number] => {
    const [x, y] = carried(place, places[2 * i], places[2 * i + 1]);
    return [Math.floor(x) - half, Math.floor(y) - half];
  };
  const shiftOf = (left: number, top: number): readonly [x: number, y: number] => {
    const [cx, cy] = [left + half + 0.5, top + half + 0.5];
    const [toX, toY] = carried(motion, cx, cy);
    return [toX - cx, toY - cy];
  };
  for (let i = 0; i < nodes; i++) {
    const [left, top] = cornerOf(i);
    if (left < 3 || top < 3 || left + size + 3 > reference.width || top + size + 3 > reference.height) continue;
    if (made[i] === undefined) made[i] = nodePiece(reference, left, top, size);
    const node = made[i];
    if (!node) continue;
    const [shiftX, shiftY] = shiftOf(left, top);
    const found = findPiece(solver, reference, node, turn > MOST_TURN, current, shiftX, shiftY);
    if (found.converged) brighter[i] = brighterBy(node.piece.meanT, found.brighter);
    take(i, found, node, shiftX, shiftY);
  }
  rampsOf(places, NODE_STEP, brighter).forEach((ramp, i) => {
    if (ramp === null || !made[i]) return;
    const [left, top] = cornerOf(i);
    const { reference: shaded, corner } = shadedPiece(reference, left, top, size, ramp);
    const node = nodePiece(shaded, corner, corner, size);
    if (node === null) return;
    // The current frame's places are told from the shaded piece's own corner.
    const [shiftX, shiftY] = shiftOf(left, top);
    const [seedX, seedY] = [shiftX + left - corner, shiftY + top - corner];
    const found = findPiece(solver, shaded, node, turn > MOST_TURN, current, seedX, seedY);
    take(i, found, node, seedX, seedY);
  });
  return out;
}

/**
 * Covariance of what was found, with what a turn leaves: a subset doesn't turn with its surface, so lines stay off across
 * by up to `atEdge` px, a third of it squared on the whole, and the little texture that they have along takes that for so
 * much more of a motion as it is fainter than they are.
 */
function turnedLines(
  { varX, covXY, varY }: SubsetResult,
  { piece, held }: NodePiece,
  atEdge: number,
): readonly [varX: number, covXY: number, varY: number] {
  if (held === null || atEdge === 0) return [varX, covXY, varY];
  const { smaller, larger, axis } = axesOf([piece.hxx, piece.hxy, piece.hyy]);
  const [x, y] = axis;
  const more = Math.min(ALONG_SIGMA ** 2, ((atEdge * atEdge) / 3) * (larger / Math.max(smaller, 1e-12)));
  return [varX + more * x * x, covXY + more * x * y, varY + more * y * y];
}

/** The node near its seed; across its lines alone where it has nothing but lines, and doesn't turn. */
function findPiece(
  solver: SubsetSolver,
  reference: ReferenceFrame,
  { piece, held }: NodePiece,
  turns: boolean,
  current: PreparedFrame,
  seedX: number,
  seedY: number,
): SubsetResult {
  if (held === null || turns) return solver.solve(reference, piece, current, seedX, seedY, RANGE);
  const found = solver.solve(reference, held, current, seedX, seedY, RANGE);
  if (!found.converged || !tellsAlong(piece, solver.size ** 2, found.residual, REFERENCE_GRADIENT_NOISE)) return found;
  const across = { ...found };
  const whole = solver.solve(reference, piece, current, found.dx, found.dy, RANGE);
  return whole.converged ? whole : across;
}
