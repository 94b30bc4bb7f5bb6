// How exact the measurement is, cell by cell: parts of several sizes and textures under several noises, with and without
// JPEG, standing still and drifting through the phases of a pixel, against exactly known motion; parts under changing
// light, a moving shadow and a passing arm; the camera. opencv.js sees some of the same frames.
// The cells of parts hold the camera known; the others are whole checks with the camera fitted. Two threads.
//
//   npm run bench -- accuracy [--seed N] [--json FILE] [--quick] [--threads N]
//                             [--cells parts|disturbed|camera ...] [--size N ...] [--texture NAME ...] [--noise N ...]
//
// --cells, --size (px), --texture and --noise run only what they name; their cells are the same as in a full run.
// The file of --json is written anew with every cell that comes in; `run.left` says what is still to come.
// The Markdown tables of DEVELOPERS.md are printed at the end.

import { renameSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import {
  asksRival,
  costOf,
  type Done,
  FULL,
  type Job,
  jobsOf,
  KINDS,
  nameOfJob,
  QUICK,
  runJob,
} from "./accuracy/jobs.ts";
import { PART_TEXTURES, type PartCell } from "./accuracy/part-cells.ts";
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
import { serve, shareOut } from "./accuracy/threads.ts";
import type { CameraCell, DisturbedCell } from "./accuracy/whole-checks.ts";

/** What was named, or all there is. Refused where something named is not there. */
function chosen<T extends string | number>(option: string, named: readonly string[], all: readonly T[]): readonly T[] {
  for (const name of named)
    if (!all.some((one) => String(one) === name)) throw new Error(`--${option} ${name}: there are ${all.join(", ")}`);
  return named.length === 0 ? all : all.filter((one) => named.includes(String(one)));
}

function whole(option: string, value: string, least: number): number {
  const number = Number(value);
  if (!Number.isInteger(number) || number < least)
    throw new Error(`--${option} ${value}: needs a whole number from ${least} on`);
  return number;
}

interface Found {
  readonly parts: readonly PartCell[];
  readonly disturbed: readonly DisturbedCell[];
  readonly cameras: readonly CameraCell[];
}

/** What has come in so far, in the order of the tables. */
function inOrder(jobs: readonly Job[], done: ReadonlyMap<Job, Done>): Found {
  const all = jobs.flatMap((job) => done.get(job) ?? []);
  return {
    parts: all.flatMap((one) => (one.kind === "parts" ? one.cells : [])),
    disturbed: all.flatMap((one) => (one.kind === "disturbed" ? one.cells : [])),
    cameras: all.flatMap((one) => (one.kind === "camera" ? one.cells : [])),
  };
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      seed: { type: "string", default: "1" },
      json: { type: "string" },
      quick: { type: "boolean", default: false },
      threads: { type: "string", default: "2" },
      cells: { type: "string", multiple: true, default: [] },
      size: { type: "string", multiple: true, default: [] },
      texture: { type: "string", multiple: true, default: [] },
      noise: { type: "string", multiple: true, default: [] },
    },
  });
  const seed = whole("seed", values.seed, 0);
  const threads = whole("threads", values.threads, 1);
  const amount = values.quick ? QUICK : FULL;
  const wanted = {
    cells: chosen("cells", values.cells, KINDS),
    sizes: chosen(
      "size",
      values.size,
      amount.sizes.map(([size]) => size),
    ),
    textures: chosen("texture", values.texture, PART_TEXTURES),
    noises: chosen("noise", values.noise, amount.noises),
  };
  const jobs = jobsOf(amount, wanted, seed);
  const processor = process.cpuUsage();
  const start = performance.now();
  const done = new Map<Job, Done>();
  const seconds = new Map<Job, number>();

  const keep = (): void => {
    if (values.json === undefined) return;
    const { user, system } = process.cpuUsage(processor);
    const found = inOrder(jobs, done);
    const run = {
      seed,
      quick: values.quick,
      minutes: (performance.now() - start) / 60_000,
      processorMinutes: (user + system) / 60e6,
      threads,
      node: process.version,
      seconds: Object.fromEntries([...seconds].map(([job, took]) => [nameOfJob(job), Math.round(10 * took) / 10])),
      left: jobs.filter((job) => !done.has(job)).map(nameOfJob),
    };
    const reach = reachLines(found.parts, found.disturbed, found.cameras);
    // Whole or not at all: the bench may be cut short while it writes.
    writeFileSync(`${values.json}.part`, `${JSON.stringify({ run, ...found, reach }, null, 1)}\n`);
    renameSync(`${values.json}.part`, values.json);
  };

  keep();
  await shareOut(
    jobs.toSorted((a, b) => costOf(b) - costOf(a)),
    {
      file: fileURLToPath(import.meta.url),
      threads,
      alone: asksRival,
      done: (job, cells, took) => {
        done.set(job, cells);
        seconds.set(job, took);
        keep();
        const since = ((performance.now() - start) / 60_000).toFixed(1);
        process.stderr.write(
          `${since} min, ${done.size} of ${jobs.length}: ${nameOfJob(job)} (${took.toFixed(0)} s)\n`,
        );
      },
    },
  );

  const { parts, disturbed, cameras } = inOrder(jobs, done);
  console.log([partHeader, ...parts.map(partLine)].join("\n"));
  console.log(`\n${[disturbedHeader, ...disturbed.map(disturbedLine)].join("\n")}`);
  console.log(`\n${[cameraHeader, ...cameras.map(cameraLine)].join("\n")}`);
  console.log(`\n${verdict(reachLines(parts, disturbed, cameras))}`);
  for (const table of [markdown(parts), disturbedMarkdown(disturbed), cameraMarkdown(cameras)])
    if (table !== "") console.log(`\n${table}`);
  const { user, system } = process.cpuUsage(processor);
  console.log(
    `\nSeed ${seed}${values.quick ? ", quick" : ""}: ${((performance.now() - start) / 60_000).toFixed(1)} minutes in ${threads} threads, ${((user + system) / 60e6).toFixed(1)} of processor time.`,
  );
}

if (!serve(runJob)) await main();
