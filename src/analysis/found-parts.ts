import type { Polygon } from "../measure/mask.ts";
import { type CellDrift, cellDrifts, type GridFrames } from "./cell-drift.ts";
import type { CellHistory } from "./cell-history.ts";

/**
 * What neighbours of one piece may differ by: when they went, as a share of the shot; their ways, as a cosine; how far, as
 * a share of the farther one (a cell at the edge shows half of a piece).
 */
const SAME_TIME = 0.2;
const SAME_WAY = 0.8;
const SAME_SIZE = 0.25;
/** Pieces that are looked at closely, the largest first: more than that are the camera's or the light's doing. */
const MOST_PIECES = 40;
/**
 * Score that a flag on a found part needs: it was chosen out of many for its drift, and chance chooses too. With it the
 * rate of false flags is that of one part, not of all the places that were looked at.
 */
export const FOUND_SCORE = 1.25;
/** One cell alone is as often a speck of changed light as a thing. */
const LEAST_CELLS = 2;

/** A piece of the picture that nobody outlined and that drifted. Outline in px of the analysed frame. */
export interface FoundPiece {
  readonly outline: Polygon;
  readonly cells: readonly number[];
  /** What its cells did, each with its centre, the most telling first. */
  readonly drifts: readonly (CellDrift & { readonly x: number; readonly y: number })[];
}

/** Places in rows and columns, px of the analysed frame: the centre of the first, and their distance. */
export interface CellLayout {
  readonly cols: number;
  readonly rows: number;
  readonly originX: number;
  readonly originY: number;
  readonly step: number;
}

/** A piece of the picture that is animated, its outline around all of its places, with the frames in which it moves. */
export interface AnimatedPiece {
  readonly outline: Polygon;
  /** For each frame of the shot whether it moved since the frame before. */
  readonly moves: readonly boolean[];
}

/** 1 for every cell that has one of these beside it, and for these. */
function grown(cells: Uint8Array, cols: number, rows: number): Uint8Array {
  const out = new Uint8Array(cells.length);
  for (let r = 0; r < rows; r++)
    for (let c = 0; c < cols; c++) {
      if (cells[r * cols + c] === 0) continue;
      for (let v = Math.max(0, r - 1); v <= Math.min(rows - 1, r + 1); v++)
        for (let u = Math.max(0, c - 1); u <= Math.min(cols - 1, c + 1); u++) out[v * cols + u] = 1;
    }
  return out;
}

/** 1 for each cell that is animated, with a margin of one cell. */
export const animatedWithMargin = (history: CellHistory): Uint8Array =>
  grown(history.animated(), history.cols, history.rows);

/** Outer border of a set of cells, as a polygon along the cells' sides. */
export function border(cells: ReadonlySet<number>, { cols, originX, originY, step }: CellLayout): Polygon {
  // Directed sides with the inside on the right; each corner leads to the next.
  const next = new Map<string, [number, number][]>();
  const add = (ax: number, ay: number, bx: number, by: number): void => {
    const key = `${ax},${ay}`;
    const list = next.get(key) ?? [];
    list.push([bx, by]);
    next.set(key, list);
  };
  const has = (c: number, r: number): boolean => c >= 0 && c < cols && cells.has(r * cols + c);
  for (const cell of cells) {
    const c = cell % cols;
    const r = Math.floor(cell / cols);
    if (!has(c, r - 1)) add(c, r, c + 1, r);
    if (!has(c + 1, r)) add(c + 1, r, c + 1, r + 1);
    if (!has(c, r + 1)) add(c + 1, r + 1, c, r + 1);
    if (!has(c - 1, r)) add(c, r + 1, c, r);
  }
  let longest: [number, number][] = [];
  while (next.size > 0) {
    const [startKey] = next.keys();
    const start = startKey!.split(",").map(Number) as [number, number];
    const ring: [number, number][] = [];
    let at = start;
    for (;;) {
      const key = `${at[0]},${at[1]}`;
      const list = next.get(key);
      if (list === undefined) break;
      const to = list.pop() as [number, number];
      if (list.length === 0) next.delete(key);
      ring.push(at);
      at = to;
      if (at[0] === start[0] && at[1] === start[1]) break;
    }
    if (ring.length > longest.length) longest = ring;
  }
  const left = originX - step / 2;
  const top = originY - step / 2;
  const corners = longest.filter((point, i) => {
    const before = longest[(i + longest.length - 1) % longest.length];
    const after = longest[(i + 1) % longest.length];
    return (point[0] - before[0]) * (after[1] - point[1]) !== (point[1] - before[1]) * (after[0] - point[0]);
  });
  return corners.map(([c, r]) => [left + c * step, top + r * step] as const);
}

const SIDES = [
  [-1, 0],
  [1, 0],
  [0, -1],
  [0, 1],
] as const;

