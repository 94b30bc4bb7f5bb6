import { readFileSync } from "node:fs";
import path from "node:path";
import { expect, test } from "vitest";
import { fitNoise } from "../../src/measure/noise-fit.ts";

// The example data set of the EMVA 1288 reference implementation (EMVA1288/emva1288 @2ed0b403,
// doc/examples/EMVA1288_image_data.txt), results as its documentation prints them. Temporal variance is pvar / 4N and
// the mean is sum / 2N, for two exposures of N pixels; bright rows are those below 70 % of saturation.

interface Measured {
  readonly pixels: number;
  /** Exposure in ns, sum, pvar. */
  readonly bright: readonly (readonly [number, number, number])[];
  readonly dark: readonly (readonly [number, number, number])[];
}

const { pixels, bright, dark } = JSON.parse(
  readFileSync(path.join(import.meta.dirname, "emva1288.json"), "utf8"),
) as Measured;
const mean = ([, sum]: readonly [number, number, number]): number => sum / (2 * pixels);
const variance = ([, , pvar]: readonly [number, number, number]): number => pvar / (4 * pixels);

test("EMVA 1288: system gain K of the reference camera to 6 digits, dark level and dark variance taken off", () => {
  const rows = bright.map((row, i) => ({
    level: mean(row) - mean(dark[i]),
    variance: variance(row) - variance(dark[i]),
    weight: 1,
  }));
  expect(rows).toHaveLength(26);
  expect(Math.abs(fitNoise(rows, ["photon"])!.gain / 0.280769280926 - 1)).toBeLessThan(1e-7);
});

test("EMVA 1288: dark noise at no exposure to 6 digits, by the line of dark variance over exposure", () => {
  const rows = dark.map((row) => ({ level: row[0], variance: variance(row), weight: 1 }));
  expect(Math.abs(fitNoise(rows, ["photon", "dark"])!.dark / 3.07341849276 - 1)).toBeLessThan(1e-7);
});
