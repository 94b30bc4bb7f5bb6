import { type Carry, carried } from "./carry.ts";
import { erodeMask, type Polygon, polygonMask } from "./mask.ts";
import type { Plane } from "./plane.ts";
import type { PreparedFrame, ReferenceFrame } from "./prepared.ts";
import { motionOfNodes } from "./motion-of-nodes.ts";
import { NODE_VALUES, samplesOf } from "./node-samples.ts";
import { acrossLines, axesOf, tellsAlong } from "./one-way.ts";
import { brighterBy, rampsOf, shadedPiece } from "./shaded-nodes.ts";
import {
  REFERENCE_GRADIENT_NOISE,
  type SubsetReference,
  subsetReference,
  type SubsetResult,
  type SubsetSolver,
} from "./subset.ts";
import { bends, type SubsetShape, UNTURNED } from "./subset-shape.ts";

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
 * Each node found again: where the part's own motion puts it; once more where all nodes together say that the surface
 * turned or grew otherwise; and with the light's own slope in it where a shadow's edge lies over it.
 * @param places centres at the lattice's own frame, x and y by turns
 * @param place where they are in the reference
 * @param motion from the reference to the current frame, as far as it is known: the seed
 * @param held the surface stands and turns as its part does, which has been measured as a whole: it isn't asked itself
 * @returns NODE_VALUES a node, px: what it did beyond `motion`; NaN where it was not found
 */
export function measureNodes(
  reference: ReferenceFrame,
  current: PreparedFrame,
  solver: SubsetSolver,
  places: readonly number[],
  place: Carry,
  motion: Carry,
  held: boolean,
): Float32Array {
  const { size } = solver;
  const half = (size - 1) / 2;
  const nodes = places.length / 2;
  const out = new Float32Array(nodes * NODE_VALUES);
  const made = piecesOf(reference, places, place);
  const centres = new Float64Array(2 * nodes);
  const used = new Uint8Array(nodes);
  const brighter = new Float64Array(nodes);
  for (let i = 0; i < nodes; i++) {
    const [x, y] = carried(place, places[2 * i], places[2 * i + 1]);
    const [left, top] = [Math.floor(x) - half, Math.floor(y) - half];
    if (left < 3 || top < 3 || left + size + 3 > reference.width || top + size + 3 > reference.height) continue;
    if (made[i] === undefined) made[i] = nodePiece(reference, left, top, size);
    if (!made[i]) continue;
    centres.set([left + half + 0.5, top + half + 0.5], 2 * i);
    used[i] = 1;
  }
  /** One node in a reference, or in a small one of its own: places in the current frame are told from the piece's own. */
  const find = (
    i: number,
    from: ReferenceFrame,
    node: NodePiece,
    as: Carry,
    shape: SubsetShape | null,
  ): SubsetResult => {
    const [ownX, ownY] = [node.piece.left + half + 0.5, node.piece.top + half + 0.5];
    const [seedX, seedY] = carried(as, centres[2 * i], centres[2 * i + 1]);
    const found = findPiece(solver, from, node, current, seedX - ownX, seedY - ownY, shape);
    const { dx, dy, varX, varY, covXY, residual } = found;
    if (!found.converged || found.correlation < LEAST_CORRELATION) return found;
    if (axesOf([varX, covXY, varY]).smaller > LARGEST_SIGMA ** 2) return found;
    const [toX, toY] = carried(motion, centres[2 * i], centres[2 * i + 1]);
    out.set([dx - toX + ownX, dy - toY + ownY, varX, varY, covXY, residual], i * NODE_VALUES);
    return found;
  };
  const shapeUnder = (as: Carry): SubsetShape | null => (bends(shapeOf(as), UNTURNED, size) ? shapeOf(as) : null);
  const findAll = (as: Carry): void => {
    const shape = shapeUnder(as);
    out.fill(Number.NaN);
    brighter.fill(Number.NaN);
    for (let i = 0; i < nodes; i++) {
      const node = made[i];
      if (used[i] === 0 || !node) continue;
      const found = find(i, reference, node, as, shape);
      if (found.converged) brighter[i] = brighterBy(node.piece.meanT, found.brighter);
    }
  };
  findAll(motion);
  const own = held ? null : motionOfNodes(motion, samplesOf(out, centres, used));
  const turned = own !== null && bends(shapeOf(own), shapeOf(motion), size);
  if (turned) findAll(own);
  const as = turned ? own : motion;
  rampsOf(places, NODE_STEP, brighter).forEach((ramp, i) => {
    if (ramp === null || used[i] === 0) return;
    const [left, top] = [centres[2 * i] - half - 0.5, centres[2 * i + 1] - half - 0.5];
    const { reference: shaded, corner } = shadedPiece(reference, left, top, size, ramp);
    const node = nodePiece(shaded, corner, corner, size);
    if (node !== null) find(i, shaded, node, as, shapeUnder(as));
  });
  return out;
}

/** A piece's shape under a similarity. */
const shapeOf = ({ a, b }: Carry): SubsetShape => ({ xx: a, xy: -b, yx: b, yy: a });

/** The node near its seed; across its lines alone where it has nothing but lines. */
function findPiece(
  solver: SubsetSolver,
  reference: ReferenceFrame,
  { piece, held }: NodePiece,
  current: PreparedFrame,
  seedX: number,
  seedY: number,
  shape: SubsetShape | null,
): SubsetResult {
  if (held === null) return solver.solve(reference, piece, current, seedX, seedY, RANGE, shape);
  const found = solver.solve(reference, held, current, seedX, seedY, RANGE, shape);
  if (!found.converged || !tellsAlong(piece, solver.size ** 2, found.residual, REFERENCE_GRADIENT_NOISE)) return found;
  const across = { ...found };
  const whole = solver.solve(reference, piece, current, found.dx, found.dy, RANGE, shape);
  return whole.converged ? whole : across;
}
