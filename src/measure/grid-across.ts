import { CELL_CORRELATION, CELL_RANGE, CELL_SIGMA_LIMIT } from "./cell-limits.ts";
import type { GridReference, GridResult } from "./grid-cells.ts";
import { gainStops } from "./light-gain.ts";
import { axesOf } from "./one-way.ts";
import type { PreparedFrame } from "./prepared.ts";
import { fitSimilarity, similarityAt } from "./similarity.ts";
import { SUBSET_SIZE, type SubsetSolver } from "./subset.ts";

// A set of planks, fur or a curtain shows lines and little else. Its cells are no measurement of both directions, but
// across their lines they tell as much as any other, and for the camera that counts.

/** `valid` of a cell of lines: its covariance says which direction it tells, and next to nothing along the other. */
export const ACROSS = 3;
/**
 * The same in a picture that is not one of lines: a single thing of fur or stripes before another set. It says what that
 * thing does; for the camera there are others.
 */
export const ACROSS_ALONE = 4;

/** Whether a cell was told across its lines alone. */
export const isAcross = (valid: number): boolean => valid === ACROSS || valid === ACROSS_ALONE;

/** Cells found in both directions that it takes to say where those of lines are to be sought along them. */
const LEAST_FOUND = 8;
/** Share of all cells that must be lines: a set of other texture does without them. */
const LEAST_SHARE = 0.25;

/** Whether the set is one of lines, by the reference alone, so that it is the same in all frames of a shot. */
const known = new WeakMap<GridReference, boolean>();

function isOfLines(reference: GridReference): boolean {
  let answer = known.get(reference);
  if (answer === undefined) {
    const count = reference.layout.cols * reference.layout.rows;
    let lines = 0;
    for (let i = 0; i < count; i++) if (reference.across(i) !== null) lines++;
    answer = lines >= LEAST_SHARE * count;
    known.set(reference, answer);
  }
  return answer;
}

/**
 * Cells of lines that were not found in both directions, found across their lines: `valid` is `ACROSS` or `ACROSS_ALONE`
 * then. Along them they are sought where the others say that the picture went.
 */
export function measureAcross(
  reference: GridReference,
  current: PreparedFrame,
  solver: SubsetSolver,
  result: GridResult,
): void {
  const found = isOfLines(reference) ? ACROSS : ACROSS_ALONE;
  const { cols, originX, originY, step } = reference.layout;
  const [centreX, centreY] = [current.width / 2, current.height / 2];
  const placeOf = (i: number): [number, number] => [originX + (i % cols) * step, originY + Math.floor(i / cols) * step];
  const both = [...result.valid.keys()].filter((i) => result.valid[i] === 1);
  if (both.length === result.valid.length) return;
  const places = both.map(placeOf);
  const pick = (values: Float32Array): number[] => both.map((i) => values[i]);
  const fit = fitSimilarity(
    places.map(([x]) => x),
    places.map(([, y]) => y),
    pick(result.dx),
    pick(result.dy),
    pick(result.varX),
    pick(result.varY),
    centreX,
    centreY,
  );
  if (fit === null || fit.support < LEAST_FOUND) return;
  for (let i = 0; i < result.valid.length; i++) {
    if (result.valid[i] !== 0) continue;
    const piece = reference.across(i);
    if (piece === null) continue;
    const [x, y] = placeOf(i);
    const [seedX, seedY] = similarityAt(fit, centreX, centreY, x, y);
    const { converged, correlation, dx, dy, varX, varY, covXY } = solver.solve(
      reference.frame,
      piece,
      current,
      seedX,
      seedY,
      CELL_RANGE,
    );
    if (!converged || correlation < CELL_CORRELATION) continue;
    if (axesOf([varX, covXY, varY]).smaller > CELL_SIGMA_LIMIT ** 2) continue;
    result.dx[i] = dx;
    result.dy[i] = dy;
    result.varX[i] = varX;
    result.varY[i] = varY;
    result.covXY[i] = covXY;
    const { left, top } = reference.corner(i);
    result.gainStops[i] = gainStops(reference.frame.linear, current.linear, left, top, SUBSET_SIZE, dx, dy);
    result.valid[i] = found;
  }
}
