import { isAcross } from "../measure/grid-across.ts";
import { axesOf } from "../measure/one-way.ts";
import { similarityAt } from "../measure/similarity.ts";
import { median } from "../measure/statistics/robust.ts";
import type { CameraFit } from "./camera.ts";
import type { GridMeasurement } from "./measurement.ts";

// What every cell of the background grid did over the shot once the camera is out: the same two tests as for a held part,
// on the mean of neighbouring cells. They only choose where to look closely: what is found is measured as a held part.

/**
 * Standard deviations that are worth a closer look. In a picture of 640 x 400 some 30,000 blocks and frames are looked at,
 * of which about 8,000 know nothing of each other: normal noise in two directions would pass 4.2 about once a shot
 * (8,000 exp(-4.2 squared / 2) = 1.2). The sigmas here are on the safe side (the reference's noise is in them, and the
 * floors): of 25 clean shots of the bench one passes, in which something moves. It only costs the look: what is flagged
 * has been measured as a part, by a stricter threshold (`FOUND_SCORE`).
 */
const FOUND_Z = 4.2;
/** Sides of the blocks of cells whose means are looked at, beside each cell alone. */
const BLOCKS = [2, 3];
/** Of a single cell, to belong to what its block shows, and the share of the block's drift that it must show. */
const JOINS_Z = 2;
const JOINS_SHARE = 0.3;
/** What steady means and single frames of cells differ by anyway, px: JPEG, shading, the camera's own error. */
const MEAN_FLOOR = 0.004;
const FRAME_FLOOR = 0.006;
/** Share of a camera's own step that near and far may differ by: parallax is no drift. */
const PARALLAX = 0.08;
/** Px that a cell seems to move by for each stop of its own light: the edge of a shadow pulls. */
const PER_STOP = 0.5;
/** A cell whose light changed by more than this against the frame's is disturbed, stops: 4 %. */
const DISTURBED = Math.log2(1.04);
/** Share of the frames in which a cell has to be measured, and their least number. */
const LEAST_SHARE = 0.6;
const LEAST_FRAMES = 5;
/** Frames before and after that one frame is told against. */
const AROUND = 4;
/** Median of a chi-square with one degree of freedom. */
const CHI_MEDIAN = 0.4549;
/** Sigmas hold the noise of both frames; against each other the frames scatter by half of that at best. */
const LEAST_INFLATION = 0.5;

/** What one cell did: how far at most, and when. Px of the analysed frame. */
export interface CellDrift {
  readonly dx: number;
  readonly dy: number;
  /** Standard deviations, those of its block. */
  readonly z: number;
  /** "step": from `at` on, at once or slowly; "pop": in frame `at` alone. Index of the frame. */
  readonly kind: "step" | "pop";
  readonly at: number;
}

export type GridFrames = readonly { readonly grid: GridMeasurement; readonly camera: CameraFit | null }[];

/** One cell or the mean of several: a value a frame, NaN where there is none. */
interface Series {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly variance: Float64Array;
}

/** How much larger the variance is than it says, from second differences: drift and single jumps don't enter. */
function inflationOf({ x, y, variance }: Series): number {
  const ratios: number[] = [];
  for (let i = 1; i + 1 < x.length; i++) {
    const expected = variance[i - 1] + 4 * variance[i] + variance[i + 1];
    const square = (v: Float64Array): number => (v[i - 1] - 2 * v[i] + v[i + 1]) ** 2;
    if (!Number.isFinite(x[i - 1] + x[i] + x[i + 1])) continue;
    ratios.push(square(x) / expected, square(y) / expected);
  }
  return ratios.length === 0 ? 1 : Math.max(LEAST_INFLATION, median(ratios) / CHI_MEDIAN);
}

/** The frame's own light: what most cells agree on, stops. */
const lightOf = (grid: GridMeasurement): number =>
  median(grid.gainStops.filter((value, i) => grid.valid[i] === 1 && Number.isFinite(value)));

