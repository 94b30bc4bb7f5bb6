// Null simulation behind the thresholds in left-over-events.ts: how far the largest of all windows and frames
// goes on surfaces on which nothing slips. White noise under subsets that overlap as the real ones do, correlated from
// frame to frame (AR(1), rho up to 0.3), of another size in every place, and other than the nodes promise (0.7 to 1.4
// times); the robust field that stands for the carrier is taken out as it is taken out of pictures.
//
//   npm run bench -- surface-thresholds [SURFACES]     600 of each sort by default, ten minutes of one core

import { fitVectorField } from "../../src/measure/vector-field.ts";
import { largestSizes } from "../../src/analysis/kinds/evidence/left-over-events.ts";
import type { LeftOverSeries } from "../../src/analysis/series.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { createPart } from "../../src/model/index.ts";
import { tailQuantile } from "./thresholds/tail.ts";

const SEED = 20_261_125;
/** Chance of a false alarm in one surface, by family. */
const CHANCE = 2.5e-4;
/** White noise is drawn on a lattice of half a node's step; a subset is the mean of five by five. */
const FINE = 2;
const SIDE = 5;

function nullSurface(index: number, held: boolean): LeftOverSeries {
  const random = createRandom(SEED, index, held ? 1 : 0);
  const [cols, rows] = [6 + random.integer(9), 6 + random.integer(9)];
  const frames = 10 + random.integer(39);
  const count = cols * rows;
  const off = random.between(0.7, 1.4);
  const rho = random.between(0, 0.3);
  const [sigma, tilt] = [10 ** random.between(-2, -1), random.between(-1, 1)];
  // Lines: one axis is told worse.
  const worse = random.next() < 0.3 ? random.between(3, 20) : random.between(1, 2);
  const cells = Array.from({ length: count }, (_, i) => [i % cols, Math.floor(i / cols)]).flat();
  const sigmas = Array.from({ length: count }, (_, i) => sigma * Math.exp((tilt * (i % cols)) / cols));
  const [wide, high] = [FINE * (cols - 1) + SIDE, FINE * (rows - 1) + SIDE];
  const white = [0, 1].map(() => Float64Array.from({ length: wide * high }, () => random.normal()));
  const dx = new Float32Array(frames * count);
  const dy = new Float32Array(frames * count);
  const anchor = new Float64Array(2 * count);
  for (let r = 0; r < frames; r++) {
    for (const field of white)
      for (let k = 0; k < field.length; k++) field[k] = rho * field[k] + Math.sqrt(1 - rho * rho) * random.normal();
    const noise = [0, 1].map((axis) =>
      sigmas.map((own, i) => {
        let sum = 0;
        for (let v = 0; v < SIDE; v++)
          for (let u = 0; u < SIDE; u++)
            sum += white[axis][(FINE * cells[2 * i + 1] + v) * wide + FINE * cells[2 * i] + u];
        return ((off * own * (axis === 0 ? 1 : worse)) / Math.SQRT2) * (sum / SIDE);
      }),
    );
    // A held surface is told against the anchor; another one from frame to frame and summed up.
    if (r === 0) for (let i = 0; i < count; i++) anchor.set([noise[0][i], noise[1][i]], 2 * i);
    if (r === 0) continue;
    const left = fieldOut(
      noise[0].map((value, i) => value - anchor[2 * i]),
      noise[1].map((value, i) => value - anchor[2 * i + 1]),
      cells,
      sigmas,
      worse,
    );
    for (let i = 0; i < count; i++) {
      const before = held ? 0 : (r - 1) * count + i;
      dx[r * count + i] = (held ? 0 : dx[before]) + left[0][i];
      dy[r * count + i] = (held ? 0 : dy[before]) + left[1][i];
      if (!held) anchor.set([noise[0][i], noise[1][i]], 2 * i);
    }
  }
  return {
    part: createPart({ id: "surface", name: "Surface", kind: "costume", outlines: [] }),
    anchor: frameNumber(1),
    held,
    carrierBy: "surface",
    frames: Array.from({ length: frames }, (_, r) => frameNumber(r + 1)),
    step: px(8),
    size: px(21),
    cells,
    places: new Float64Array(2 * count),
    dx,
    dy,
    found: new Uint8Array(frames * count).fill(1),
    covariance: Float64Array.from(sigmas.flatMap((own) => [own ** 2, 0, (own * worse) ** 2])),
    carrierCovariance: new Float64Array(3 * frames),
  };
}

function fieldOut(
  dx: readonly number[],
  dy: readonly number[],
  cells: readonly number[],
  sigmas: readonly number[],
  worse: number,
): [number[], number[]] {
  const all = (value: (i: number) => number): Float64Array => Float64Array.from(sigmas, (_, i) => value(i));
  const field = fitVectorField(
    {
      x: all((i) => 8 * cells[2 * i]),
      y: all((i) => 8 * cells[2 * i + 1]),
      dx: Float64Array.from(dx),
      dy: Float64Array.from(dy),
      ixx: all((i) => 1 / sigmas[i] ** 2),
      ixy: all(() => 0),
      iyy: all((i) => 1 / (worse * sigmas[i]) ** 2),
    },
    "similar",
  );
  if (field === null) throw new Error("no field through a whole lattice");
  const at = sigmas.map((_, i) => field.at(8 * cells[2 * i], 8 * cells[2 * i + 1]));
  return [dx.map((value, i) => value - at[i][0]), dy.map((value, i) => value - at[i][1])];
}

const surfaces = Number(process.argv[2] ?? 600);
for (const held of [true, false]) {
  const found = { step: new Float64Array(surfaces), slope: new Float64Array(surfaces) };
  for (let i = 0; i < surfaces; i++) {
    const { step, slope } = largestSizes(nullSurface(i, held));
    found.step[i] = step;
    found.slope[i] = slope;
  }
  for (const family of ["step", "slope"] as const) {
    const sorted = found[family].toSorted();
    const at = (share: number): string => sorted[Math.min(surfaces - 1, Math.floor(share * surfaces))].toFixed(2);
    console.log(
      `${held ? "held" : "moving"}, ${family}: half under ${at(0.5)}, one in twenty over ${at(0.95)}, one in a hundred over ${at(0.99)}, largest of ${surfaces} ${at(1)}; ${CHANCE} beyond ${tailQuantile(sorted, CHANCE).toFixed(2)}`,
    );
  }
}
