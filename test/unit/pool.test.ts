import { expect, test } from "vitest";
import { createPool, SILENCE_MS } from "../../src/pool/pool.ts";
import { fakeWorkers, handClock, settle } from "./pool-fakes.ts";

const done = { ok: true, value: "done" } as const;
const work = (...args: readonly unknown[]) => ({ method: "work", args: () => args });

test("calls are given out in their order, one to each worker, and workers start only when there is work", async () => {
  const { spawn, workers, calls } = fakeWorkers();
  const pool = createPool({ size: 2, spawn, clock: handClock() });
  expect(workers).toHaveLength(0);
  const answers = [1, 2, 3, 4].map((n) => pool.run(work(n)));
  expect(calls.map((call) => call.args[0])).toEqual([1, 2]);
  calls[1].answer(done);
  await settle();
  expect(calls.map((call) => call.args[0])).toEqual([1, 2, 3]);
  expect(calls[2].worker).toBe(calls[1].worker);
  calls[0].answer(done);
  await settle();
  for (const call of calls) call.answer(done);
  expect(await Promise.all(answers)).toEqual([done, done, done, done]);
  expect(workers).toHaveLength(2);
});

test("a call that is pending when its worker dies is tried once more on a new worker, and its owner is told", async () => {
  const { spawn, workers, calls } = fakeWorkers();
  const pool = createPool({ size: 1, spawn, clock: handClock() });
  const told: string[] = [];
  const answer = pool.run({ ...work(1), onRetry: (detail) => void told.push(detail) });
  workers[0].die("out of memory");
  expect(told).toEqual(["out of memory"]);
  expect(workers).toHaveLength(2);
  calls[1].answer(done);
  expect(await answer).toEqual(done);
});

test("a call whose worker dies twice fails with the reason, and the next call still runs", async () => {
  const { spawn, workers, calls } = fakeWorkers();
  const pool = createPool({ size: 1, spawn, clock: handClock() });
  const first = pool.run(work(1));
  const second = pool.run(work(2));
  workers[0].die("first");
  workers[1].die("second");
  expect(await first).toEqual({ ok: false, code: "worker-died", detail: "second" });
  expect(calls.at(-1)?.args).toEqual([2]);
  calls.at(-1)?.answer(done);
  expect(await second).toEqual(done);
});

test("a retried call goes before those that wait, with its arguments asked anew", async () => {
  const { spawn, workers, calls } = fakeWorkers();
  const pool = createPool({ size: 1, spawn, clock: handClock() });
  const left = ["a", "b"];
  void pool.run({ method: "work", args: () => [[...left]], onEvent: () => void left.shift() });
  void pool.run(work("later"));
  calls[0].emit("a is done");
  workers[0].die("gone");
  expect(calls.map((call) => call.args[0])).toEqual([["a", "b"], ["b"]]);
});

test("a worker that says nothing for too long is ended and its call told, while one that reports goes on", async () => {
  const { spawn, workers, calls } = fakeWorkers();
  const clock = handClock();
  const pool = createPool({ size: 2, spawn, clock });
  const silent = pool.run(work("silent"));
  const slow = pool.run(work("slow"));
  clock.pass(SILENCE_MS - 1);
  calls[1].emit("still here");
  clock.pass(2);
  expect(await silent).toEqual({ ok: false, code: "timed-out", detail: "no answer for 180 s" });
  expect(workers.map((worker) => worker.ended)).toEqual([true, false]);
  calls[1].answer(done);
  expect(await slow).toEqual(done);
  void pool.run(work("next"));
  expect(workers).toHaveLength(2);
  void pool.run(work("after the hung one"));
  expect(workers).toHaveLength(3);
});

test("nothing is left waiting on the clock once a call is answered", async () => {
  const { spawn, workers, calls } = fakeWorkers();
  const clock = handClock();
  const pool = createPool({ size: 1, spawn, clock });
  const answer = pool.run(work(1));
  calls[0].answer(done);
  await answer;
  clock.pass(10 * SILENCE_MS);
  expect(workers[0].ended).toBe(false);
});

test("giving up ends the worker that was busy with it and forgets what was waiting", async () => {
  const { spawn, workers, calls } = fakeWorkers();
  const pool = createPool({ size: 1, spawn, clock: handClock() });
  const controller = new AbortController();
  const running = pool.run({ ...work("running"), signal: controller.signal });
  const waiting = pool.run({ ...work("waiting"), signal: controller.signal });
  const other = pool.run(work("other"));
  controller.abort();
  expect(await running).toMatchObject({ ok: false, code: "cancelled" });
  expect(await waiting).toMatchObject({ ok: false, code: "cancelled" });
  expect(workers[0].ended).toBe(true);
  expect(calls.map((call) => call.args[0])).toEqual(["running", "other"]);
  calls[1].answer(done);
  expect(await other).toEqual(done);
  expect(await pool.run({ ...work("too late"), signal: controller.signal })).toMatchObject({ code: "cancelled" });
});

