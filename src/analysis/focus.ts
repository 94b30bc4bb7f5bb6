import { median } from "../measure/statistics/robust.ts";
import type { FrameNumber } from "../units/index.ts";
import { restlessCells } from "./cells-at-rest.ts";
import type { CameraFit } from "./camera.ts";
import { LIGHT_COLUMNS, LIGHT_ROWS } from "./light.ts";
import type { GridMeasurement } from "./measurement.ts";

/** Regions in which focus is told: those of the light's lattice. */
const REGIONS = LIGHT_COLUMNS * LIGHT_ROWS;
/** Cells it takes to tell a region's, and the whole frame's. */
const LEAST_REGION = 12;
const LEAST_FRAME = 8;
/** Cells that are looked at in a region at the most, those that tell most. */
const MOST_OF_REGION = 50;
/** Frames by which cells are chosen. */
const FIRST_FRAMES = 8;
const TUKEY = 4.685;
const ROUNDS = 4;

/** Sharpness of one frame against the shot's own: the share of the contrast of waves of 3 px that was lost. */
export interface FocusFit {
  readonly loss: number;
  readonly sigma: number;
  /** Of each region of the 4 x 3 lattice, row-major; NaN where it has too little texture. */
  readonly regions: readonly number[];
  /** Their standard errors, by the scatter of their cells in this frame. */
  readonly regionSigmas: readonly number[];
}

/** Mean that single cells can't pull away: Tukey's biweight on cells weighed by their own noise, begun at the median. */
function robustMean(values: readonly number[], variances: readonly number[]): { value: number; sigma: number } {
  // No cell counts for much more than the middle one: relief and JPEG differ from cell to cell more than noise does.
  const even = median(variances);
  const weights = variances.map((variance) => 1 / (variance + even));
  let value = median(values);
  let sigma = Number.NaN;
  for (let round = 0; round < ROUNDS; round++) {
    const apart = values.map((one, i) => (one - value) * Math.sqrt(weights[i]));
    const scale = Math.max(1e-9, 1.4826022185 * median(apart.map(Math.abs)));
    let [sum, weight] = [0, 0];
    values.forEach((one, i) => {
      const r = apart[i] / (TUKEY * scale);
      if (Math.abs(r) >= 1) return;
      const w = weights[i] * (1 - r * r) ** 2;
      sum += w * one;
      weight += w;
    });
    if (!(weight > 0)) break;
    const next = sum / weight;
    sigma = scale / Math.sqrt(weight);
    const done = Math.abs(next - value) < 1e-3 * sigma;
    value = next;
    if (done) break;
  }
  return { value, sigma };
}

/** What focus is told from: the background grid of a frame, 1 for each of its cells that something moves in, and the camera. */
interface GridFrame {
  readonly grid: GridMeasurement;
  readonly left: Uint8Array;
  readonly camera: CameraFit | null;
}

const isTold = ({ grid, left }: GridFrame, cell: number): boolean =>
  grid.valid[cell] === 1 && left[cell] !== 1 && Number.isFinite(grid.blurLoss?.[cell]);

/** A cell whose light changed so much against the others lies in a shadow, where its noise is another, stops. */
const IN_SHADOW = 0.25;

/** Cells to leave out: what moves, and what lies in shadow. */
function withoutShadow(frame: GridFrame): GridFrame {
  const { grid, left } = frame;
  const known = [...grid.gainStops].filter((gain, i) => grid.valid[i] === 1 && Number.isFinite(gain));
  if (known.length === 0) return frame;
  const usual = median(known);
  return { ...frame, left: left.map((out, i) => (Math.abs(grid.gainStops[i] - usual) > IN_SHADOW ? 1 : out)) };
}

