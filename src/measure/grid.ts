import { differenceScatter } from "./difference.ts";
import { gainStops } from "./light-gain.ts";
import { CELL_CORRELATION, CELL_RANGE, CELL_SIGMA_LIMIT } from "./cell-limits.ts";
import type { GridLayout, GridReference, GridResult } from "./grid-cells.ts";
import { measureAcross } from "./grid-across.ts";
import { acrossLines } from "./one-way.ts";
import { levelOf, type PreparedFrame, type ReferenceFrame } from "./prepared.ts";
import { searchShift } from "./search.ts";
import { splineGradient } from "./spline.ts";
import { type SubsetReference, subsetReference, type SubsetSolver, SUBSET_SIZE } from "./subset.ts";

export type { GridLayout, GridReference, GridResult };

/** Largest motion that the seeds reach, px of the analysed frame. */
export const SEED_REACH = 40;

/** Cells of `SUBSET_SIZE` on a regular step, as many as fit with room for the spline's support. */
export function gridLayout(width: number, height: number, step: number): GridLayout {
  const margin = (SUBSET_SIZE + 1) / 2 + 3;
  const cols = Math.max(0, Math.floor((width - 2 * margin) / step) + 1);
  const rows = Math.max(0, Math.floor((height - 2 * margin) / step) + 1);
  const centre = (length: number, count: number): number => Math.floor((length - (count - 1) * step) / 2) + 0.5;
  return { cols, rows, originX: centre(width, cols), originY: centre(height, rows), step };
}

export function gridReference(frame: ReferenceFrame, step: number): GridReference {
  const layout = gridLayout(frame.width, frame.height, step);
  const half = (SUBSET_SIZE - 1) / 2;
  const cells: (SubsetReference | null | undefined)[] = new Array(layout.cols * layout.rows).fill(undefined);
  const corner = (index: number): { left: number; top: number } => ({
    left: Math.floor(layout.originX + (index % layout.cols) * step) - half,
    top: Math.floor(layout.originY + Math.floor(index / layout.cols) * step) - half,
  });
  const cell = (index: number): SubsetReference | null => {
    let known = cells[index];
    if (known === undefined) {
      const { left, top } = corner(index);
      known = subsetReference(frame, left, top, SUBSET_SIZE);
      cells[index] = known;
    }
    return known;
  };
  const held = new Map<number, SubsetReference | null>();
  const across = (index: number): SubsetReference | null => {
    let known = held.get(index);
    if (known === undefined) {
      const piece = cell(index);
      known = piece === null ? null : acrossLines(piece);
      held.set(index, known);
    }
    return known;
  };
  return { frame, layout, corner, cell, across };
}

function emptyResult(count: number): GridResult {
  const nan = (): Float32Array => new Float32Array(count).fill(Number.NaN);
  return {
    dx: nan(),
    dy: nan(),
    varX: nan(),
    varY: nan(),
    covXY: nan(),
    gainStops: nan(),
    residual: nan(),
    blurLoss: nan(),
    blurVariance: nan(),
    valid: new Uint8Array(count),
  };
}

const median = (values: number[]): number => {
  const sorted = values.slice().sort((a, b) => a - b);
  return sorted.length === 0 ? 0 : sorted[sorted.length >> 1];
};

/**
 * The shift that most of the picture made, whole pixels of the analysed frame, from pieces spread over the quarter
 * size picture. (0, 0) where the picture stands still or nothing agrees.
 */
export function commonShift(reference: PreparedFrame, current: PreparedFrame): { dx: number; dy: number } {
  const a = reference.quarter;
  const size = 15;
  const radius = Math.ceil(SEED_REACH / 4);
  const xs: number[] = [];
  const ys: number[] = [];
  for (let r = 0; r < 6; r++) {
    for (let c = 0; c < 8; c++) {
      const left = Math.round(((c + 0.5) * a.width) / 8 - size / 2);
      const top = Math.round(((r + 0.5) * a.height) / 6 - size / 2);
      const found = searchShift(a, current.quarter, left, top, size, radius);
      if (found === null || found.correlation < 0.7 || found.rival > found.correlation - 0.05) continue;
      xs.push(found.dx * 4);
      ys.push(found.dy * 4);
    }
  }
  if (xs.length < 4) return { dx: 0, dy: 0 };
  return { dx: median(xs), dy: median(ys) };
}

