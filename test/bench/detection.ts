// Whole checks of rendered shots with exact truth: what is found of the faults that were put in, at the size that must
// still be seen, and what is flagged where nothing is wrong. Several faults share one shot where they are in parts that
// have nothing to do with each other. Two threads.
//
//   npm run bench -- detection [--seed N] [--json FILE] [--quick] [--kinds sag,knock,clean] [--only SEED,SEED]
//     [--no-sheet]
//
// `--kinds` takes kinds of flags, sorts of shots ("clean", "joints") or sorts of faults ("crawl in a pair"); "fine" is
// run only where it is asked for: how small a drift of a part of 200 px is found. `--only`
// runs single shots again and tells all about them. `--no-sheet` checks the same shots without their sheets. Exits 1
// where what is asked for isn't reached.

import { writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { isMainThread, parentPort, Worker, workerData } from "node:worker_threads";
import { reachLines } from "./detection/reach.ts";
import { recipes, seedFor, shotFor } from "./detection/recipes.ts";
import { runShot, type ShotResult } from "./detection/run-shot.ts";
import { cleanTable, faultTable, reachWords } from "./detection/table.ts";
import { casesOf, cleanTally, grouped, rowsBy } from "./detection/tally.ts";

const THREADS = 2;

type Answer = { readonly result: ShotResult } | { readonly seed: number; readonly error: string };

/** In a thread: one shot after the other, by seed. */
function serve(port: NonNullable<typeof parentPort>): void {
  port.on("message", (seed: number) => {
    void runShot(seed, (workerData as { noSheet: boolean }).noSheet)
      .then((result): Answer => ({ result }))
      .catch(
        (error: unknown): Answer => ({
          seed,
          error: error instanceof Error ? (error.stack ?? error.message) : String(error),
        }),
      )
      .then((answer) => port.postMessage(answer));
  });
}

/** All shots, shared out between the threads. */
function runAll(seeds: readonly number[], noSheet: boolean, progress: (done: number) => void): Promise<ShotResult[]> {
  const results = new Map<number, ShotResult>();
  let next = 0;
  const work = (): Promise<void> =>
    new Promise((resolve, reject) => {
      const worker = new Worker(fileURLToPath(import.meta.url), { workerData: { noSheet } });
      const more = (): void => {
        if (next < seeds.length) worker.postMessage(seeds[next++]);
        else void worker.terminate().then(() => resolve());
      };
      worker.on("error", reject);
      worker.on("message", (answer: Answer) => {
        if ("error" in answer) {
          reject(new Error(`shot ${answer.seed}: ${answer.error}`));
          return;
        }
        results.set(answer.result.seed, answer.result);
        progress(results.size);
        more();
      });
      more();
    });
  return Promise.all(Array.from({ length: Math.min(THREADS, seeds.length) }, work)).then(() =>
    seeds.flatMap((seed) => results.get(seed) ?? []),
  );
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      seed: { type: "string", default: "1" },
      json: { type: "string" },
      quick: { type: "boolean", default: false },
      kinds: { type: "string" },
      only: { type: "string" },
      "no-sheet": { type: "boolean", default: false },
    },
  });
  const seed = Number(values.seed);
  if (!Number.isInteger(seed) || seed < 0) throw new Error(`--seed ${values.seed}: needs a whole number from 0 on`);
  const kinds = values.kinds?.split(",") ?? null;
  const isWanted = (name: string): boolean =>
    kinds === null || kinds.some((kind) => name === kind || name.startsWith(`${kind} `));
  const wanted =
    values.only !== undefined
      ? values.only.split(",").map(Number)
      : recipes.flatMap((recipe, r) =>
          (kinds !== null || recipe.onRequest !== true) && (isWanted(recipe.name) || recipe.faults.some(isWanted))
            ? Array.from({ length: values.quick ? recipe.quick : recipe.shots }, (_, i) => seedFor(seed, r, i))
            : [],
        );
  const seeds = values["no-sheet"] ? wanted.filter((shot) => shotFor(shot).needsSheet !== true) : wanted;
  if (seeds.length === 0) throw new Error(`--kinds ${values.kinds}: there are no such shots`);
  const start = performance.now();
  const processor = process.cpuUsage();
  let told = start;
  const ran = await runAll(seeds, values["no-sheet"], (done) => {
    if (performance.now() - told < 20_000) return;
    told = performance.now();
    process.stderr.write(`${done} of ${seeds.length} shots, ${((told - start) / 1000).toFixed(0)} s\n`);
  });

  // Of shots that hold many sorts of faults, those that were asked for.
  const results = ran.map((one): ShotResult => {
    const faults = one.open.faults.filter(({ name, kind }) => isWanted(one.recipe) || isWanted(name) || isWanted(kind));
    return { ...one, open: { ...one.open, faults } };
  });
  if (values.only !== undefined) console.log(JSON.stringify(results, null, 1));
  const cases = casesOf(results);
  const clean = results.filter(({ recipe }) => recipe.startsWith("clean"));
  const faulty = results.filter(({ recipe }) => !recipe.startsWith("clean"));
  if (clean.length > 0) {
    const rows = [...grouped(clean, ({ name }) => name)].map(([name, group]) => cleanTally(name, group));
    console.log(`${cleanTable([...rows, cleanTally("all", clean)])}\n`);
  }
  if (cases.length > 0) {
    const judged = cases.filter((one) => one.judged);
    console.log(
      `${faultTable(
        "fault",
        rowsBy(cases, ({ name }) => name),
      )}\n`,
    );
    const textures = judged.filter(({ texture }) => texture !== null);
    console.log(
      `${faultTable(
        "texture",
        rowsBy(textures, ({ texture }) => texture ?? ""),
      )}\n`,
    );
    console.log(
      `${faultTable(
        "noise",
        rowsBy(judged, ({ noise }) => String(noise)),
      )}\n`,
    );
    console.log(`${cleanTable([cleanTally("parts beside faults", faulty)])}\n`);
  }
  for (const { seed: shot, open, usual } of results) {
    for (const { message } of open.wrong) console.log(`false flag, bands opened, --only ${shot}: ${message}`);
    for (const { message } of usual.wrong) console.log(`false flag, usual bands, --only ${shot}: ${message}`);
  }
  const lines = reachLines(results, values["no-sheet"]);
  console.log(`\n${reachWords(lines)}`);
  const { user, system } = process.cpuUsage(processor);
  const sum = (key: "renderSeconds" | "checkSeconds"): number => results.reduce((all, one) => all + one[key], 0);
  console.log(
    `\nSeed ${seed}${values.quick ? ", quick" : ""}: ${results.length} shots in ${((performance.now() - start) / 60_000).toFixed(1)} minutes, ${((user + system) / 60e6).toFixed(1)} of processor time; ${((100 * sum("renderSeconds")) / (sum("renderSeconds") + sum("checkSeconds"))).toFixed(0)} % of it rendering.`,
  );
  if (values.json !== undefined)
    writeFileSync(values.json, `${JSON.stringify({ seed, quick: values.quick, reach: lines, results }, null, 1)}\n`);
  if (lines.some(({ reached }) => !reached)) process.exitCode = 1;
}

if (isMainThread || parentPort === null) await main();
else serve(parentPort);
