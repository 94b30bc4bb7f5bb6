import { expect, test } from "vitest";
import { type Progress, runCheck } from "../../src/pool/check.ts";
import { createPool } from "../../src/pool/pool.ts";
import type { CheckJob, FrameFile, FrameOutcome, MeasurePlan, Report, Step, Task } from "../../src/protocol/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { type FakeCall, fakeWorkers, handClock, settle } from "./pool-fakes.ts";

const frames: FrameFile[] = [1, 2, 3, 4, 5, 6].map((n) => ({
  frame: frameNumber(n),
  file: `hive_010_000${n}.png`,
  modified: null,
  source: n,
}));
const job: CheckJob = {
  shot: "hive_010",
  folder: "hive_010",
  frames,
  sheetText: null,
  sheetFile: null,
  sheetSha256: null,
  bandPx: null,
  analysisWidth: 1920,
  warnings: [],
};
const plan: MeasurePlan = {
  revision: 1,
  frames,
  width: 64,
  height: 48,
  analysisWidth: 64,
  reference: frameNumber(1),
  holds: [],
};

/** A judge that has every frame inspected, then measured, and puts all it was told into the report, in the order it came. */
const fakeJudge = () => {
  const seen: string[] = [];
  const inspects: Task[] = [0, 3].map((at) => ({ id: `i${at}`, kind: "inspect", frames: frames.slice(at, at + 3) }));
  const measures: Task[] = [0, 2, 4].map((at) => ({
    id: `m${at}`,
    kind: "measure",
    revision: 1,
    frames: frames.slice(at, at + 2).map((file) => file.frame),
    grids: true,
    holds: [],
  }));
  let done = 0;
  const step = (more: Partial<Step>): Step => ({
    plan: null,
    tasks: [],
    done,
    total: 12,
    report: null,
    finished: false,
    ...more,
  });
  const open: string[] = [];
  return fakeWorkers(({ method, args, answer }: FakeCall) => {
    if (method === "open") {
      open.push(...inspects.map((task) => task.id));
      answer({ ok: true, value: step({ tasks: inspects }) });
      return;
    }
    const [id, outcomes] = args as [string, readonly FrameOutcome[]];
    open.splice(open.indexOf(id), 1);
    done += outcomes.length;
    for (const outcome of outcomes) {
      seen.push(`${id} ${outcome.frame} ${outcome.kind}${outcome.kind === "failed" ? `: ${outcome.reason}` : ""}`);
    }
    if (open.length > 0) answer({ ok: true, value: step({}) });
    else if (id.startsWith("i")) {
      open.push(...measures.map((task) => task.id));
      answer({ ok: true, value: step({ plan, tasks: measures }) });
    } else answer({ ok: true, value: step({ finished: true, report: seen as unknown as Report }) });
  });
};

const outcomeOf = (task: Task, frame: FrameOutcome["frame"]): FrameOutcome =>
  task.kind === "inspect"
    ? { kind: "header", frame, header: { frame, width: 64, height: 48, exifTime: null, note: null } }
    : ({ kind: "measured", frame, measurement: { frame } } as unknown as FrameOutcome);

const frameNumbers = (task: Task): FrameOutcome["frame"][] =>
  task.kind === "inspect" ? task.frames.map((file) => file.frame) : [...task.frames];

/** Answers as a measuring worker does; `trouble` may do something else with a frame and then says so. */
const measurer =
  (trouble: (frame: number, call: FakeCall, task: Task) => boolean = () => false, turns: () => number = () => 0) =>
  (call: FakeCall): void => {
    if (call.method === "plan") {
      call.answer({ ok: true, value: null });
      return;
    }
    void (async () => {
      const [task] = call.args as [Task];
      for (const frame of frameNumbers(task)) {
        for (let turn = turns(); turn > 0; turn--) await settle();
        if (trouble(frame, call, task)) return;
        call.emit(outcomeOf(task, frame));
      }
      call.answer({ ok: true, value: null });
    })();
  };

