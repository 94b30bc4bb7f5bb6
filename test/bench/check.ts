// What a whole check costs: the sample shot in one thread, decoding, measuring and judging apart. Processor time, as
// ratios to decoding the same frames in the same run; the median of the rounds counts.
//
//   npm run bench -- check [--folder FOLDER] [--rounds N] [--json FILE]
//
// --folder: frames and holdfast-sheet.json of another shot. --json writes the report, to be compared with another one.

import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { parseArgs } from "node:util";
import { createJudge } from "../../src/analysis/judge-session.ts";
import { createMeasurer, type Opener } from "../../src/analysis/measurer.ts";
import type { Report } from "../../src/model/index.ts";
import type { CheckJob, FrameOutcome, Task } from "../../src/protocol/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { openWorkspace } from "../../workers/kernels.ts";
import { fileOpener } from "../../workers/node/opener.ts";

const { values } = parseArgs({
  options: {
    folder: { type: "string", default: "sample-frames/hive_010" },
    rounds: { type: "string", default: "5" },
    json: { type: "string" },
  },
});
const folder = path.resolve(values.folder);
const files = readdirSync(folder).filter((name) => /_\d+\.(jpe?g|png)$/i.test(name));
if (files.length < 2) throw new Error(`--folder ${values.folder}: fewer than two numbered frames`);
const sheetFile = path.join(folder, "holdfast-sheet.json");
const name = path.basename(folder);

const job: CheckJob = {
  shot: name,
  folder: name,
  frames: files.sort().map((file) => ({
    frame: frameNumber(Number(/_(\d+)\./.exec(file)![1])),
    file,
    modified: null,
    source: path.join(folder, file),
  })),
  sheetText: existsSync(sheetFile) ? readFileSync(sheetFile, "utf8") : null,
  sheetFile: existsSync(sheetFile) ? "holdfast-sheet.json" : null,
  sheetSha256: null,
  bandPx: null,
  analysisWidth: 1920,
  warnings: [],
};

/** Processor time, ms. */
interface Times {
  decode: number;
  measure: number;
  again: number;
  judge: number;
  report: Report | null;
}

const spent = (): number => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

async function check(): Promise<Times> {
  const times: Times = { decode: 0, measure: 0, again: 0, judge: 0, report: null };
  const inner = fileOpener();
  const opener: Opener = {
    header: (file) => inner.header(file),
    luma: async (...args) => {
      const from = spent();
      const plane = await inner.luma(...args);
      times.decode += spent() - from;
      return plane;
    },
  };
  const measurer = createMeasurer(opener, await openWorkspace());
  const judge = createJudge();
  const judged = async (act: () => ReturnType<typeof judge.open>) => {
    const from = spent();
    const answer = await act();
    times.judge += spent() - from;
    return answer;
  };
  let answer = await judged(() => judge.open(job));
  const queue: Task[] = [];
  for (;;) {
    if (!answer.ok) throw new Error(`${answer.code}: ${answer.detail}`);
    const step = answer.value;
    if (step.plan !== null) await measurer.plan(step.plan);
    queue.push(...step.tasks);
    times.report = step.report ?? times.report;
    if (step.finished) return times;
    const task = queue.shift();
    if (task === undefined) throw new Error("the judge neither ended nor went on");
    const outcomes: FrameOutcome[] = [];
    const from = spent() - times.decode;
    const done = await measurer.run(task, (outcome) => outcomes.push(outcome));
    const took = spent() - times.decode - from;
    if (task.id.startsWith("again")) times.again += took;
    else times.measure += took;
    if (!done.ok) throw new Error(`${done.code}: ${done.detail}`);
    answer = await judged(() => judge.take(task.id, outcomes));
  }
}

const median = (all: readonly number[]): number => all.toSorted((a, b) => a - b)[all.length >> 1];
const rounds = Number(values.rounds);
const runs: Times[] = [];
// The first one is the compilers'.
for (let i = 0; i <= rounds; i++) {
  const run = await check();
  if (i > 0 || rounds === 0) runs.push(run);
}
const decode = median(runs.map((run) => run.decode));
console.log(`${name}: ${files.length} frames, processor time in ms, all frames together, and as a share of decoding`);
for (const what of ["decode", "measure", "again", "judge"] as const) {
  const took = median(runs.map((run) => run[what]));
  console.log(`${what.padEnd(10)}${took.toFixed(0).padStart(8)}${(took / decode).toFixed(2).padStart(8)}`);
}
if (values.json !== undefined) writeFileSync(values.json, `${JSON.stringify(runs[0].report, null, 1)}\n`);
