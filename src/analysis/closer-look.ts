import { carryOf, STAY } from "../measure/carry.ts";
import { NARROW_SIZE, NODE_STEP } from "../measure/left-over.ts";
import { insidePolygon } from "../measure/mask.ts";
import { NODE_VALUES } from "../measure/node-samples.ts";
import type { FrameNumber } from "../units/index.ts";
import type { CameraFit } from "./camera.ts";
import type { CellDrift } from "./cell-drift.ts";
import type { LeftOverPlan } from "./contract.ts";
import { type CellLayout, type FoundPiece, border } from "./found-parts.ts";
import type { GridMeasurement, LeftOverMeasurement } from "./measurement.ts";
import { type MovedRegion, movedRegion, type NodeContrast } from "./moved-region.ts";

// Cells of 32 px say that something drifted, and no more than roughly where: most of them show the thing and what stands
// still behind it, and one of lines says nothing at all. A part that is measured with still ground inside its outline is
// pulled to zero, its tiles disagree in the very frame in which it moved, and that frame then counts for little. So what
// the cells hint at is looked at again through nodes a quarter as far apart, across lines where they show lines alone,
// and the outline goes around those that went along.

/** How far around a hint is looked, px: two cells, since a hint may be one edge of a thing. */
const AROUND = 64;
/** Nodes that are looked at in all: about as much work in a frame as a background grid of a thousand cells. */
const MOST_NODES = 8000;
/** Fewer nodes are a place, not a thing: 24 px by 32. */
const LEAST_NODES = 12;
/** Things that one hint may be, how far around one that was found another is looked for, in nodes, and how many of the next one have all eight neighbours. */
const MOST_THINGS = 3;
const RIM = 2;
const LEAST_DEEP = 9;
/** Frames before and after that a single one is told against. */
const BESIDE = 4;
/** A piece that is another one's by more than this share is the same. */
const SAME_PIECE = 0.5;

export type LookFrames = readonly {
  readonly frame: FrameNumber;
  readonly grid: GridMeasurement;
  readonly camera: CameraFit | null;
}[];

/** What is looked at closely, and where. */
export interface CloserLook {
  readonly plan: LeftOverPlan;
  /** The lattice that the nodes are on. */
  readonly layout: CellLayout;
  /** Place on the lattice of each node of the plan. */
  readonly nodes: readonly number[];
  readonly hints: readonly FoundPiece[];
  readonly frames: LookFrames;
}

/** Nodes around a piece, on the lattice. */
function nodesAround({ outline }: FoundPiece, { cols, rows, originX, originY, step }: CellLayout): number[] {
  const range = (values: readonly number[], origin: number, count: number): [number, number] => [
    Math.max(0, Math.ceil((Math.min(...values) - AROUND - origin) / step)),
    Math.min(count - 1, Math.floor((Math.max(...values) + AROUND - origin) / step)),
  ];
  const [left, right] = range(
    outline.map(([x]) => x),
    originX,
    cols,
  );
  const [top, bottom] = range(
    outline.map(([, y]) => y),
    originY,
    rows,
  );
  const out: number[] = [];
  for (let r = top; r <= bottom; r++) for (let c = left; c <= right; c++) out.push(r * cols + c);
  return out;
}

/**
 * Plans a closer look at what the cells hint at.
 * @param frames as the cells were told in, in order, the reference first
 * @param isMasked whether something is animated at a place
 * @returns null where there is nothing to look at
 */
export function closerLook(
  hints: readonly FoundPiece[],
  frames: LookFrames,
  width: number,
  height: number,
  isMasked: (x: number, y: number) => boolean,
): CloserLook | null {
  if (hints.length === 0 || frames.length < 2) return null;
  const margin = (NARROW_SIZE - 1) / 2 + 4;
  const layout: CellLayout = {
    cols: Math.max(0, Math.floor((width - 2 * margin - 1) / NODE_STEP) + 1),
    rows: Math.max(0, Math.floor((height - 2 * margin - 1) / NODE_STEP) + 1),
    originX: margin + 0.5,
    originY: margin + 0.5,
    step: NODE_STEP,
  };
  const chosen = new Set<number>();
  const looked: FoundPiece[] = [];
  for (const hint of hints) {
    const more = nodesAround(hint, layout).filter((node) => !chosen.has(node) && !isMasked(...placeOf(node, layout)));
    if (chosen.size + more.length > MOST_NODES) continue;
    for (const node of more) chosen.add(node);
    looked.push(hint);
  }
  const nodes = [...chosen];
  const reference = frames[0].frame;
  const plan: LeftOverPlan = {
    id: "closer-look",
    part: "",
    anchor: reference,
    held: true,
    nodes: [{ size: NARROW_SIZE, places: nodes.flatMap((node) => placeOf(node, layout)) }],
    steps: frames.slice(1).flatMap(({ frame, camera }) =>
      camera === null
        ? []
        : [
            {
              frame,
              against: reference,
              place: STAY,
              // What is told is what goes beyond the camera.
              motion: carryOf(width / 2, height / 2, camera.dx, camera.dy, camera.turn, camera.scale),
            },
          ],
    ),
  };
  return { plan, layout, nodes, hints: looked, frames };
}

const placeOf = (node: number, { cols, originX, originY, step }: CellLayout): [number, number] => [
  originX + (node % cols) * step,
  originY + Math.floor(node / cols) * step,
];