/** The cells of each region that tell most, by their first frames. */
function chosenCells(frames: readonly GridFrame[], width: number, height: number): number[][] {
  const [{ grid }] = frames;
  const told: { cell: number; variance: number }[][] = Array.from({ length: REGIONS }, () => []);
  for (let cell = 0; cell < grid.valid.length; cell++) {
    const variances: number[] = [];
    for (const frame of frames.slice(0, FIRST_FRAMES))
      if (isTold(frame, cell)) variances.push(frame.grid.blurVariance?.[cell] ?? Number.NaN);
    if (variances.length < Math.min(FIRST_FRAMES, frames.length) / 2) continue;
    const x = grid.originX + (cell % grid.cols) * grid.step;
    const y = grid.originY + Math.floor(cell / grid.cols) * grid.step;
    const c = Math.min(LIGHT_COLUMNS - 1, Math.floor((x * LIGHT_COLUMNS) / width));
    const r = Math.min(LIGHT_ROWS - 1, Math.floor((y * LIGHT_ROWS) / height));
    told[r * LIGHT_COLUMNS + c].push({ cell, variance: median(variances) });
  }
  return told.map((cells) =>
    cells
      .sort((a, b) => a.variance - b.variance || a.cell - b.cell)
      .slice(0, MOST_OF_REGION)
      .map(({ cell }) => cell),
  );
}

/**
 * Sharpness of every frame against the shot's own: a frame's mean over cells, each cell with its own constant taken out
 * (its noise, JPEG and relief give it one), so that a cell that is covered for a while changes nothing.
 * @param shot all of its frames in order; the reference has no sharpness of its own
 * @param moved 1 for each cell that moved at any time, as far as that is known
 * @returns for each frame; null for the reference, and where too few cells have fine texture
 */
export function focusOfShot(
  shot: readonly GridFrame[],
  numbers: readonly FrameNumber[],
  moved: Uint8Array,
  width: number,
  height: number,
) {
  // What moves shows the match's resampling, and other things at its edge: no lens did that.
  const fromFirst = shot.map((frame) => (frame.grid.against === numbers[0] ? frame : { ...frame, camera: null }));
  const restless = restlessCells(fromFirst, width, height);
  const frames = shot.map((frame, i) =>
    withoutShadow({ ...frame, left: frame.left.map((out, cell) => out | moved[cell] | restless[i][cell]) }),
  );
  const out: (FocusFit | null)[] = frames.map(() => null);
  // Frames that were measured against another than the reference, under a camera that moves, say nothing of the shot's focus.
  const known = [...frames.keys()].filter((i) => i > 0 && frames[i].grid.against === numbers[0]);
  if (known.length === 0) return out;
  const regions = chosenCells(
    known.map((i) => frames[i]),
    width,
    height,
  );
  const all = regions.flat();
  const constants = new Map<number, number>();
  const means = known.map(() => Number.NaN);
  const meanOf = (frame: GridFrame, cells: readonly number[], least: number) => {
    const told = cells.filter((cell) => constants.has(cell) && isTold(frame, cell));
    // Where most cells lie in shadow the rest do not stand for them.
    if (told.length < Math.max(least, cells.length / 2)) return null;
    const { blurLoss = [], blurVariance = [] } = frame.grid;
    return robustMean(
      told.map((cell) => blurLoss[cell] - (constants.get(cell) ?? 0)),
      told.map((cell) => blurVariance[cell]),
    );
  };
  for (let round = 0; round < 2; round++) {
    for (const cell of all) {
      const values: number[] = [];
      known.forEach((i, k) => {
        const mean = round === 0 ? 0 : means[k];
        if (isTold(frames[i], cell) && Number.isFinite(mean))
          values.push((frames[i].grid.blurLoss?.[cell] ?? 0) - mean);
      });
      if (values.length > 0) constants.set(cell, median(values));
    }
    known.forEach((i, k) => {
      const mean = meanOf(frames[i], all, LEAST_FRAME);
      means[k] = mean?.value ?? Number.NaN;
      if (round === 0 || mean === null) return;
      const ofRegions = regions.map((cells) => meanOf(frames[i], cells, LEAST_REGION));
      out[i] = {
        loss: mean.value,
        sigma: mean.sigma,
        regions: ofRegions.map((one) => one?.value ?? Number.NaN),
        regionSigmas: ofRegions.map((one) => one?.sigma ?? Number.NaN),
      };
    });
  }
  return out;
}