test("what a worker still sends after its call was given up counts for nothing", async () => {
  const late: unknown[] = [];
  let emit: ((event: unknown) => void) | undefined;
  let resolveCall: ((answer: unknown) => void) | undefined;
  const pool = createPool({
    size: 1,
    clock: handClock(),
    spawn: () => ({
      call: (_method, _args, onEvent) => {
        emit = onEvent;
        return new Promise((resolve) => {
          resolveCall = resolve;
        });
      },
      onError: () => undefined,
      terminate: () => undefined,
    }),
  });
  const controller = new AbortController();
  const answer = pool.run({ ...work(1), signal: controller.signal, onEvent: (event) => void late.push(event) });
  controller.abort();
  emit?.("late");
  resolveCall?.(done);
  expect(await answer).toMatchObject({ ok: false, code: "cancelled" });
  expect(late).toEqual([]);
});

test("a method that throws fails its call alone: the worker lives on", async () => {
  const { spawn, workers, calls } = fakeWorkers();
  const pool = createPool({ size: 1, spawn, clock: handClock() });
  const answer = pool.run(work(1));
  calls[0].fail("a bug");
  expect(await answer).toEqual({ ok: false, code: "internal", detail: "a bug" });
  void pool.run(work(2));
  expect(workers).toHaveLength(1);
});

test("arguments that can't be sent fail their call instead of leaving it open", async () => {
  const { spawn } = fakeWorkers();
  const pool = createPool({ size: 1, spawn, clock: handClock() });
  expect(await pool.run(work(() => 1))).toMatchObject({ ok: false, code: "internal" });
});

test("every worker is prepared before its first call, replacements too, and again only for another key", async () => {
  const { spawn, workers, calls } = fakeWorkers((call) => {
    if (call.method === "plan") call.answer({ ok: true, value: null });
  });
  const pool = createPool({ size: 1, spawn, clock: handClock() });
  const one = { key: 1, method: "plan", args: ["one"] };
  const two = { key: 2, method: "plan", args: ["two"] };
  const run = async (n: number, prepare: typeof one): Promise<void> => {
    const answer = pool.run({ ...work(n), prepare });
    await settle();
    calls.at(-1)?.answer(done);
    await answer;
  };
  await run(1, one);
  await run(2, one);
  await run(3, two);
  void pool.run({ ...work(4), prepare: two });
  await settle();
  workers[0].die("gone");
  await settle();
  expect(calls.map((call) => [call.worker.number, call.method, call.args[0]])).toEqual([
    [0, "plan", "one"],
    [0, "work", 1],
    [0, "work", 2],
    [0, "plan", "two"],
    [0, "work", 3],
    [0, "work", 4],
    [1, "plan", "two"],
    [1, "work", 4],
  ]);
});

test("a call whose preparation is refused is answered with the refusal", async () => {
  const refusal = { ok: false, code: "internal", detail: "no such plan" } as const;
  const { spawn, calls } = fakeWorkers((call) => call.answer(refusal));
  const pool = createPool({ size: 1, spawn, clock: handClock() });
  expect(await pool.run({ ...work(1), prepare: { key: 1, method: "plan", args: [] } })).toEqual(refusal);
  expect(calls).toHaveLength(1);
});

test("a pool whose workers all die before a word gives up and says why, however much was waiting", async () => {
  let started = 0;
  const pool = createPool({
    size: 2,
    clock: handClock(),
    spawn: () => {
      started += 1;
      throw new Error("no such file");
    },
  });
  const answers = await Promise.all(Array.from({ length: 50 }, (_, n) => pool.run(work(n))));
  expect(answers.every((answer) => !answer.ok && answer.code === "worker-died")).toBe(true);
  expect(pool.broken).toBe("no such file");
  expect(started).toBeLessThan(10);
  expect(await pool.run(work("more"))).toEqual({ ok: false, code: "worker-died", detail: "no such file" });
});

test("a worker that dies idle is replaced when there is work again", async () => {
  const { spawn, workers, calls } = fakeWorkers((call) => call.answer(done));
  const pool = createPool({ size: 1, spawn, clock: handClock() });
  await pool.run(work(1));
  workers[0].die("killed");
  expect(workers).toHaveLength(1);
  expect(await pool.run(work(2))).toEqual(done);
  expect(calls.map((call) => call.worker.number)).toEqual([0, 1]);
});

test("closing ends all workers and answers everything that was open", async () => {
  const { spawn, workers } = fakeWorkers();
  const pool = createPool({ size: 2, spawn, clock: handClock() });
  const answers = [1, 2, 3].map((n) => pool.run(work(n)));
  pool.close();
  for (const answer of await Promise.all(answers)) expect(answer).toMatchObject({ ok: false, code: "cancelled" });
  expect(workers.every((worker) => worker.ended)).toBe(true);
  expect(await pool.run(work(4))).toMatchObject({ ok: false, code: "cancelled" });
});
