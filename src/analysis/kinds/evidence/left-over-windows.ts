import { axesOf } from "../../../measure/one-way.ts";
import { median } from "../../../measure/statistics/robust.ts";
import type { LeftOverSeries } from "../../series.ts";
import type { Point } from "./rigid.ts";

// Neighbouring nodes pooled: what one node can't tell from noise, nine or forty-nine can. Weights are the nodes' own
// information, the same in all rows, so that a node that is lost for a frame makes no step.

/** Nodes a side of a window is this twice and one more. */
export const RADII = [1, 2, 3] as const;
/** A node counts that was found again in this share of the rows, a window with this share of its nodes. */
const LEAST_ROWS = 0.6;
const LEAST_SHARE = 0.6;

/** One window of neighbouring nodes through all rows. */
export interface NodeWindow {
  /** Nodes from the middle to an edge; 0: the whole surface, by weights that leave nothing of a smooth field. */
  readonly radius: number;
  /** Rows that must be on each side of a step: what passes over a surface makes bumps for a while. */
  readonly leastRows: number;
  /** Index of the node in its middle. */
  readonly centre: number;
  readonly nodes: readonly number[];
  /** Pooled left over in each row, px. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Covariance xx, xy, yy of one pair of frames, px squared: the nodes' alone, without the carrier's. */
  readonly covariance: Covariance;
  /** The rows along the axes of the covariance, in its sigmas: the better axis first. */
  readonly whitened: readonly [Float64Array, Float64Array];
  /** Unit vector of the better axis, and the variances along both. */
  readonly axis: Point;
  readonly variances: readonly [number, number];
  /** Whether the second axis says next to nothing: the texture is lines. */
  readonly isLined: boolean;
}

type Covariance = readonly [number, number, number];

function withAxes(window: Omit<NodeWindow, "whitened" | "axis" | "variances" | "isLined">): NodeWindow {
  const { x, y, covariance } = window;
  const { smaller, larger, axis } = axesOf(covariance);
  // The axis of the smaller variance is the one that is known better.
  const [better, worse] = [Math.sqrt(Math.max(1e-12, smaller)), Math.sqrt(Math.max(1e-12, larger))];
  const [c, s] = axis;
  return {
    ...window,
    whitened: [
      x.map((value, r) => (value * c + y[r] * s) / better),
      x.map((value, r) => (y[r] * c - value * s) / worse),
    ],
    axis,
    variances: [better ** 2, worse ** 2],
    isLined: worse > LINED * better,
  };
}

/** The series of one node with what is missing filled in from the rows beside; null where too much is. */
function filled(
  values: Float32Array,
  found: Uint8Array,
  count: number,
  rows: number,
  node: number,
): Float64Array | null {
  const out = new Float64Array(rows);
  const known: number[] = [];
  for (let r = 0; r < rows; r++)
    if (found[r * count + node] === 1 && Number.isFinite(values[r * count + node])) known.push(r);
  if (known.length < Math.max(2, LEAST_ROWS * rows)) return null;
  let k = 0;
  for (let r = 0; r < rows; r++) {
    while (k + 1 < known.length && known[k + 1] <= r) k++;
    const [a, b] = [known[k], known[Math.min(k + 1, known.length - 1)]];
    const [from, to] = [values[a * count + node], values[b * count + node]];
    out[r] = a === b || r <= a ? from : r >= b ? to : from + ((to - from) * (r - a)) / (b - a);
  }
  return out;
}

