import { insidePolygon, type Polygon } from "../measure/mask.ts";
import type { CellLayout } from "./found-parts.ts";

// Which nodes of a lattice went along: each votes, by its own precision, between "went as the others did" and "stood
// still", and so does its surrounding, since a thing is in one piece.

/** How far a node went, px of the analysed frame, and with what precision, 1 / px squared: across lines alone it has one direction. */
export interface NodeContrast {
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

/** Times that motion and region are told by each other. */
const ROUNDS = 6;
/** No node outvotes its whole surrounding: where all are sure, each speaks for itself. */
const MOST_SURE = 3;
/**
 * On a faint texture noise decides between neighbours: places beside those that went along go with them, as far as this,
 * unless their surroundings are against it by more than this. Chosen by noise alone the others would look surer than they are.
 */
const GOES_WITH = 2;
const CLEARLY_STILL = -3;
/** Nodes whose whole surrounding went along that it takes to tell a turn. */
const TELL_A_TURN = 25;
const LEAST_INSIDE = 4;
/** Share of that way that is begun with: noise made the most telling cell go too far, and only what goes half as far joins. */
const START = 0.4;
/** Of the way that its most telling cell went, along it: what goes less is something else, or noise. */
const LEAST_OF_WAY = 0.25;

/** A motion of one piece: shift at a place, px, and turn, radians. */
interface Motion {
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  readonly turn: number;
}

export interface MovedRegion {
  /** Places on the lattice. */
  readonly nodes: readonly number[];
  /** How much likelier it is that they went along than that they stood still, in natural logarithms. */
  readonly evidence: number;
  /** Nodes whose whole surrounding went along as well. */
  readonly deep: number;
}

function motionOf(nodes: readonly NodeContrast[], before: Motion | null, canTurn: boolean): Motion | null {
  const x = nodes.reduce((sum, node) => sum + node.x, 0) / nodes.length;
  const y = nodes.reduce((sum, node) => sum + node.y, 0) / nodes.length;
  let [xx, xy, yy, xt, yt, tt, bx, by, bt, radius] = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (const node of nodes) {
    const [u, v] = [node.x - x, node.y - y];
    const [px, py] = [node.xx * node.dx + node.xy * node.dy, node.xy * node.dx + node.yy * node.dy];
    // A turn moves the node by (-v, u).
    const [tx, ty] = [-node.xx * v + node.xy * u, -node.xy * v + node.yy * u];
    xx += node.xx;
    xy += node.xy;
    yy += node.yy;
    xt += tx;
    yt += ty;
    tt += -v * tx + u * ty;
    bx += px;
    by += py;
    bt += -v * px + u * py;
    radius += u * u + v * v;
  }
  const determinant = xx * yy - xy * xy;
  if (!(determinant > 1e-9 * (xx + yy) ** 2)) return null;
  const solve = (a: number, b: number): [number, number] => [
    (yy * a - xy * b) / determinant,
    (xx * b - xy * a) / determinant,
  ];
  let turn = 0;
  if (canTurn && before !== null) {
    // No more than moves the edge about as far as the middle went, unless the nodes insist.
    const usual = (before.dx ** 2 + before.dy ** 2) / (radius / nodes.length);
    const [sx, sy] = solve(xt, yt);
    const [mx, my] = solve(bx, by);
    turn = (bt - xt * mx - yt * my) / (tt - xt * sx - yt * sy + 1 / usual);
  }
  const [dx, dy] = solve(bx - xt * turn, by - yt * turn);
  return { x, y, dx, dy, turn };
}

/** How much likelier a node went along than stood still: its log-likelihood ratio. */
function voteOf(node: NodeContrast, motion: Motion): number {
  const [u, v] = [node.x - motion.x, node.y - motion.y];
  const [ex, ey] = [motion.dx - motion.turn * v, motion.dy + motion.turn * u];
  const [px, py] = [node.xx * ex + node.xy * ey, node.xy * ex + node.yy * ey];
  return node.dx * px + node.dy * py - (ex * px + ey * py) / 2;
}

/** Sum over a place and the eight around it. */
function surroundings(values: Float64Array, { cols, rows }: CellLayout): Float64Array {
  const out = new Float64Array(values.length);
  for (let r = 0; r < rows; r++)
    for (let c = 0; c < cols; c++) {
      if (values[r * cols + c] === 0) continue;
      for (let v = Math.max(0, r - 1); v <= Math.min(rows - 1, r + 1); v++)
        for (let u = Math.max(0, c - 1); u <= Math.min(cols - 1, c + 1); u++) out[v * cols + u] += values[r * cols + c];
    }
  return out;
}

/** Connected places of a set (by their sides), each set with what it encloses. */
function components(inside: Uint8Array, { cols, rows }: CellLayout): number[][] {
  const seen = new Uint8Array(inside.length);
  const out: number[][] = [];
  for (let start = 0; start < inside.length; start++) {
    if (inside[start] === 0 || seen[start] === 1) continue;
    const cells: number[] = [];
    const queue = [start];
    seen[start] = 1;
    while (queue.length > 0) {
      const cell = queue.pop() as number;
      cells.push(cell);
      const c = cell % cols;
      const next = [c > 0 ? cell - 1 : -1, c + 1 < cols ? cell + 1 : -1, cell - cols, cell + cols];
      for (const other of next)
        if (other >= 0 && other < rows * cols && inside[other] === 1 && seen[other] === 0) {
          seen[other] = 1;
          queue.push(other);
        }
    }
    out.push(cells);
  }
  return out;
}

/** With the places beside a set that may have gone along as well; without votes there are none. */
function grown(nodes: readonly number[], around: Float64Array, { cols, rows }: CellLayout): number[] {
  const all = new Set(nodes);
  let rim = [...nodes];
  for (let step = 0; step < GOES_WITH; step++) {
    const next: number[] = [];
    for (const node of rim) {
      const c = node % cols;
      for (const other of [c > 0 ? node - 1 : -1, c + 1 < cols ? node + 1 : -1, node - cols, node + cols]) {
        if (other < 0 || other >= rows * cols || all.has(other)) continue;
        if (around[other] === 0 || around[other] < CLEARLY_STILL) continue;
        all.add(other);
        next.push(other);
      }
    }
    rim = next;
  }
  return [...all];
}

/** With the places that a set encloses. */
function filled(nodes: readonly number[], { cols }: CellLayout): number[] {
  const columns = nodes.map((node) => node % cols);
  const lines = nodes.map((node) => Math.floor(node / cols));
  // A box with a free rim: what its rim can't reach is enclosed.
  const [left, top] = [Math.min(...columns) - 1, Math.min(...lines) - 1];
  const box = { cols: Math.max(...columns) - left + 2, rows: Math.max(...lines) - top + 2 };
  const free = new Uint8Array(box.cols * box.rows).fill(1);
  nodes.forEach((_, k) => (free[(lines[k] - top) * box.cols + columns[k] - left] = 0));
  const outside = components(free, { ...box, originX: 0, originY: 0, step: 1 }).find((cells) => cells.includes(0))!;
  outside.forEach((cell) => (free[cell] = 2));
  return [...free.keys()]
    .filter((cell) => free[cell] !== 2)
    .map((cell) => (top + Math.floor(cell / box.cols)) * cols + left + (cell % box.cols));
}

/**
 * The nodes that went along with what a hint says.
 * @param contrasts one a place of the lattice; null where there is none
 * @param hint outline of the cells that gave it away
 * @param way how its most telling cell went, px
 * @returns null where nothing did
 */
export function movedRegion(
  contrasts: readonly (NodeContrast | null)[],
  layout: CellLayout,
  hint: Polygon,
  way: readonly [number, number],
): MovedRegion | null {
  // Not by the mean of all that was hinted at: sharp still ground would outweigh a faint thing before it.
  let motion: Motion | null = { x: 0, y: 0, dx: START * way[0], dy: START * way[1], turn: 0 };
  let region: MovedRegion | null = null;
  for (let round = 0; round < ROUNDS && motion !== null; round++) {
    if (motion.dx * way[0] + motion.dy * way[1] < LEAST_OF_WAY * (way[0] ** 2 + way[1] ** 2)) return null;
    const votes = Float64Array.from(contrasts, (node) => (node === null ? 0 : voteOf(node, motion!)));
    const bounded = votes.map((vote) => Math.max(-MOST_SURE, Math.min(MOST_SURE, vote)));
    const around = surroundings(bounded, layout);
    const inside = Uint8Array.from(around, (sum) => (sum > 0 ? 1 : 0));
    const groups = components(inside, layout).map((nodes) => ({
      nodes,
      evidence: nodes.reduce((sum, node) => sum + votes[node], 0),
      isHinted: nodes.some(
        (node) => contrasts[node] !== null && insidePolygon(hint, contrasts[node].x, contrasts[node].y),
      ),
    }));
    const best = groups.filter(({ isHinted }) => isHinted).sort((a, b) => b.evidence - a.evidence)[0];
    if (best === undefined || best.evidence <= 0) return null;
    const nodes = filled(grown(best.nodes, around, layout), layout);
    const all = new Set(nodes);
    const { cols } = layout;
    const isDeep = (node: number): boolean =>
      [-1, 0, 1].every((dy) => [-1, 0, 1].every((dx) => all.has(node + dy * cols + dx)));
    const pick = (which: readonly number[]): NodeContrast[] => which.flatMap((node) => contrasts[node] ?? []);
    const deep = pick(nodes.filter(isDeep));
    region = { nodes, evidence: best.evidence, deep: deep.length };
    const used = deep.length >= LEAST_INSIDE ? deep : pick(nodes);
    if (used.length < LEAST_INSIDE) return null;
    motion = motionOf(used, motion, deep.length >= TELL_A_TURN);
  }
  return region;
}
