// Null simulation behind src/analysis/kinds/thresholds.ts: how large the statistics get, over holds in which nothing
// happens, so that all kinds together give about one false alarm in 1000. Noise is normal, correlated from frame to
// frame (AR(1), rho up to 0.3), and its size is not the reported one: what the judgement knows of it is off as it is on
// photographs. The very search that judges real holds is run, with nothing accepted.
//
//   npm run bench -- thresholds            prints the table (half an hour of one core)
//   npm run bench -- thresholds write      writes it
//   npm run bench -- thresholds check      simulates afresh and prints the false alarms that the committed table gives
//   npm run bench -- thresholds live       factors for a series that is judged after every frame (four minutes)
//   npm run bench -- thresholds live check simulates these afresh, with the factors and without
//
// Names behind it (held, camera, light, shape) are the series that are simulated: the rest of the table stays.

import { writeFileSync } from "node:fs";
import path from "node:path";
import { historyOf, lightHistories, lightThresholds } from "../../src/analysis/kinds/evidence/history-of.ts";
import { PRIOR_ROWS, REPORTED_VARIANCE_FACTOR } from "../../src/analysis/kinds/evidence/held-series.ts";
import { expectedFlicker, FLICKER_ROWS, modes, SHAPE_ROWS } from "../../src/analysis/kinds/evidence/light-change.ts";
import { restlessness } from "../../src/analysis/kinds/evidence/restlessness.ts";
import { type SeriesName, type Thresholds, thresholdsFor } from "../../src/analysis/kinds/threshold-at.ts";
import { liveFactors } from "../../src/analysis/kinds/live-factors.ts";
import { thresholdTable } from "../../src/analysis/kinds/thresholds.ts";
import type { Series } from "../../src/measure/statistics/history.ts";
import { createRandom } from "../support/random.ts";
import { tailQuantile } from "./thresholds/tail.ts";

const SEED = 20_260_301;
/** Chance of a false alarm in one hold, and in one shot for camera and light. */
const CHANCE = 1e-3;
const LENGTHS = [2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 48, 64, 96, 128, 192, 256, 384, 512];
const NAMES: readonly SeriesName[] = ["held", "camera", "light", "shape"];
const asked = NAMES.filter((name) => process.argv.includes(name));
/** Those that are simulated: what else is in the committed tables stays. */
const WANTED = asked.length > 0 ? asked : NAMES;
/** Light is judged twice, by its mean and by its shape. */
const SHARE: Readonly<Record<SeriesName, number>> = { held: 1, camera: 1, light: 0.5, shape: 0.5 };
const FAMILIES = ["slow", "step", "pop"] as const;
/** A lamp that drops for one frame is what flicker hides most: of the mean light's chance it has the larger part. */
const OF_FAMILY: Readonly<Record<SeriesName, Thresholds>> = {
  held: { slow: 1 / 3, step: 1 / 3, pop: 1 / 3 },
  camera: { slow: 1 / 3, step: 1 / 3, pop: 1 / 3 },
  light: { slow: 1 / 5, step: 1 / 5, pop: 3 / 5 },
  shape: { slow: 1 / 3, step: 1 / 3, pop: 1 / 3 },
};
const chanceOf = (name: SeriesName, family: (typeof FAMILIES)[number]): number =>
  CHANCE * SHARE[name] * OF_FAMILY[name][family];
const NOTHING: Thresholds = { slow: Infinity, step: Infinity, pop: Infinity };

/** Series of each kind: how many, what is expected of their scatter, and how large it is in truth. */
const DIMS: Readonly<Record<SeriesName, number>> = { held: 3, camera: 4, light: 1, shape: modes.length };

