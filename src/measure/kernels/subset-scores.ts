import { blurColumns, blurRow, setBlurRow } from "./gaussian";
import { setResult } from "./result";
import { MOST_SIZE } from "./sizes";
import { PIECE, ROW, SAMPLED, SAMPLED_MEAN, SLOPE_X, SLOPE_Y } from "./subset-work";
import { held, lanesBelow, laneSum } from "./vector";

/** As the twin's. */
const BLOCKS: i32 = 4;
const COLUMN_X: usize = memory.data(MOST_SIZE * 4, 16);
const COLUMN_Y: usize = memory.data(MOST_SIZE * 4, 16);
const SCORE_X: usize = memory.data(BLOCKS * BLOCKS * 8, 16);
const SCORE_Y: usize = memory.data(BLOCKS * BLOCKS * 8, 16);

/** After `solveSubset`. Results: 0 sum of squared residuals, then the blocks' scores in x, and in y. */
export function subsetScores(size: i32, gain: f64): void {
  const bytes = <usize>size << 2;
  const rest = lanesBelow(((size - 1) & 3) + 1);
  const m = held(<f32>load<f64>(SAMPLED_MEAN));
  const perGain = held(<f32>(1 / gain));
  memory.fill(SCORE_X, 0, BLOCKS * BLOCKS * 8);
  memory.fill(SCORE_Y, 0, BLOCKS * BLOCKS * 8);
  let squares = f32x4.splat(0);
  for (let y = 0; y < size; ) {
    // A row of blocks: columns summed as vectors, then told apart.
    const blockRow = (y * BLOCKS) / size;
    memory.fill(COLUMN_X, 0, ROW);
    memory.fill(COLUMN_Y, 0, ROW);
    for (; y < size && (y * BLOCKS) / size === blockRow; y++) {
      const row = <usize>y * ROW;
      for (let x: usize = 0; x < bytes; x += 16) {
        const at = row + x;
        let e = f32x4.sub(f32x4.mul(f32x4.sub(v128.load(SAMPLED + at), m), perGain), v128.load(PIECE + at));
        if (x + 16 > bytes) e = v128.and(rest, e);
        squares = f32x4.add(squares, f32x4.mul(e, e));
        v128.store(COLUMN_X + x, f32x4.add(v128.load(COLUMN_X + x), f32x4.mul(e, v128.load(SLOPE_X + at))));
        v128.store(COLUMN_Y + x, f32x4.add(v128.load(COLUMN_Y + x), f32x4.mul(e, v128.load(SLOPE_Y + at))));
      }
    }
    for (let x = 0; x < size; x++) {
      const block = <usize>(blockRow * BLOCKS + (x * BLOCKS) / size) << 3;
      store<f64>(SCORE_X + block, load<f64>(SCORE_X + block) + <f64>load<f32>(COLUMN_X + (<usize>x << 2)));
      store<f64>(SCORE_Y + block, load<f64>(SCORE_Y + block) + <f64>load<f32>(COLUMN_Y + (<usize>x << 2)));
    }
  }
  setResult(0, laneSum(squares));
  for (let b = 0; b < BLOCKS * BLOCKS; b++) {
    setResult(1 + b, load<f64>(SCORE_X + (<usize>b << 3)));
    setResult(1 + BLOCKS * BLOCKS + b, load<f64>(SCORE_Y + (<usize>b << 3)));
  }
}

/** Largest radius that `subsetScatter` takes, px. */
const MOST_SCATTER_RADIUS: i32 = 8;
const WIDE: i32 = MOST_SIZE + 4 * MOST_SCATTER_RADIUS + 16;
const PADDED: usize = memory.data(WIDE * 4, 16);
const ROWS_X: usize = memory.data(MOST_SIZE * WIDE * 4, 16);
const ROWS_Y: usize = memory.data(MOST_SIZE * WIDE * 4, 16);
/** Two rows each. */
const LINES_X: usize = memory.data(2 * WIDE * 4, 16);
const LINES_Y: usize = memory.data(2 * WIDE * 4, 16);
const NOTHING: usize = memory.data(WIDE * 4, 16);

/** Blurs the rows of a piece, zero all round, `radius` px wider on both sides. */
function blurRows(from: usize, to: usize, size: i32, radius: i32): void {
  const bytes = <usize>size << 2;
  const middle = PADDED + (<usize>radius << 2);
  memory.fill(PADDED, 0, WIDE * 4);
  for (let y = 0; y < size; y++) {
    memory.copy(middle + (<usize>radius << 2), from + <usize>y * ROW, bytes);
    blurRow(middle, size + 2 * radius, radius, to + <usize>y * (WIDE * 4));
  }
}

// @ts-ignore: decorator
@inline
function rowOf(rows: usize, y: i32, size: i32): usize {
  return y < 0 || y >= size ? NOTHING : rows + <usize>y * (WIDE * 4);
}

/** Rows y and y + 1 of the blurred piece. */
function blurLines(rows: usize, y: i32, size: i32, radius: i32, to: usize): void {
  for (let k = 0; k < 2 * radius + 2; k++) setBlurRow(k, rowOf(rows, y - radius + k, size));
  blurColumns(size + 2 * radius, radius, to, to + WIDE * 4);
}

/**
 * After `solveSubset`: sums of squares of the projected gradient after the blur whose weights are set. Results: 0 xx,
 * 1 xy, 2 yy.
 */
export function subsetScatter(size: i32, radius: i32): void {
  blurRows(SLOPE_X, ROWS_X, size, radius);
  blurRows(SLOPE_Y, ROWS_Y, size, radius);
  const side = size + 2 * radius;
  const bytes = <usize>side << 2;
  const rest = lanesBelow(((side - 1) & 3) + 1);
  let xx = f32x4.splat(0);
  let xy = xx;
  let yy = xx;
  for (let y = -radius; y < size + radius; y += 2) {
    blurLines(ROWS_X, y, size, radius, LINES_X);
    blurLines(ROWS_Y, y, size, radius, LINES_Y);
    for (let line = 0; line < min(2, size + radius - y); line++) {
      const start = <usize>line * (WIDE * 4);
      for (let at: usize = 0; at < bytes; at += 16) {
        let a = v128.load(LINES_X + start + at);
        let b = v128.load(LINES_Y + start + at);
        if (at + 16 > bytes) {
          a = v128.and(rest, a);
          b = v128.and(rest, b);
        }
        xx = f32x4.add(xx, f32x4.mul(a, a));
        xy = f32x4.add(xy, f32x4.mul(a, b));
        yy = f32x4.add(yy, f32x4.mul(b, b));
      }
    }
  }
  setResult(0, laneSum(xx));
  setResult(1, laneSum(xy));
  setResult(2, laneSum(yy));
}