/** A cell's series about its own middle; null where it was measured too seldom. */
function seriesOf(
  frames: GridFrames,
  lights: readonly number[],
  cell: number,
  px: number,
  py: number,
  width: number,
  height: number,
): Series | null {
  const length = frames.length;
  const x = new Float64Array(length).fill(Number.NaN);
  const y = new Float64Array(length).fill(Number.NaN);
  const variance = new Float64Array(length).fill(Number.NaN);
  const light = frames.map(({ grid }, i) => grid.gainStops[cell] - lights[i]);
  const usual = median(light.filter((value) => Number.isFinite(value)));
  let n = 0;
  frames.forEach(({ grid, camera }, i) => {
    const across = isAcross(grid.valid[cell]);
    if ((grid.valid[cell] !== 1 && !across) || camera === null) return;
    const change = Number.isFinite(light[i]) ? Math.abs(light[i] - usual) : 0;
    if (change > DISTURBED) return;
    const [cx, cy] = similarityAt(camera, width / 2, height / 2, px, py);
    const [dx, dy] = [grid.dx[cell] - cx, grid.dy[cell] - cy];
    if (across) {
      // Across its lines it tells what any cell does, along them nothing: there it is taken to stay.
      const { smaller, axis } = axesOf([grid.varX[cell], grid.covXY[cell], grid.varY[cell]]);
      const told = dx * axis[0] + dy * axis[1];
      x[i] = told * axis[0];
      y[i] = told * axis[1];
      variance[i] = smaller;
    } else {
      x[i] = dx;
      y[i] = dy;
      variance[i] = Math.max(grid.varX[cell], grid.varY[cell]);
    }
    variance[i] += (PER_STOP * change) ** 2;
    n++;
  });
  if (n < Math.max(LEAST_FRAMES, LEAST_SHARE * length)) return null;
  // The reference against itself has no noise of its own, all others have its noise: it scatters like any of them.
  const typical = median(variance.filter((value) => Number.isFinite(value)));
  for (let i = 0; i < length; i++) if (variance[i] < typical / 4) variance[i] = typical;
  const known = (values: Float64Array): Float64Array => values.filter((value) => Number.isFinite(value));
  const [mx, my] = [median(known(x)), median(known(y))];
  for (let i = 0; i < length; i++) {
    x[i] -= mx;
    y[i] -= my;
  }
  const scale = inflationOf({ x, y, variance });
  for (let i = 0; i < length; i++) variance[i] *= scale;
  return { x, y, variance };
}

function meanOf(all: readonly Series[]): Series {
  const length = all[0].x.length;
  const x = new Float64Array(length).fill(Number.NaN);
  const y = new Float64Array(length).fill(Number.NaN);
  const variance = new Float64Array(length).fill(Number.NaN);
  for (let i = 0; i < length; i++) {
    let [weight, sx, sy] = [0, 0, 0];
    for (const one of all) {
      if (!Number.isFinite(one.x[i])) continue;
      const w = 1 / one.variance[i];
      weight += w;
      sx += w * one.x[i];
      sy += w * one.y[i];
    }
    if (weight === 0) continue;
    x[i] = sx / weight;
    y[i] = sy / weight;
    variance[i] = 1 / weight;
  }
  return { x, y, variance };
}

/** Difference of two sets of frames with its variance, each frame counted alike. */
interface Contrast {
  readonly dx: number;
  readonly dy: number;
  readonly variance: number;
}

/** Sums up to each frame, for means of any stretch. */
interface Sums {
  readonly n: Float64Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly variance: Float64Array;
}

function sumsOf(series: Series): Sums {
  const length = series.x.length + 1;
  const [n, x, y, variance] = [0, 0, 0, 0].map(() => new Float64Array(length));
  for (let i = 0; i + 1 < length; i++) {
    const known = Number.isFinite(series.x[i]);
    n[i + 1] = n[i] + (known ? 1 : 0);
    x[i + 1] = x[i] + (known ? series.x[i] : 0);
    y[i + 1] = y[i] + (known ? series.y[i] : 0);
    variance[i + 1] = variance[i] + (known ? series.variance[i] : 0);
  }
  return { n, x, y, variance };
}

/** Frames `at` on against those before; null where either side has fewer than two. */
function stepAt(sums: Sums, at: number, parallax: number): Contrast | null {
  const last = sums.n.length - 1;
  const before = sums.n[at];
  const after = sums.n[last] - before;
  if (before < 2 || after < 2) return null;
  return {
    dx: (sums.x[last] - sums.x[at]) / after - sums.x[at] / before,
    dy: (sums.y[last] - sums.y[at]) / after - sums.y[at] / before,
    variance:
      sums.variance[at] / before ** 2 +
      (sums.variance[last] - sums.variance[at]) / after ** 2 +
      MEAN_FLOOR ** 2 +
      parallax ** 2,
  };
}

