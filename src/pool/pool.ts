import type { Answer } from "../protocol/index.ts";
import type { Clock, Signal, WorkerHandle } from "./transport.ts";

/** How long a worker may be silent before it counts as hung: longer than any one frame takes on a slow disk. */
export const SILENCE_MS = 180_000;

export interface PoolOptions {
  /** How many workers there are at most. They are started when there is work for them. */
  readonly size: number;
  readonly spawn: () => WorkerHandle;
  readonly clock: Clock;
  readonly silenceMs?: number;
}

/** One thing for a worker to do. */
export interface Call {
  readonly method: string;
  /** Asked again at each attempt, so that what is done already can be left out. */
  readonly args: () => readonly unknown[];
  /** What the worker has to have been told before: called first on every worker whose last one had another key. */
  readonly prepare?: { readonly key: unknown; readonly method: string; readonly args: readonly unknown[] } | undefined;
  readonly onEvent?: (event: unknown) => void;
  readonly signal?: Signal | undefined;
  /** How often it is tried again where its worker dies; 1 unless told. */
  readonly retries?: number;
  /** Told before another attempt, with how the worker died. */
  readonly onRetry?: (detail: string) => void;
}

export interface Pool {
  readonly size: number;
  /** Queues a call: first come, first served. Always settles, never rejects. */
  run<T>(call: Call): Promise<Answer<T>>;
  /** Why no worker can be started at all; null while they can. */
  readonly broken: string | null;
  /** Ends all workers; what was waiting or running is answered as cancelled. */
  close(): void;
}

interface Job {
  readonly call: Call;
  readonly settle: (answer: Answer<unknown>) => void;
  deaths: number;
}

interface Slot {
  handle: WorkerHandle | null;
  /** Whether the worker has ever said anything: one that never did may not even load. */
  spoke: boolean;
  prepared: unknown;
  job: Job | null;
  stopTimer: () => void;
}

const nothing = (): void => undefined;
const detailOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/**
 * A pool of like workers. A call that is pending when its worker dies would never settle, so every call is raced
 * against the worker's death, the caller's signal and silence. A worker that died, hung or was working for somebody
 * who gave up is ended, and replaced when there is work for another. After several in a row that died before they
 * said a word the pool gives up, since the next one would too.
 */
export const createPool = ({ size, spawn, clock, silenceMs = SILENCE_MS }: PoolOptions): Pool => {
  const slots: Slot[] = Array.from({ length: size }, () => ({
    handle: null,
    spoke: false,
    prepared: undefined,
    job: null,
    stopTimer: nothing,
  }));
  const queue: Job[] = [];
  const mostMuteDeaths = 2 * size + 2;
  let muteDeaths = 0;
  let broken: string | null = null;
  let closed = false;

  /** Takes the worker out of its slot for good. */
  const retire = (slot: Slot): void => {
    slot.stopTimer();
    slot.handle?.terminate();
    slot.handle = null;
    slot.spoke = false;
    slot.prepared = undefined;
    slot.job = null;
  };

  const died = (slot: Slot, detail: string): void => {
    const job = slot.job;
    muteDeaths = slot.spoke ? 0 : muteDeaths + 1;
    retire(slot);
    if (muteDeaths >= mostMuteDeaths) broken = detail;
    if (job !== null) {
      job.deaths += 1;
      if (broken === null && job.deaths <= (job.call.retries ?? 1)) {
        job.call.onRetry?.(detail);
        queue.unshift(job);
      } else job.settle({ ok: false, code: "worker-died", detail });
    }
    if (broken !== null) {
      for (const waiting of queue.splice(0)) waiting.settle({ ok: false, code: "worker-died", detail: broken });
    }
    next();
  };

  const open = (slot: Slot): WorkerHandle => {
    const handle = spawn();
    slot.handle = handle;
    handle.onError((detail) => {
      if (slot.handle === handle) died(slot, detail);
    });
    return handle;
  };

  const watch = (slot: Slot, job: Job): void => {
    slot.stopTimer();
    slot.stopTimer = clock.after(silenceMs, () => {
      retire(slot);
      job.settle({ ok: false, code: "timed-out", detail: `no answer for ${Math.round(silenceMs / 1000)} s` });
      next();
    });
  };

  const start = (slot: Slot, job: Job): void => {
    slot.job = job;
    const { method, args, prepare, onEvent } = job.call;
    let handle: WorkerHandle;
    try {
      handle = slot.handle ?? open(slot);
    } catch (error) {
      died(slot, detailOf(error));
      return;
    }
    /** False once this worker or this attempt is over: whatever still arrives from it counts for nothing. */
    const current = (): boolean => slot.handle === handle && slot.job === job;
    const heard = (): void => {
      slot.spoke = true;
      muteDeaths = 0;
      watch(slot, job);
    };
    const done = (answer: Answer<unknown>): void => {
      slot.stopTimer();
      slot.job = null;
      job.settle(answer);
      next();
    };
    const heardEvent = (event: unknown): void => {
      if (!current()) return;
      heard();
      onEvent?.(event);
    };
    const attempt = async (): Promise<void> => {
      if (prepare !== undefined && slot.prepared !== prepare.key) {
        const told = (await handle.call(prepare.method, prepare.args)) as Answer<unknown>;
        if (!current()) return;
        heard();
        if (!told.ok) {
          done(told);
          return;
        }
        slot.prepared = prepare.key;
      }
      const answer = (await handle.call(method, args(), heardEvent)) as Answer<unknown>;
      if (!current()) return;
      heard();
      done(answer);
    };
    watch(slot, job);
    attempt().catch((error: unknown) => {
      if (!current()) return;
      heard();
      done({ ok: false, code: "internal", detail: detailOf(error) });
    });
  };

  const cancelled: Answer<never> = { ok: false, code: "cancelled", detail: "cancelled" };

  /** A worker that is there and idle, else a place for a new one. */
  const idle = (): Slot | undefined =>
    slots.find((slot) => slot.job === null && slot.handle !== null) ?? slots.find((slot) => slot.job === null);

  const next = (): void => {
    for (let slot = idle(); slot !== undefined; slot = idle()) {
      const job = queue.shift();
      if (job === undefined) return;
      // One signal may end many calls: those that it hasn't reached yet must not begin meanwhile.
      if (job.call.signal?.aborted) job.settle(cancelled);
      else start(slot, job);
    }
  };

  const giveUp = (job: Job): void => {
    const waiting = queue.indexOf(job);
    if (waiting >= 0) queue.splice(waiting, 1);
    for (const slot of slots) if (slot.job === job) retire(slot);
    job.settle(cancelled);
    next();
  };

  const run = <T>(call: Call): Promise<Answer<T>> =>
    new Promise((resolve) => {
      const { signal } = call;
      if (closed || signal?.aborted) {
        resolve(cancelled);
        return;
      }
      if (broken !== null) {
        resolve({ ok: false, code: "worker-died", detail: broken });
        return;
      }
      const abort = (): void => giveUp(job);
      const job: Job = {
        call,
        deaths: 0,
        settle: (answer) => {
          signal?.removeEventListener("abort", abort);
          resolve(answer as Answer<T>);
        },
      };
      signal?.addEventListener("abort", abort);
      queue.push(job);
      next();
    });

  return {
    size,
    run,
    get broken() {
      return broken;
    },
    close: () => {
      closed = true;
      const jobs = [...queue.splice(0), ...slots.flatMap((slot) => slot.job ?? [])];
      for (const slot of slots) retire(slot);
      for (const job of jobs) job.settle(cancelled);
    },
  };
};
