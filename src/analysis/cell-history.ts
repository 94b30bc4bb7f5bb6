import type { GridMeasurement } from "./measurement.ts";

/** Motion between two frames above which a cell moves, px, and in its own sigmas. */
const MOVES_PX = 0.12;
const MOVES_Z = 5;

/** Which cells of the background grid are animated. Only kept where parts have to be found in the pictures. */
export class CellHistory {
  cols = 0;
  rows = 0;
  originX = 0;
  originY = 0;
  step = 0;
  /** For each cell, in how many frames it moved since the frame before. */
  moved: Uint16Array = new Uint16Array(0);
  /** Cells that the first frame after the reference could tell: a bare wall is lost for another reason than motion. */
  private textured: Uint8Array = new Uint8Array(0);

  take(grid: GridMeasurement, pair: GridMeasurement): void {
    if (this.moved.length !== grid.valid.length) {
      this.cols = grid.cols;
      this.rows = grid.rows;
      this.originX = grid.originX;
      this.originY = grid.originY;
      this.step = grid.step;
      this.moved = new Uint16Array(grid.valid.length);
      this.textured = Uint8Array.from(grid.valid, (valid) => (valid === 1 ? 1 : 0));
    }
    this.countMoves(pair);
  }

  centre(cell: number): [number, number] {
    return [this.originX + (cell % this.cols) * this.step, this.originY + Math.floor(cell / this.cols) * this.step];
  }

  private countMoves(pair: GridMeasurement): void {
    const xs: number[] = [];
    const ys: number[] = [];
    for (let i = 0; i < pair.valid.length; i++) {
      if (pair.valid[i] === 0) continue;
      xs.push(pair.dx[i]);
      ys.push(pair.dy[i]);
    }
    if (xs.length === 0) return;
    const middle = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1];
    const wholeX = middle(xs);
    const wholeY = middle(ys);
    const hit = new Uint8Array(this.moved.length);
    for (let i = 0; i < pair.valid.length; i++) {
      // A cell that was not found again at all has changed too: an arm came or went.
      const lost = pair.valid[i] === 0;
      if (pair.valid[i] === 2) continue;
      if (!lost) {
        const dx = pair.dx[i] - wholeX;
        const dy = pair.dy[i] - wholeY;
        const size = Math.hypot(dx, dy);
        const z = Math.hypot(dx / Math.sqrt(pair.varX[i]), dy / Math.sqrt(pair.varY[i]));
        if (!(size > MOVES_PX && z > MOVES_Z)) continue;
      } else if (!this.hasTexture(i, pair)) continue;
      const c = Math.round((pair.originX + (i % pair.cols) * pair.step - this.originX) / this.step);
      const r = Math.round((pair.originY + Math.floor(i / pair.cols) * pair.step - this.originY) / this.step);
      if (c >= 0 && r >= 0 && c < this.cols && r < this.rows) hit[r * this.cols + c] = 1;
    }
    for (let i = 0; i < hit.length; i++) this.moved[i] = this.moved[i] + hit[i];
  }

  /** Whether the reference grid could measure near here. */
  private hasTexture(pairCell: number, pair: GridMeasurement): boolean {
    const c = Math.round((pair.originX + (pairCell % pair.cols) * pair.step - this.originX) / this.step);
    const r = Math.round((pair.originY + Math.floor(pairCell / pair.cols) * pair.step - this.originY) / this.step);
    return c >= 0 && r >= 0 && c < this.cols && r < this.rows && this.textured[r * this.cols + c] === 1;
  }
}
