// How exact the measurement is, cell by cell: parts of several sizes and textures under several noises, with and without
// JPEG, standing still and drifting through the phases of a pixel, against exactly known motion; parts under changing
// light, a moving shadow and a passing arm; the camera. opencv.js sees some of the same frames.
// The cells of parts hold the camera known; the others are whole checks with the camera fitted.
//
//   npm run bench -- accuracy [--seed N] [--json FILE] [--quick]
//                             [--cells parts|disturbed|camera ...] [--size N ...] [--texture NAME ...] [--noise N ...]
//
// --cells, --size (px), --texture and --noise run only what they name; their cells are the same as in a full run.
// The Markdown tables of DEVELOPERS.md are printed at the end.

import { writeFileSync } from "node:fs";
import { parseArgs } from "node:util";
import { createHoldMeasurer } from "./accuracy/hold.ts";
import { openRival } from "./accuracy/opencv.ts";
import { PART_TEXTURES, type PartCell, partCells } from "./accuracy/part-cells.ts";
import { reachLines } from "./accuracy/reach.ts";
import {
  cameraHeader,
  cameraLine,
  cameraMarkdown,
  disturbedHeader,
  disturbedLine,
  disturbedMarkdown,
  markdown,
  partHeader,
  partLine,
  verdict,
} from "./accuracy/table.ts";
import {
  type CameraCell,
  cameraCells,
  DISTURBANCES,
  type DisturbedCell,
  disturbedCell,
} from "./accuracy/whole-checks.ts";

const { values } = parseArgs({
  options: {
    seed: { type: "string", default: "1" },
    json: { type: "string" },
    quick: { type: "boolean", default: false },
    cells: { type: "string", multiple: true, default: [] },
    size: { type: "string", multiple: true, default: [] },
    texture: { type: "string", multiple: true, default: [] },
    noise: { type: "string", multiple: true, default: [] },
  },
});
const seed = Number(values.seed);
if (!Number.isInteger(seed)) throw new Error(`--seed ${values.seed}: needs a whole number`);

/** What was named, or all there is. Refused where something named is not there. */
function chosen<T extends string | number>(option: string, named: readonly string[], all: readonly T[]): readonly T[] {
  for (const name of named)
    if (!all.some((one) => String(one) === name)) throw new Error(`--${option} ${name}: there are ${all.join(", ")}`);
  return named.length === 0 ? all : all.filter((one) => named.includes(String(one)));
}

interface Amount {
  readonly noises: readonly number[];
  readonly jpegs: readonly boolean[];
  /** Pieces of texture, and noises drawn for each of them standing still and drifting, by the part's size. */
  readonly sizes: readonly (readonly [size: number, pieces: number, repeats: number])[];
  readonly disturbedSizes: readonly number[];
  readonly disturbedShots: number;
  readonly cameraShots: number;
}

const FULL: Amount = {
  noises: [0.5, 1, 2, 4],
  jpegs: [false, true],
  sizes: [
    [40, 4, 5],
    [80, 4, 5],
    [200, 3, 4],
    [400, 2, 2],
  ],
  disturbedSizes: [80, 200],
  disturbedShots: 2,
  cameraShots: 3,
};
const QUICK: Amount = {
  noises: [1, 2],
  jpegs: [true],
  sizes: [
    [40, 1, 3],
    [80, 2, 2],
    [200, 1, 2],
    [400, 1, 1],
  ],
  disturbedSizes: [80],
  disturbedShots: 1,
  cameraShots: 1,
};
const amount = values.quick ? QUICK : FULL;
const cellsOf = chosen("cells", values.cells, ["parts", "disturbed", "camera"]);
const sizes = chosen(
  "size",
  values.size,
  amount.sizes.map(([size]) => size),
);
const textures = chosen("texture", values.texture, PART_TEXTURES);
const noises = chosen("noise", values.noise, amount.noises);
const start = process.cpuUsage();

const measurer = await createHoldMeasurer();
const rival = await openRival();
const asks = (noise: number, jpeg: boolean): boolean => jpeg && noise === 1;
/** On fainter textures its ECC throws, after which the module is good for nothing. */
const ASKED_TEXTURES: readonly string[] = ["woven", "herringbone", "stripes"];

console.log(partHeader);
const parts: PartCell[] = [];
for (const [size, pieces, repeats] of amount.sizes) {
  if (!cellsOf.includes("parts") || !sizes.includes(size)) continue;
  for (const texture of textures) {
    const { jpegs } = amount;
    const asked =
      (size === 80 || size === 200) && ASKED_TEXTURES.includes(texture) ? { rival: { by: rival, asks } } : {};
    const cells = await partCells({ size, texture, noises, jpegs, pieces, repeats, seed, measurer, ...asked });
    for (const cell of cells) console.log(partLine(cell));
    parts.push(...cells);
  }
}

console.log(`\n${disturbedHeader}`);
const disturbed: DisturbedCell[] = [];
for (const disturbance of cellsOf.includes("disturbed") ? DISTURBANCES : []) {
  for (const size of amount.disturbedSizes) {
    if (!sizes.includes(size)) continue;
    for (const texture of textures) {
      const cell = await disturbedCell(
        disturbance,
        size,
        texture,
        amount.disturbedShots,
        seed,
        ASKED_TEXTURES.includes(texture) ? rival : null,
      );
      console.log(disturbedLine(cell));
      disturbed.push(cell);
    }
  }
}

console.log(`\n${cameraHeader}`);
const cameras: CameraCell[] = cellsOf.includes("camera")
  ? await cameraCells(noises, amount.jpegs, amount.cameraShots, seed)
  : [];
for (const cell of cameras) console.log(cameraLine(cell));

const lines = reachLines(parts, disturbed, cameras);
console.log(`\n${verdict(lines)}`);
for (const table of [markdown(parts), disturbedMarkdown(disturbed), cameraMarkdown(cameras)])
  if (table !== "") console.log(`\n${table}`);
const { user, system } = process.cpuUsage(start);
const minutes = (user + system) / 60e6;
console.log(`\nSeed ${seed}${values.quick ? ", quick" : ""}: ${minutes.toFixed(1)} minutes of processor time.`);
if (values.json !== undefined) {
  const run = { seed, quick: values.quick, minutes, node: process.version };
  writeFileSync(values.json, `${JSON.stringify({ run, parts, disturbed, cameras, reach: lines }, null, 1)}\n`);
}
