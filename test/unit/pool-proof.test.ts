import { expect, test } from "vitest";
import { createPool } from "../../src/pool/pool.ts";
import { runProof } from "../../src/pool/proof.ts";
import type { CheckJob, FrameOutcome, MeasurePlan, Step, Task } from "../../src/protocol/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { type FakeCall, fakeWorkers, handClock } from "./pool-fakes.ts";
import { exampleProof } from "./proof-example.ts";
import { report } from "./cli-report.ts";

// What the pool does for a proof, with workers that only say what they were asked.

const file = { frame: frameNumber(5), file: "hive_010_0005.jpg", modified: null, source: "" };
const job: CheckJob = {
  shot: "hive_010",
  folder: "hive_010",
  frames: [file],
  sheetText: null,
  sheetFile: null,
  sheetSha256: null,
  bandPx: null,
  analysisWidth: 1920,
  warnings: [],
};
const plan = { revision: 1, frames: [file], holds: [] } as unknown as MeasurePlan;
const task: Task = {
  id: "prove-1",
  kind: "prove",
  revision: 1,
  frames: [frameNumber(5)],
  injections: [{ id: "1.1.1", drifts: [] }],
};

const run = async (last: Partial<Step>, part: string | null = "upper-arm-left") => {
  const asked: unknown[] = [];
  const step = { plan: null, tasks: [], done: 0, total: 1, report: null, finished: false };
  const judge = fakeWorkers(({ method, args, answer }: FakeCall) => {
    asked.push(args);
    if (method === "open") answer({ ok: true, value: { ...step, plan, tasks: [task], report: report() } });
    else answer({ ok: true, value: { ...step, finished: true, ...last } });
  });
  const measurer = fakeWorkers(({ method, args, emit, answer }: FakeCall) => {
    asked.push([method, (args[0] as { id?: string }).id]);
    const outcome: FrameOutcome = { kind: "proved", frame: frameNumber(5), runs: [] };
    if (method === "run") emit(outcome);
    answer({ ok: true, value: null });
  });
  const clock = handClock();
  const answer = await runProof({
    pool: createPool({ size: 1, spawn: measurer.spawn, clock }),
    judge: createPool({ size: 1, spawn: judge.spawn, clock }),
    job,
    clock,
    part,
  });
  return { answer, asked };
};

test("a proof asks the judge for one, tells its workers the plan before the drifts, and gives it back", async () => {
  const { answer, asked } = await run({ proof: exampleProof });
  expect(answer).toEqual({ ok: true, value: exampleProof });
  expect(asked[0]).toEqual([{ ...job, prove: { part: "upper-arm-left" } }]);
  expect(asked.slice(1, 3)).toEqual([
    ["plan", undefined],
    ["run", "prove-1"],
  ]);
  expect(asked[3]).toEqual(["prove-1", [{ kind: "proved", frame: 5, runs: [] }]]);
});

test("a judge that ends without a proof is a fault of its own, not an empty proof", async () => {
  expect((await run({})).answer).toMatchObject({ ok: false, code: "internal" });
});