/** A series in which nothing happens. Reported sigmas of parts and camera are 1 and the truth 0.8 to 2 times that; flicker is anything from a tenth to twice the expected. */
function nullSeries(name: SeriesName, rows: number, seed: readonly number[]): Series {
  const random = createRandom(...seed);
  const dims = DIMS[name];
  const isLight = name === "light" || name === "shape";
  const expected = isLight ? expectedFlicker[name === "light" ? "mean" : "shape"] : 1;
  const variance = isLight ? expected ** 2 : REPORTED_VARIANCE_FACTOR;
  const common = isLight ? expected * 10 ** random.between(-1, 0.3) : 1;
  const sigmas = Float64Array.from({ length: dims }, () =>
    isLight ? common * (dims > 1 ? random.between(0.5, 1.5) : 1) : random.between(0.8, 2),
  );
  const rho = random.between(0, 0.3);
  // The anchor's row, where there is one, is the mean of four frames.
  const anchored = name === "held" && random.next() < 0.5;
  const weights = new Float64Array(rows).fill(1);
  if (anchored) weights[0] = 4;
  const values = new Float64Array(rows * dims);
  const state = sigmas.map((sigma) => sigma * random.normal());
  for (let i = 0; i < rows; i++) {
    for (let d = 0; d < dims; d++) {
      state[d] = rho * state[d] + Math.sqrt(1 - rho * rho) * sigmas[d] * random.normal();
      values[i * dims + d] = state[d] / Math.sqrt(weights[i]);
    }
  }
  const covariance = new Float64Array(dims * dims);
  for (let d = 0; d < dims; d++) covariance[d * dims + d] = variance;
  return {
    values,
    dims,
    weights,
    prior: { covariance, rows: isLight ? (name === "light" ? FLICKER_ROWS : SHAPE_ROWS) : PRIOR_ROWS },
  };
}

const simulationsFor = (rows: number): number => Math.round(Math.min(40_000, Math.max(12_000, 3_000_000 / rows)));

function highest(name: SeriesName, rows: number, simulations: number, seed: number): Record<string, Float64Array> {
  const found = Object.fromEntries(FAMILIES.map((family) => [family, new Float64Array(simulations)]));
  const axis = Float64Array.from({ length: rows }, (_, row) => row);
  // Half of the shots have a long break, so that a drift may run by frames or by the clock.
  const clock = axis.map((row) => row + (row >= rows / 2 ? rows : 0));
  for (let i = 0; i < simulations; i++) {
    const axes = name === "held" && i % 2 === 1 && rows > 2 ? [clock, axis] : [axis];
    const series = nullSeries(name, rows, [seed, NAMES.indexOf(name), rows, i]);
    const histories =
      name === "light" || name === "shape"
        ? lightHistories(name, series, axis, { thresholds: NOTHING })
        : [historyOf(name, series, axes, { thresholds: NOTHING })];
    const factor = name === "light" ? restlessness(series) : 1;
    for (const family of FAMILIES) {
      found[family][i] = Math.max(...histories.map((history) => history?.highest[family] ?? 0)) / factor;
    }
  }
  return found;
}

function simulated(): Record<string, Record<string, number[]>> {
  const table: Record<string, Record<string, number[]>> = {};
  for (const name of NAMES) {
    if (!WANTED.includes(name)) {
      const { slow, step, pop } = thresholdTable.series[name];
      table[name] = { slow: [...slow], step: [...step], pop: [...pop] };
      continue;
    }
    table[name] = { slow: [], step: [], pop: [] };
    for (const rows of LENGTHS) {
      const found = highest(name, rows, simulationsFor(rows), SEED);
      for (const family of FAMILIES) {
        const threshold = tailQuantile(found[family], chanceOf(name, family));
        table[name][family].push(Math.round(threshold * 100) / 100);
      }
      console.error(name, rows, FAMILIES.map((family) => table[name][family].at(-1)).join("  "));
    }
  }
  return table;
}

/** A running shot is looked at after every frame up to this many rows. */
const LOOKS = 96;
/** Series that are looked at in every frame: tens of histories each, so fewer of them. */
const LOOKED_AT: Readonly<Record<SeriesName, number>> = { held: 3000, camera: 1500, light: 1000, shape: 500 };

/** The first rows of a series, as they were known when its last row was the newest frame. */
function upTo(series: Series, rows: number): Series {
  return {
    ...series,
    values: series.values.subarray(0, rows * series.dims),
    weights: series.weights.subarray(0, rows),
  };
}