function solveCell(
  reference: GridReference,
  index: number,
  current: PreparedFrame,
  solver: SubsetSolver,
  seedX: number,
  seedY: number,
  range: number,
): boolean {
  const piece = reference.cell(index);
  if (piece === null) return false;
  const found = solver.solve(reference.frame, piece, current, seedX, seedY, range);
  return (
    found.converged &&
    found.correlation >= CELL_CORRELATION &&
    found.varX <= CELL_SIGMA_LIMIT ** 2 &&
    found.varY <= CELL_SIGMA_LIMIT ** 2
  );
}

function store(result: GridResult, index: number, solver: SubsetSolver, stops: number): void {
  const found = solver.result;
  result.dx[index] = found.dx;
  result.dy[index] = found.dy;
  result.varX[index] = found.varX;
  result.varY[index] = found.varY;
  result.covXY[index] = found.covXY;
  result.gainStops[index] = stops;
  result.residual[index] = found.residual;
  result.valid[index] = 1;
}

/** Where a cell at a place of the reference went, roughly: its displacement, px. */
export type Whereabouts = (x: number, y: number) => readonly [number, number];

/**
 * Every cell of the reference found again in the current frame: for camera, light and what stands still. Cells that
 * moved by more than a few px from what most of the picture did are left out, not followed.
 * @param whereabouts where the picture is known to have gone far; left out: it is looked for
 */
export function measureGrid(
  reference: GridReference,
  current: PreparedFrame,
  solver: SubsetSolver,
  whereabouts: Whereabouts | null = null,
): GridResult {
  const { cols, rows, originX, originY, step } = reference.layout;
  const count = cols * rows;
  const result = emptyResult(count);
  const blur = { loss: 0, variance: 0 };
  if (whereabouts !== null) {
    const reach = (SUBSET_SIZE + 1) / 2 + CELL_RANGE;
    for (let i = 0; i < count; i++) {
      const [x, y] = [originX + (i % cols) * step, originY + Math.floor(i / cols) * step];
      const [dx, dy] = whereabouts(x, y);
      const isSeen =
        x + dx > reach && y + dy > reach && x + dx < current.width - reach && y + dy < current.height - reach;
      if (!isSeen || !solveCell(reference, i, current, solver, dx, dy, CELL_RANGE)) continue;
      const { left, top } = reference.corner(i);
      const found = solver.result;
      store(
        result,
        i,
        solver,
        gainStops(reference.frame.linear, current.linear, left, top, SUBSET_SIZE, found.dx, found.dy),
      );
    }
    measureAcross(reference, current, solver, result);
    return result;
  }
  const run = (seedX: number, seedY: number): number => {
    let kept = 0;
    for (let i = 0; i < count; i++) {
      if (result.valid[i] === 1 || !solveCell(reference, i, current, solver, seedX, seedY, CELL_RANGE)) continue;
      const { left, top } = reference.corner(i);
      const { dx, dy } = solver.result;
      store(result, i, solver, gainStops(reference.frame.linear, current.linear, left, top, SUBSET_SIZE, dx, dy));
      solver.blur(reference.frame, reference.cell(i)!, current, blur);
      result.blurLoss[i] = blur.loss;
      result.blurVariance[i] = blur.variance;
      kept++;
    }
    return kept;
  };
  let usable = 0;
  for (let i = 0; i < count; i++) if (reference.cell(i) !== null) usable++;
  if (run(0, 0) < usable / 2) {
    const seed = commonShift(reference.frame, current);
    if (seed.dx !== 0 || seed.dy !== 0) run(seed.dx, seed.dy);
  }
  measureAcross(reference, current, solver, result);
  return result;
}

/** A cell whose difference scatters less than this times the usual stands still by its pixels. */
const STILL = 1.15;

/** Scatter of the difference of two frames on every cell, grey levels, the light's common change taken out. */
function cellScatter(reference: GridReference, current: PreparedFrame): Float64Array {
  const { frame, layout } = reference;
  const out = new Float64Array(layout.cols * layout.rows);
  for (let i = 0; i < out.length; i++) {
    const { left, top } = reference.corner(i);
    out[i] = differenceScatter(frame.even, current.even, left, top, SUBSET_SIZE);
  }
  return out;
}

/**
 * What noise alone leaves over near each cell of the finer grid: the registered background's residual there, or the
 * usual one. From registered cells, so that a knocked camera doesn't pass for noise.
 */