export interface NodeSeries {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/** Every node's own series; null where it was found too rarely. */
export function nodeSeries(series: LeftOverSeries): (NodeSeries | null)[] {
  const count = series.cells.length / 2;
  const rows = series.frames.length;
  return Array.from({ length: count }, (_, i) => {
    if (!Number.isFinite(series.covariance[3 * i])) return null;
    const x = filled(series.dx, series.found, count, rows, i);
    const y = filled(series.dy, series.found, count, rows, i);
    return x === null || y === null ? null : { x, y };
  });
}

/** The nodes of a square around each node. */
export function nodesAround(cells: readonly number[]): (centre: number, radius: number) => number[] {
  const at = new Map<string, number>();
  for (let i = 0; i < cells.length / 2; i++) at.set(`${cells[2 * i]} ${cells[2 * i + 1]}`, i);
  return (centre, radius) => {
    const out: number[] = [];
    for (let r = -radius; r <= radius; r++)
      for (let c = -radius; c <= radius; c++) {
        const node = at.get(`${cells[2 * centre] + c} ${cells[2 * centre + 1] + r}`);
        if (node !== undefined) out.push(node);
      }
    return out;
  };
}

/** All windows of one radius that have enough nodes. */
export function windowsOf(series: LeftOverSeries, nodes: readonly (NodeSeries | null)[], radius: number): NodeWindow[] {
  const around = nodesAround(series.cells);
  const rows = series.frames.length;
  const share = (k: number): number => Math.max(0, 1 - (Math.abs(k) * series.step) / series.size);
  const out: NodeWindow[] = [];
  for (let centre = 0; centre < nodes.length; centre++) {
    if (nodes[centre] === null) continue;
    const members = around(centre, radius).filter((i) => nodes[i] !== null);
    if (members.length < LEAST_SHARE * (2 * radius + 1) ** 2) continue;
    const x = new Float64Array(rows);
    const y = new Float64Array(rows);
    let [hxx, hxy, hyy] = [0, 0, 0];
    let overlap = 0;
    for (const i of members) {
      const [xx, xy, yy] = series.covariance.subarray(3 * i, 3 * i + 3);
      const determinant = xx * yy - xy * xy;
      const [ixx, ixy, iyy] = [yy / determinant, -xy / determinant, xx / determinant];
      hxx += ixx;
      hxy += ixy;
      hyy += iyy;
      const own = nodes[i]!;
      for (let r = 0; r < rows; r++) {
        x[r] += ixx * own.x[r] + ixy * own.y[r];
        y[r] += ixy * own.x[r] + iyy * own.y[r];
      }
      for (const j of members)
        overlap +=
          share(series.cells[2 * i] - series.cells[2 * j]) * share(series.cells[2 * i + 1] - series.cells[2 * j + 1]);
    }
    const d = hxx * hyy - hxy * hxy;
    for (let r = 0; r < rows; r++) [x[r], y[r]] = [(hyy * x[r] - hxy * y[r]) / d, (hxx * y[r] - hxy * x[r]) / d];
    const factor = overlap / members.length / d;
    out.push(
      withAxes({
        radius,
        leastRows: 1,
        centre,
        nodes: members,
        x,
        y,
        covariance: [hyy * factor, -hxy * factor, hxx * factor],
      }),
    );
  }
  return out;
}

/** Nodes from which on a surface can be asked as a whole, or for a bump of its own. */
const LEAST_OF_WHOLE = 25;
/** Radius of the bump that is looked for everywhere, px: about what a finger pushes. */
const BUMP = 34;
const LEAST_ROWS_OF_BUMP = 5;

/**
 * The whole surface as one window, for what goes farthest in its middle and is held at its rim: the height of the bump
 * (1 - u^2)^2 (1 - v^2)^2 over the surface. Null where it has too few nodes.
 */
export function wholeWindow(series: LeftOverSeries, nodes: readonly (NodeSeries | null)[]): NodeWindow | null {
  const { cells, step, size } = series;
  const heights = heightsOn(series, nodes);
  if (heights === null) return null;
  const across = ([0, 1] as const).map((axis) => {
    const places = heights.members.map((i) => cells[2 * i + axis]);
    const [first, last] = [Math.min(...places), Math.max(...places)];
    return { middle: (first + last) / 2, half: (last - first) / 2 + size / step / 2 };
  });
  const at = (i: number, axis: 0 | 1): number => (cells[2 * i + axis] - across[axis].middle) / across[axis].half;
  const bump = heights.members.map((i) => (1 - at(i, 0) ** 2) ** 2 * (1 - at(i, 1) ** 2) ** 2);
  return heights.of(bump, heights.members[bump.indexOf(Math.max(...bump))]);
}

/**
 * A bump (1 - r^2 / R^2)^2 about each node as one window: on a faint texture it tells twice as much as a square of nodes,
 * since it weighs them as they were pushed, and the smooth field takes nothing from it. None where there are too few nodes.
 */
export function bumpWindows(series: LeftOverSeries, nodes: readonly (NodeSeries | null)[]): NodeWindow[] {
  const { cells, step } = series;
  const heights = heightsOn(series, nodes);
  if (heights === null) return [];
  const around = nodesAround(cells);
  const within = Math.floor(BUMP / step);
  return heights.members.flatMap((centre) => {
    // A lone node beside the others would be a bump of its own.
    const near = around(centre, within).filter((i) => nodes[i] !== null).length;
    if (near < LEAST_SHARE * (2 * within + 1) ** 2) return [];
    const bump = heights.members.map((i) => {
      const far = Math.hypot(cells[2 * i] - cells[2 * centre], cells[2 * i + 1] - cells[2 * centre + 1]) * step;
      return Math.max(0, 1 - (far / BUMP) ** 2) ** 2;
    });
    return heights.of(bump, centre, LEAST_ROWS_OF_BUMP) ?? [];
  });
}

interface Heights {
  /** The nodes that are asked. */
  readonly members: readonly number[];
  /** Height of a shape, given at each member, as a window. */
  of(shape: readonly number[], centre: number, leastRows?: number): NodeWindow | null;
}

/** Heights of shapes over a surface, by weights that shift, turn, stretch and shear leave at nothing. */
function heightsOn(series: LeftOverSeries, nodes: readonly (NodeSeries | null)[]): Heights | null {
  const { cells, step, size } = series;
  const members = nodes.flatMap((own, i) => (own === null ? [] : [i]));
  if (members.length < LEAST_OF_WHOLE) return null;
  // Along the axes of what the surface tells, so that what can't be told along lines takes nothing from what can across.
  const [c, d] = usualAxes(series).axis;
  const turned = (i: number, axis: 0 | 1): number => {
    const [xx, xy, yy] = series.covariance.subarray(3 * i, 3 * i + 3);
    return axis === 0 ? xx * c * c + 2 * xy * c * d + yy * d * d : xx * d * d - 2 * xy * c * d + yy * c * c;
  };
  const pairs = sharingPairs(cells, members, size / step);
  const axes = ([0, 1] as const).map((axis) => {
    const sigmas = members.map((i) => Math.sqrt(turned(i, axis)));
    const told = members.map((i) => {
      const { x, y } = nodes[i]!;
      return x.map((value, r) => (axis === 0 ? value * c + y[r] * d : y[r] * c - value * d));
    });
    const weigh = weigher(
      [members.map(() => 1), members.map((i) => cells[2 * i]), members.map((i) => cells[2 * i + 1])],
      sigmas.map((value) => 1 / value ** 2),
    );
    return (shape: readonly number[]): { rows: Float64Array; variance: number } | null => {
      const weights = weigh(shape);
      if (weights === null) return null;
      const rows = new Float64Array(series.frames.length);
      weights.forEach((weight, k) => {
        for (let r = 0; r < rows.length; r++) rows[r] += weight * told[k][r];
      });
      let variance = 0;
      for (const { a, b, share } of pairs) variance += weights[a] * weights[b] * share * sigmas[a] * sigmas[b];
      return { rows, variance };
    };
  });
  return {
    members,
    of: (shape, centre, leastRows = 1) => {
      const [first, second] = axes.map((along) => along(shape));
      if (first === null || second === null) return null;
      return withAxes({
        radius: 0,
        leastRows,
        centre,
        nodes: members,
        x: first.rows.map((value, r) => value * c - second.rows[r] * d),
        y: first.rows.map((value, r) => value * d + second.rows[r] * c),
        covariance: [
          first.variance * c * c + second.variance * d * d,
          (first.variance - second.variance) * c * d,
          first.variance * d * d + second.variance * c * c,
        ],
      });
    },
  };
}

/** Pairs of members whose subsets share pixels, and the share; both ways round, and each with itself. */
function sharingPairs(
  cells: readonly number[],
  members: readonly number[],
  reach: number,
): readonly { readonly a: number; readonly b: number; readonly share: number }[] {
  const at = new Map(members.map((i, k) => [`${cells[2 * i]} ${cells[2 * i + 1]}`, k]));
  const far = Math.ceil(reach) - 1;
  return members.flatMap((i, a) => {
    const out: { a: number; b: number; share: number }[] = [];
    for (let v = -far; v <= far; v++)
      for (let u = -far; u <= far; u++) {
        const b = at.get(`${cells[2 * i] + u} ${cells[2 * i + 1] + v}`);
        if (b !== undefined) out.push({ a, b, share: (1 - Math.abs(u) / reach) * (1 - Math.abs(v) / reach) });
      }
    return out;
  });
}

/** Weights that tell the height of a shape beside all of `flat`, by least squares under the samples' information. */
function weigher(
  flat: readonly (readonly number[])[],
  information: readonly number[],
): (shape: readonly number[]) => number[] | null {
  const dot = (a: readonly number[], b: readonly number[]): number =>
    a.reduce((sum, value, k) => sum + information[k] * value * b[k], 0);
  const beside = (column: readonly number[], all: readonly (readonly number[])[]): number[] => {
    let rest = [...column];
    for (const other of all) {
      const along = dot(rest, other) / dot(other, other);
      rest = rest.map((value, k) => value - along * other[k]);
    }
    return rest;
  };
  const known: number[][] = [];
  for (const column of flat) known.push(beside(column, known));
  return (shape) => {
    const rest = beside(shape, known);
    const square = dot(rest, rest);
    return square > 1e-9 ? rest.map((value, k) => (information[k] * value) / square) : null;
  };
}

/** Along its worse axis a texture shows nothing where that is so many times less sure than the better one, and beyond this, px. */
const LINED = 3;
const LINED_SIGMA = 0.05;

/**
 * What a surface shows of a vector: all of it, or, where its texture is lines, the share across them. Along the lines
 * noise would be taken for motion.
 */
export function shownOf(series: LeftOverSeries): (x: number, y: number) => Point {
  const { smaller, larger, axis } = usualAxes(series);
  const worse = Math.sqrt(larger);
  const isLined = worse > LINED_SIGMA && worse > LINED * Math.sqrt(Math.max(0, smaller));
  if (!isLined) return (x, y) => [x, y];
  const [c, s] = axis;
  return (x, y) => [(x * c + y * s) * c, (x * c + y * s) * s];
}

/** Axes of the nodes' usual covariance; `axis` is the one that is known better. */
function usualAxes({ cells, covariance }: LeftOverSeries): ReturnType<typeof axesOf> {
  const [xx, xy, yy] = [0, 1, 2].map((k) =>
    median(Array.from({ length: cells.length / 2 }, (_, i) => covariance[3 * i + k]).filter(Number.isFinite)),
  );
  return axesOf([xx, xy, yy]);
}

/** v' C^-1 v for a covariance xx, xy, yy. */
export const squareOf = (x: number, y: number, [xx, xy, yy]: readonly [number, number, number]): number =>
  (yy * x * x - 2 * xy * x * y + xx * y * y) / (xx * yy - xy * xy);