/** One frame against as many before as after it; null where it has too few on a side. */
function popAt(series: Series, sums: Sums, at: number, parallax: number): Contrast | null {
  const last = sums.n.length - 1;
  const reach = Math.min(AROUND, at, last - 1 - at);
  if (reach < 2 || !Number.isFinite(series.x[at])) return null;
  const sumOf = (v: Float64Array): number => v[at + reach + 1] - v[at + 1] + v[at] - v[at - reach];
  const n = sumOf(sums.n);
  if (n < 2 * reach) return null;
  return {
    dx: series.x[at] - sumOf(sums.x) / n,
    dy: series.y[at] - sumOf(sums.y) / n,
    variance: series.variance[at] + sumOf(sums.variance) / n ** 2 + FRAME_FLOOR ** 2 + parallax ** 2,
  };
}

/** How far the camera itself was elsewhere, px: for each frame against its neighbours, and from each frame on. */
function cameraSteps(frames: GridFrames): { readonly step: Float64Array; readonly pop: Float64Array } {
  const series: Series = {
    x: Float64Array.from(frames, ({ camera }) => camera?.dx ?? Number.NaN),
    y: Float64Array.from(frames, ({ camera }) => camera?.dy ?? Number.NaN),
    variance: new Float64Array(frames.length),
  };
  const sums = sumsOf(series);
  const sizeOf = (contrast: Contrast | null): number => (contrast === null ? 0 : Math.hypot(contrast.dx, contrast.dy));
  return {
    step: Float64Array.from(frames, (_, i) => sizeOf(stepAt(sums, i, 0))),
    pop: Float64Array.from(frames, (_, i) => sizeOf(popAt(series, sums, i, 0))),
  };
}

interface Layout {
  readonly cols: number;
  readonly rows: number;
  centre(cell: number): readonly [number, number];
}

/**
 * The cells that drift, jump or pop, each with the most telling contrast of the blocks that it is in; null for the rest.
 * @param masked 1 for each cell to leave out: what is animated
 */
export function cellDrifts(
  layout: Layout,
  frames: GridFrames,
  masked: Uint8Array,
  width: number,
  height: number,
): (CellDrift | null)[] {
  const { cols, rows } = layout;
  const lights = frames.map(({ grid }) => lightOf(grid));
  const camera = cameraSteps(frames);
  const cells = Array.from({ length: cols * rows }, (_, cell) => {
    if (masked[cell] === 1) return null;
    const series = seriesOf(frames, lights, cell, ...layout.centre(cell), width, height);
    return series === null ? null : { cell, series, sums: sumsOf(series) };
  });
  const best: (CellDrift | null)[] = cells.map(() => null);
  type Known = NonNullable<(typeof cells)[number]>;

  const judge = (block: readonly Known[]): void => {
    const series = block.length === 1 ? block[0].series : meanOf(block.map((one) => one.series));
    const sums = block.length === 1 ? block[0].sums : sumsOf(series);
    let most: { readonly z: number; readonly contrast: Contrast; readonly kind: CellDrift["kind"]; at: number } | null =
      null;
    for (let at = 0; at < frames.length; at++) {
      for (const kind of ["step", "pop"] as const) {
        const parallax = PARALLAX * camera[kind][at];
        const contrast = kind === "step" ? stepAt(sums, at, parallax) : popAt(series, sums, at, parallax);
        if (contrast === null) continue;
        const z = Math.hypot(contrast.dx, contrast.dy) / Math.sqrt(contrast.variance);
        if (z > FOUND_Z && (most === null || z > most.z)) most = { z, contrast, kind, at };
      }
    }
    if (most === null) return;
    const { z, contrast, kind, at } = most;
    const size = Math.hypot(contrast.dx, contrast.dy);
    for (const one of block) {
      const known = best[one.cell];
      if (known !== null && known.z >= z) continue;
      const parallax = PARALLAX * camera[kind][at];
      const own = kind === "step" ? stepAt(one.sums, at, parallax) : popAt(one.series, one.sums, at, parallax);
      if (own === null) continue;
      const along = (own.dx * contrast.dx + own.dy * contrast.dy) / size;
      if (along < JOINS_Z * Math.sqrt(own.variance) || along < JOINS_SHARE * size) continue;
      best[one.cell] = { dx: own.dx, dy: own.dy, z, kind, at };
    }
  };

  for (let r = 0; r < rows; r++)
    for (let c = 0; c < cols; c++) {
      const here = cells[r * cols + c];
      if (here !== null) judge([here]);
      for (const side of BLOCKS) {
        const block: Known[] = [];
        for (let v = r; v < Math.min(rows, r + side); v++)
          for (let u = c; u < Math.min(cols, c + side); u++) {
            const one = cells[v * cols + u];
            if (one !== null) block.push(one);
          }
        if (block.length > 1) judge(block);
      }
    }
  return best;
}