/** What each frame counts for in the contrast that a hint is about; null where it has too few on a side. */
function weightsOf({ kind, at }: CellDrift, known: readonly boolean[]): Float64Array | null {
  const out = new Float64Array(known.length);
  const isFor = (i: number): boolean => (kind === "pop" ? i === at : i >= at);
  const isAgainst = (i: number): boolean => (kind === "pop" ? i !== at && Math.abs(i - at) <= BESIDE : i < at);
  const count = (which: (i: number) => boolean): number =>
    known.reduce((sum, one, i) => sum + (one && which(i) ? 1 : 0), 0);
  const [n, against] = [count(isFor), count(isAgainst)];
  if (n < (kind === "pop" ? 1 : 2) || against < 2) return null;
  for (let i = 0; i < known.length; i++) if (known[i]) out[i] = isFor(i) ? 1 / n : isAgainst(i) ? -1 / against : 0;
  return out;
}

/** How far each node went by what the hint says of when; null where it was not found often enough. */
function contrastsOf(
  look: CloserLook,
  drift: CellDrift,
  rows: ReadonlyMap<FrameNumber, LeftOverMeasurement>,
): (NodeContrast | null)[] {
  const values = look.frames.map(({ frame }) => rows.get(frame)?.values[0] ?? null);
  const out: (NodeContrast | null)[] = new Array(look.layout.cols * look.layout.rows).fill(null);
  look.nodes.forEach((node, k) => {
    const first = k * NODE_VALUES;
    // The reference against itself is where it is.
    const known = values.map((one, i) => i === 0 || (one !== null && Number.isFinite(one[first])));
    const weights = weightsOf(drift, known);
    if (weights === null) return;
    let [dx, dy, xx, xy, yy] = [0, 0, 0, 0, 0];
    values.forEach((one, i) => {
      if (one === null || weights[i] === 0) return;
      const w = weights[i];
      dx += w * one[first];
      dy += w * one[first + 1];
      xx += w * w * one[first + 2];
      yy += w * w * one[first + 3];
      xy += w * w * one[first + 4];
    });
    const determinant = xx * yy - xy * xy;
    if (!(determinant > 0)) return;
    const [x, y] = placeOf(node, look.layout);
    out[node] = { x, y, dx, dy, xx: yy / determinant, xy: -xy / determinant, yy: xx / determinant };
  });
  return out;
}

function nodeAt(x: number, y: number, { cols, rows, originX, originY, step }: CellLayout): number {
  const c = Math.max(0, Math.min(cols - 1, Math.round((x - originX) / step)));
  const r = Math.max(0, Math.min(rows - 1, Math.round((y - originY) / step)));
  return r * cols + c;
}

/** Places within so many rows and columns of these. */
function nodesNear(nodes: readonly number[], reach: number, { cols, rows }: CellLayout): Set<number> {
  const out = new Set<number>();
  for (const node of nodes) {
    const [c, r] = [node % cols, Math.floor(node / cols)];
    for (let v = Math.max(0, r - reach); v <= Math.min(rows - 1, r + reach); v++)
      for (let u = Math.max(0, c - reach); u <= Math.min(cols - 1, c + reach); u++) out.add(v * cols + u);
  }
  return out;
}

/** What went along, one thing after the other: neighbours that went at the same time may be one hint. */
function regionsOf(
  look: CloserLook,
  hint: FoundPiece,
  rows: ReadonlyMap<FrameNumber, LeftOverMeasurement>,
): MovedRegion[] {
  const { layout } = look;
  const out: MovedRegion[] = [];
  let taken = new Set<number>();
  while (out.length < MOST_THINGS) {
    const drift = hint.drifts.find(({ x, y }) => !taken.has(nodeAt(x, y, layout)));
    if (drift === undefined) break;
    const contrasts = contrastsOf(look, drift, rows).map((node, i) => (taken.has(i) ? null : node));
    const region = movedRegion(contrasts, layout, hint.outline, [drift.dx, drift.dy]);
    if (region === null || region.nodes.length < LEAST_NODES) break;
    // The rim of a thing went a share of its way: that is no thing of its own.
    if (out.length > 0 && region.deep < LEAST_DEEP) break;
    out.push(region);
    taken = nodesNear(
      out.flatMap(({ nodes }) => nodes),
      RIM,
      layout,
    );
  }
  return out;
}

/**
 * The pieces that were hinted at, each with an outline around what went along, largest evidence first. A hint of which the
 * nodes say nothing stays as it is.
 */
export function lookedAt(
  look: CloserLook,
  rows: ReadonlyMap<FrameNumber, LeftOverMeasurement>,
  hints: readonly FoundPiece[],
): FoundPiece[] {
  const { layout } = look;
  const seen = hints.map((hint) => ({
    hint,
    regions: look.hints.includes(hint) ? regionsOf(look, hint, rows) : [],
  }));
  const taken = new Set<number>();
  const pieces: FoundPiece[] = [];
  const clear = seen.flatMap(({ hint, regions }) => regions.map((region) => ({ hint, region })));
  for (const { hint, region } of clear.toSorted((a, b) => b.region.evidence - a.region.evidence)) {
    const free = region.nodes.filter((node) => !taken.has(node));
    if (free.length < LEAST_NODES || free.length <= SAME_PIECE * region.nodes.length) continue;
    for (const node of free) taken.add(node);
    pieces.push({ ...hint, outline: border(new Set(free), layout) });
  }
  for (const { hint, regions } of seen) {
    if (regions.length > 0) continue;
    const own = nodesInside(hint, layout);
    if (own.filter((node) => taken.has(node)).length <= SAME_PIECE * own.length) pieces.push(hint);
  }
  return pieces;
}

function nodesInside(hint: FoundPiece, layout: CellLayout): number[] {
  return nodesAround(hint, layout).filter((node) => insidePolygon(hint.outline, ...placeOf(node, layout)));
}