function noiseNear(fine: GridLayout, coarse: GridLayout, result: GridResult): Float64Array {
  const usual = median(Array.from(result.residual).filter((value) => Number.isFinite(value)));
  const out = new Float64Array(fine.cols * fine.rows);
  const nearest = (at: number, origin: number, count: number): number =>
    Math.max(0, Math.min(count - 1, Math.round((at - origin) / coarse.step)));
  for (let i = 0; i < out.length; i++) {
    const c = nearest(fine.originX + (i % fine.cols) * fine.step, coarse.originX, coarse.cols);
    const r = nearest(fine.originY + Math.floor(i / fine.cols) * fine.step, coarse.originY, coarse.rows);
    const value = result.residual[r * coarse.cols + c];
    // A cell that fits badly says what moved there, not what its noise is.
    out[i] = Number.isFinite(value) ? Math.min(value, 2 * usual) : usual;
  }
  return out;
}

/**
 * Motion between two frames that follow each other, on the cells that do not stand still: for what is animated.
 * A cell that stands still by its pixels is stored as no motion without being measured: valid 2.
 * @param background the background grid of the current frame: says how much noise alone leaves over
 */
export function measurePair(
  reference: GridReference,
  current: PreparedFrame,
  solver: SubsetSolver,
  background: { readonly layout: GridLayout; readonly result: GridResult },
): GridResult {
  const { frame } = reference;
  const scatter = cellScatter(reference, current);
  const result = emptyResult(scatter.length);
  const noise = noiseNear(reference.layout, background.layout, background.result);
  let rough: ReturnType<typeof roughFrames> | null = null;
  for (let i = 0; i < scatter.length; i++) {
    if (scatter[i] < STILL * noise[i]) {
      result.dx[i] = 0;
      result.dy[i] = 0;
      result.valid[i] = 2;
      continue;
    }
    if (solveCell(reference, i, current, solver, 0, 0, CELL_RANGE) && solver.result.correlation > 0.85) {
      store(result, i, solver, Number.NaN);
      continue;
    }
    const { left, top } = reference.corner(i);
    const radius = Math.ceil(SEED_REACH / 4);
    const quarter = searchShift(frame.quarter, current.quarter, (left >> 2) - 2, (top >> 2) - 2, 12, radius);
    if (quarter === null || quarter.correlation < 0.5) continue;
    const half = searchShift(frame.half, current.half, left >> 1, top >> 1, 16, 3, quarter.dx * 2, quarter.dy * 2);
    if (half === null || half.correlation < 0.5) continue;
    if (solveCell(reference, i, current, solver, half.dx * 2, half.dy * 2, CELL_RANGE)) {
      store(result, i, solver, Number.NaN);
      continue;
    }
    rough ??= roughFrames(frame, current);
    const piece = subsetReference(rough.reference, left, top, SUBSET_SIZE);
    if (piece === null) continue;
    const found = solver.solve(rough.reference, piece, rough.current, half.dx * 2, half.dy * 2, CELL_RANGE);
    if (!found.converged || found.correlation < ROUGH_CORRELATION) continue;
    store(result, i, solver, Number.NaN);
    result.varX[i] = ROUGH_SIGMA ** 2;
    result.varY[i] = ROUGH_SIGMA ** 2;
    result.covXY[i] = 0;
  }
  if (rough !== null)
    for (const plane of [rough.reference.gradientX, rough.reference.gradientY]) frame.workspace.release(plane);
  return result;
}

/** Prefilter through which a cell is found that turns while it moves, px: its fine texture no longer lies on itself. */
const ROUGH_PREFILTER = 2;
const ROUGH_CORRELATION = 0.7;
/** What such a cell is good to, px: by the turn of its surroundings, not by noise. */
const ROUGH_SIGMA = 0.15;

/** Both frames through the coarse prefilter, the earlier one with its gradient, whose planes want releasing. */
function roughFrames(
  frame: ReferenceFrame,
  current: PreparedFrame,
): { readonly reference: ReferenceFrame; readonly current: PreparedFrame } {
  const before = levelOf(frame, ROUGH_PREFILTER);
  const after = levelOf(current, ROUGH_PREFILTER);
  const gradientX = frame.workspace.plane(frame.width, frame.height);
  const gradientY = frame.workspace.plane(frame.width, frame.height);
  splineGradient(before.coefficients, gradientX, gradientY);
  return { reference: { ...frame, ...before, gradientX, gradientY }, current: { ...current, ...after } };
}