/** Largest statistic of all looks over its threshold for one look, by family, of one series in which nothing happens. */
function highestLook(name: SeriesName, seed: readonly number[]): Record<string, number> {
  const series = nullSeries(name, LOOKS, seed);
  const most: Record<string, number> = { slow: 0, step: 0, pop: 0 };
  for (let rows = 2; rows <= LOOKS; rows++) {
    const known = upTo(series, rows);
    const axis = Float64Array.from({ length: rows }, (_, row) => row);
    const clock = axis.map((row) => row + (row >= LOOKS / 2 ? LOOKS : 0));
    const axes = name === "held" && seed[2] % 2 === 1 && rows > LOOKS / 2 ? [clock, axis] : [axis];
    const histories =
      name === "light" || name === "shape"
        ? lightHistories(name, known, axis, { thresholds: NOTHING })
        : [historyOf(name, known, axes, { thresholds: NOTHING })];
    const limits = name === "light" ? lightThresholds(name, known) : thresholdsFor(name, rows);
    for (const family of FAMILIES) {
      if (limits[family] === 0) continue;
      const found = Math.max(0, ...histories.map((history) => history?.highest[family] ?? 0));
      most[family] = Math.max(most[family], found / limits[family]);
    }
  }
  return most;
}

/** Factor by which thresholds rise where a series is judged after every frame, by family. */
function simulatedLive(): Record<string, Record<string, number>> {
  const factors: Record<string, Record<string, number>> = {};
  for (const name of WANTED) {
    const looks = Array.from({ length: LOOKED_AT[name] }, (_, i) => highestLook(name, [SEED, NAMES.indexOf(name), i]));
    const entries = FAMILIES.map((family) => {
      const ratios = Float64Array.from(looks, (look) => look[family]);
      return [family, Math.round(tailQuantile(ratios, chanceOf(name, family)) * 1000) / 1000] as const;
    });
    factors[name] = Object.fromEntries(entries);
    console.error("live", name, JSON.stringify(factors[name]));
  }
  return factors;
}

function checkedLive(): void {
  for (const name of WANTED) {
    const looks = Array.from({ length: LOOKED_AT[name] }, (_, i) =>
      highestLook(name, [SEED + 1, NAMES.indexOf(name), i]),
    );
    const alarms = (factors: Readonly<Record<string, number>> | null) =>
      looks.filter((look) => FAMILIES.some((family) => look[family] > (factors?.[family] ?? 1))).length;
    const [with_, without] = [alarms(liveFactors[name]), alarms(null)];
    console.log(
      `${name}: ${with_} of ${looks.length} series raise an alarm in ${LOOKS} looks, ${without} without the factors`,
    );
  }
}

function printed(table: Record<string, Record<string, number[]>>): string {
  const lines = NAMES.map((name) => {
    const families = FAMILIES.map((family) => `      ${family}: [${table[name][family].join(", ")}],`);
    return `    ${name}: {\n${families.join("\n")}\n    },`;
  });
  return `// Made by \`npm run bench -- thresholds write\` (test/bench/thresholds.ts), seed ${SEED}: don't edit.

/** What a statistic must exceed, by rows of the series: about 1 false alarm in 1000 holds from all kinds together. 0: never tried. */
export const thresholdTable = {
  lengths: [${LENGTHS.join(", ")}],
  series: {
${lines.join("\n")}
  },
} as const;
`;
}

function checked(): void {
  for (const name of WANTED) {
    for (const rows of [4, 9, 24, 40, 100]) {
      const simulations = simulationsFor(rows);
      const found = highest(name, rows, simulations, SEED + 1);
      const limits = thresholdsFor(name, rows);
      let alarms = 0;
      for (let i = 0; i < simulations; i++) {
        if (FAMILIES.some((family) => found[family][i] > limits[family])) alarms++;
      }
      console.log(
        `${name} ${rows} rows: ${((1000 * alarms) / simulations).toFixed(2)} in 1000 (${alarms} of ${simulations})`,
      );
    }
  }
}

if (process.argv[2] === "check") checked();
else if (process.argv[2] === "live" && process.argv[3] === "check") checkedLive();
else if (process.argv[2] === "live") console.log(simulatedLive());
else {
  const text = printed(simulated());
  if (process.argv[2] === "write") writeFileSync(path.resolve("src/analysis/kinds/thresholds.ts"), text);
  else console.log(text);
}