/**
 * Groups of neighbouring cells, largest first; `joins` says which neighbours belong together, `bridges` which cells may
 * lie between two of them.
 */
function groupsOf(
  hit: (cell: number) => boolean,
  joins: (a: number, b: number) => boolean,
  bridges: (cell: number) => boolean,
  { cols, rows }: { readonly cols: number; readonly rows: number },
): number[][] {
  const groups: number[][] = [];
  const seen = new Uint8Array(cols * rows);
  for (let i = 0; i < seen.length; i++) {
    if (!hit(i) || seen[i] === 1) continue;
    const cells: number[] = [];
    const queue = [i];
    seen[i] = 1;
    while (queue.length > 0) {
      const cell = queue.pop() as number;
      cells.push(cell);
      const c = cell % cols;
      const r = Math.floor(cell / cols);
      for (const [dx, dy] of SIDES) {
        // A cell in between may be bare, or stand for itself by its noise.
        for (const far of [1, 2]) {
          const [u, v] = [c + far * dx, r + far * dy];
          if (u < 0 || v < 0 || u >= cols || v >= rows) break;
          const other = v * cols + u;
          const between = (r + dy) * cols + c + dx;
          if (far === 2 && (!bridges(between) || seen[between] === 1)) break;
          if (!hit(other) || seen[other] === 1 || !joins(cell, other)) continue;
          seen[other] = 1;
          queue.push(other);
          if (far === 2) {
            seen[between] = 1;
            cells.push(between);
          }
        }
      }
    }
    groups.push(cells);
  }
  return groups.sort((a, b) => b.length - a.length);
}

/** Whether two neighbours went the same way at the same time; how far differs along a limb that turns, and at an edge. */
function together(a: CellDrift, b: CellDrift, frames: number): boolean {
  if (a.kind !== b.kind || Math.abs(a.at - b.at) > (a.kind === "pop" ? 0 : SAME_TIME * frames)) return false;
  const [far, near] = [Math.hypot(a.dx, a.dy), Math.hypot(b.dx, b.dy)].sort((p, q) => q - p);
  return near >= SAME_SIZE * far && a.dx * b.dx + a.dy * b.dy >= SAME_WAY * far * near;
}

/**
 * Pieces of the held rest of the picture that drifted, jumped or popped, each made of neighbouring cells that went
 * together, largest first. What is animated is left out with a margin of one cell, and so are cells that are taken.
 */
export function foundPieces(
  history: CellHistory,
  frames: GridFrames,
  width: number,
  height: number,
  isTaken: (cell: number) => boolean = () => false,
): FoundPiece[] {
  const masked = animatedWithMargin(history).map((cell, i) => (cell === 1 || isTaken(i) ? 1 : 0));
  const drifts = cellDrifts(history, frames, masked, width, height);
  return groupsOf(
    (cell) => drifts[cell] !== null,
    (a, b) => together(drifts[a]!, drifts[b]!, frames.length),
    (cell) => drifts[cell] === null && masked[cell] === 0,
    history,
  )
    .filter((cells) => cells.length >= LEAST_CELLS)
    .slice(0, MOST_PIECES)
    .map((cells) => ({
      outline: border(new Set(cells), history),
      cells,
      drifts: cells
        .flatMap((cell) => {
          const [x, y] = history.centre(cell);
          return drifts[cell] === null ? [] : [{ ...drifts[cell], x, y }];
        })
        .sort((a, b) => b.z - a.z),
    }));
}

/** What is animated, each piece with a margin of one cell around all of its places. */
export function animatedPieces(history: CellHistory, frames: number): AnimatedPiece[] {
  const { cols, rows } = history;
  const animated = history.animated();
  const wide = grown(animated, cols, rows);
  return groupsOf(
    (cell) => wide[cell] === 1,
    () => true,
    () => false,
    history,
  )
    .map((cells) => {
      const moves = Array.from({ length: frames }, (_, frame) =>
        cells.some((cell) => animated[cell] === 1 && history.movedIn(cell, frame)),
      );
      return { outline: border(new Set(cells), history), moves, own: cells.filter((cell) => animated[cell] === 1) };
    })
    .filter(({ own }) => own.length >= LEAST_CELLS)
    .map(({ outline, moves }) => ({ outline, moves }));
}

/** Where something is, in words: "upper left", "left of centre". */
export function placeInWords(x: number, y: number, width: number, height: number): string {
  const column = x < width / 3 ? 0 : x < (2 * width) / 3 ? 1 : 2;
  const row = y < height / 3 ? 0 : y < (2 * height) / 3 ? 1 : 2;
  return [
    ["upper left", "top centre", "upper right"],
    ["left of centre", "centre", "right of centre"],
    ["lower left", "bottom centre", "lower right"],
  ][row][column];
}