const run = async (
  behave: (call: FakeCall) => void,
  size: number,
  more: Partial<Parameters<typeof runCheck>[0]> = {},
  judgeBehave = fakeJudge(),
) => {
  const clock = handClock();
  const measuring = fakeWorkers(behave);
  const pool = createPool({ size, spawn: measuring.spawn, clock });
  const judge = createPool({ size: 1, spawn: judgeBehave.spawn, clock });
  const answer = await runCheck({ pool, judge, job, clock, ...more });
  return { answer, calls: measuring.calls, workers: measuring.workers, judgeWorkers: judgeBehave.workers };
};

const inspected = [1, 2, 3, 4, 5, 6].map((n) => `i${n < 4 ? 0 : 3} ${n} header`);
const measured = [1, 2, 3, 4, 5, 6].map((n) => `m${2 * Math.floor((n - 1) / 2)} ${n} measured`);

test("a check runs what the judge asks for, the plan before the frames, and returns its report", async () => {
  const { answer, calls } = await run(measurer(), 2);
  expect(answer).toEqual({ ok: true, value: [...inspected, ...measured] });
  const firstMeasure = new Map<number, string>();
  for (const { worker, method, args } of calls) {
    const kind = method === "plan" ? "plan" : (args[0] as Task).kind;
    if (kind !== "inspect" && !firstMeasure.has(worker.number)) firstMeasure.set(worker.number, kind);
  }
  expect([...firstMeasure.values()]).toEqual(["plan", "plan"]);
});

test("the judge hears the same in the same order, however many workers there are and whichever is first", async () => {
  for (const [size, seed] of [
    [1, 1],
    [2, 7],
    [3, 5],
    [5, 3],
  ]) {
    let state = seed;
    const turns = (): number => {
      state = (state * 16807) % 2147483647;
      return state % 4;
    };
    const { answer } = await run(measurer(undefined, turns), size);
    expect(answer).toEqual({ ok: true, value: [...inspected, ...measured] });
  }
});

test("a worker that dies in the middle is replaced, told the plan, and goes on where it stopped", async () => {
  let deaths = 0;
  const { answer, calls } = await run(
    measurer((frame, call, task) => {
      if (frame !== 4 || task.kind !== "measure" || deaths > 0) return false;
      deaths += 1;
      call.worker.die("out of memory");
      return true;
    }),
    1,
  );
  expect(answer).toEqual({ ok: true, value: [...inspected, ...measured] });
  expect(calls.slice(-4).map((call) => [call.worker.number, call.method])).toEqual([
    [0, "run"],
    [1, "plan"],
    [1, "run"],
    [1, "run"],
  ]);
  expect((calls[calls.length - 2].args[0] as Task).frames).toEqual([4]);
});

test("a frame at which workers die twice fails alone, with the reason", async () => {
  const { answer, workers } = await run(
    measurer((frame, call, task) => {
      if (frame !== 3 || task.kind !== "measure") return false;
      call.worker.die("out of memory");
      return true;
    }),
    2,
  );
  const expected = [...inspected, ...measured];
  expected[expected.indexOf("m2 3 measured")] = "m2 3 failed: its worker died twice: out of memory";
  expect(answer).toEqual({ ok: true, value: expected });
  expect(workers.length).toBeLessThanOrEqual(4);
});

test("two frames at which a worker dies once each are both measured", async () => {
  const died = new Set<number>();
  const { answer } = await run(
    measurer((frame, call, task) => {
      if (task.kind !== "inspect" || frame === 3 || died.has(frame)) return false;
      died.add(frame);
      call.worker.die("out of memory");
      return true;
    }),
    1,
  );
  expect([...died]).toEqual([1, 2, 4, 5, 6]);
  expect(answer).toEqual({ ok: true, value: [...inspected, ...measured] });
});

