import type { GridMeasurement } from "./measurement.ts";

/** Motion between two frames above which a cell moves, px, and in its own sigmas. */
const MOVES_PX = 0.12;
const MOVES_Z = 5;
/** Frames in which a thing that comes, stays and goes moves a cell. */
const COMES_AND_GOES = 2;

/** Longest run of frames with motion that is a bump (a knock, a pop there and back), and how many bumps are animation. */
const BUMP = 2;
/** Motion between two frames that is animated, px. What never goes faster creeps, however far it gets. */
const ANIMATED_PX = 0.4;
const BUMPS = 3;

/** Which cells of the background grid are animated, frame by frame. */
export class CellHistory {
  cols = 0;
  rows = 0;
  originX = 0;
  originY = 0;
  step = 0;
  /** For each frame after the first, one byte a cell: whether it moved since the frame before, 2: fast. */
  private readonly moved: Uint8Array[] = [];
  /** Cells that the first frame after the reference could tell: a bare wall is lost for another reason than motion. */
  private textured: Uint8Array = new Uint8Array(0);

  take(grid: GridMeasurement, pair: GridMeasurement): void {
    if (this.textured.length !== grid.valid.length) {
      this.cols = grid.cols;
      this.rows = grid.rows;
      this.originX = grid.originX;
      this.originY = grid.originY;
      this.step = grid.step;
      this.textured = Uint8Array.from(grid.valid, (valid) => (valid === 1 ? 1 : 0));
    }
    this.countMoves(pair);
  }

  /** Whether a cell moved into a frame, counted from 0, since the one before. */
  movedIn(cell: number, frame: number): boolean {
    return frame > 0 && (this.moved[frame - 1]?.[cell] ?? 0) > 0;
  }

  /** 1 for each cell that is animated: it moves for longer than a knock or a pop does, or again and again. */
  animated(): Uint8Array {
    return Uint8Array.from({ length: this.cols * this.rows }, (_, cell) => {
      let runs = 0;
      let length = 0;
      let longest = 0;
      let fast = false;
      for (const hit of this.moved) {
        length = hit[cell] > 0 ? length + 1 : 0;
        if (length === 1) runs++;
        longest = Math.max(longest, length);
        fast ||= hit[cell] === 2;
      }
      return fast && (longest > BUMP || runs >= BUMPS) ? 1 : 0;
    });
  }

  centre(cell: number): [number, number] {
    return [this.originX + (cell % this.cols) * this.step, this.originY + Math.floor(cell / this.cols) * this.step];
  }

  /** The cell that a place is in; the nearest one where it is beside the grid. */
  cellAt(x: number, y: number): number {
    const c = Math.max(0, Math.min(this.cols - 1, Math.round((x - this.originX) / this.step)));
    const r = Math.max(0, Math.min(this.rows - 1, Math.round((y - this.originY) / this.step)));
    return r * this.cols + c;
  }

  /** Whether something moved here, or beside, in more frames than a thing makes that comes and goes. */
  isRestless(x: number, y: number): boolean {
    const c = Math.round((x - this.originX) / this.step);
    const r = Math.round((y - this.originY) / this.step);
    for (let v = Math.max(0, r - 1); v <= Math.min(this.rows - 1, r + 1); v++)
      for (let u = Math.max(0, c - 1); u <= Math.min(this.cols - 1, c + 1); u++)
        if (this.framesMoved(v * this.cols + u) > COMES_AND_GOES) return true;
    return false;
  }

  private framesMoved(cell: number): number {
    return this.moved.reduce((sum, hit) => sum + (hit[cell] > 0 ? 1 : 0), 0);
  }

  private countMoves(pair: GridMeasurement): void {
    const xs: number[] = [];
    const ys: number[] = [];
    for (let i = 0; i < pair.valid.length; i++) {
      if (pair.valid[i] === 0) continue;
      xs.push(pair.dx[i]);
      ys.push(pair.dy[i]);
    }
    const hit = new Uint8Array(this.cols * this.rows);
    this.moved.push(hit);
    if (xs.length === 0) return;
    const middle = (values: readonly number[]): number => Float64Array.from(values).sort()[values.length >> 1];
    const wholeX = middle(xs);
    const wholeY = middle(ys);
    for (let i = 0; i < pair.valid.length; i++) {
      // A cell that was not found again at all has changed too: an arm came or went.
      const lost = pair.valid[i] === 0;
      let speed = 2;
      if (pair.valid[i] === 2) continue;
      if (!lost) {
        const dx = pair.dx[i] - wholeX;
        const dy = pair.dy[i] - wholeY;
        const size = Math.hypot(dx, dy);
        const z = Math.hypot(dx / Math.sqrt(pair.varX[i]), dy / Math.sqrt(pair.varY[i]));
        if (!(size > MOVES_PX && z > MOVES_Z)) continue;
        if (size < ANIMATED_PX) speed = 1;
      } else if (!this.hasTexture(i, pair)) continue;
      const c = Math.round((pair.originX + (i % pair.cols) * pair.step - this.originX) / this.step);
      const r = Math.round((pair.originY + Math.floor(i / pair.cols) * pair.step - this.originY) / this.step);
      if (c >= 0 && r >= 0 && c < this.cols && r < this.rows)
        hit[r * this.cols + c] = Math.max(speed, hit[r * this.cols + c]);
    }
  }

  /** Whether the reference grid could measure near here. */
  private hasTexture(pairCell: number, pair: GridMeasurement): boolean {
    const c = Math.round((pair.originX + (pairCell % pair.cols) * pair.step - this.originX) / this.step);
    const r = Math.round((pair.originY + Math.floor(pairCell / pair.cols) * pair.step - this.originY) / this.step);
    return c >= 0 && r >= 0 && c < this.cols && r < this.rows && this.textured[r * this.cols + c] === 1;
  }
}