test("a frame that throws fails alone, and one that is left out is told as such", async () => {
  const { answer } = await run(
    measurer((frame, call, task) => {
      if (task.kind !== "measure") return false;
      if (frame === 1) call.fail("a bug");
      if (frame === 6) call.answer({ ok: true, value: null });
      return frame === 1 || frame === 6;
    }),
    1,
  );
  const expected = [...inspected, ...measured];
  expected[expected.indexOf("m0 1 measured")] = "m0 1 failed: a bug";
  expected[expected.indexOf("m4 6 measured")] = "m4 6 failed: its worker left it out";
  expect(answer).toEqual({ ok: true, value: expected });
});

test("workers that can't be started end the check with the reason", async () => {
  const { answer } = await run((call) => call.worker.die("no such file"), 2);
  expect(answer).toEqual({ ok: false, code: "worker-died", detail: "no such file" });
});

test("a judge that dies, throws or refuses ends the check, and what was measuring is ended", async () => {
  const dies = await run(
    measurer(),
    1,
    {},
    fakeWorkers((call) => call.worker.die("killed")),
  );
  expect(dies.answer).toEqual({ ok: false, code: "worker-died", detail: "killed" });
  const throws = await run(
    measurer(),
    1,
    {},
    fakeWorkers((call) => call.fail("a bug")),
  );
  expect(throws.answer).toEqual({ ok: false, code: "internal", detail: "a bug" });
  const refusal = { ok: false, code: "sheet-refused", detail: "part 'cuff': outline 2 has 2 points" } as const;
  const refuses = await run(
    measurer(),
    1,
    {},
    fakeWorkers((call) => call.answer(refusal)),
  );
  expect(refuses.answer).toEqual(refusal);
  const step: Step = { plan: null, tasks: [], done: 0, total: 0, report: null, finished: false };
  const stuck = await run(
    measurer(),
    1,
    {},
    fakeWorkers((call) => call.answer({ ok: true, value: step })),
  );
  expect(stuck.answer).toMatchObject({ ok: false, code: "internal" });
});

test("giving up in the middle answers at once and ends the workers that were busy", async () => {
  const controller = new AbortController();
  const { answer, workers } = await run(
    measurer((frame, _call, task) => {
      if (task.kind !== "measure" || frame !== 5) return false;
      controller.abort();
      return true;
    }),
    2,
    { signal: controller.signal },
  );
  expect(answer).toMatchObject({ ok: false, code: "cancelled" });
  expect(workers.some((worker) => worker.ended)).toBe(true);
});

test("progress counts every frame once a task, never goes back, and ends at all of them", async () => {
  const told: Progress[] = [];
  const outcomes: FrameOutcome[] = [];
  const reports: Report[] = [];
  await run(measurer(), 2, {
    onProgress: (progress) => void told.push(progress),
    onOutcome: (outcome) => void outcomes.push(outcome),
    onReport: (report) => void reports.push(report),
  });
  const done = told.map((progress) => progress.done);
  expect(done).toEqual(done.toSorted((a, b) => a - b));
  expect(told.at(-1)).toMatchObject({ kind: "measure", done: 12, total: 12 });
  expect(outcomes).toHaveLength(12);
  expect(reports).toHaveLength(1);
});

test("time left comes from the pace of the latest frames, and isn't told before there is one", async () => {
  const clock = handClock();
  const told: (number | null)[] = [];
  const measuring = fakeWorkers(
    measurer(() => {
      clock.pass(500);
      return false;
    }),
  );
  const pool = createPool({ size: 1, spawn: measuring.spawn, clock });
  const judge = createPool({ size: 1, spawn: fakeJudge().spawn, clock });
  await runCheck({ pool, judge, job, clock, onProgress: ({ secondsLeft }) => void told.push(secondsLeft) });
  // Half a second a frame: six of twelve frames inspected leave three seconds; another kind of work starts anew.
  expect(told[0]).toBeNull();
  expect(told.find((seconds) => seconds !== null)).toBeCloseTo(3, 10);
  expect(told.at(-1)).toBe(0);
});
