import type { Clock, WorkerHandle } from "../../src/pool/transport.ts";

/** A clock that a test turns by hand. */
export interface HandClock extends Clock {
  /** Lets time pass, acting on what falls due, in order. */
  pass(milliseconds: number): void;
}

export const handClock = (): HandClock => {
  let now = 0;
  const due = new Map<object, { at: number; act: () => void }>();
  return {
    now: () => now,
    after: (milliseconds, act) => {
      const key = {};
      due.set(key, { at: now + milliseconds, act });
      return () => void due.delete(key);
    },
    pass: (milliseconds) => {
      now += milliseconds;
      for (const [key, { at, act }] of [...due].toSorted((a, b) => a[1].at - b[1].at)) {
        if (at > now || !due.delete(key)) continue;
        act();
      }
    },
  };
};

/** A call that a fake worker was given; what happens with it is up to the test. */
export interface FakeCall {
  readonly worker: FakeWorker;
  readonly method: string;
  readonly args: readonly unknown[];
  readonly emit: (event: unknown) => void;
  readonly answer: (value: unknown) => void;
  readonly fail: (message: string) => void;
}

export interface FakeWorker extends WorkerHandle {
  readonly number: number;
  readonly ended: boolean;
  die(detail: string): void;
}

/** Workers that do what `behave` says, or nothing; `calls` has all they were asked, `workers` all that were started. */
export const fakeWorkers = (
  behave: (call: FakeCall) => void = () => undefined,
): { spawn: () => FakeWorker; workers: FakeWorker[]; calls: FakeCall[] } => {
  const workers: FakeWorker[] = [];
  const calls: FakeCall[] = [];
  const spawn = (): FakeWorker => {
    let ended = false;
    const listeners: ((detail: string) => void)[] = [];
    const worker: FakeWorker = {
      number: workers.length,
      get ended() {
        return ended;
      },
      call: (method, args, onEvent) =>
        new Promise((resolve, reject) => {
          // What is sent between threads is a copy, and a dead worker says nothing more.
          const call: FakeCall = {
            worker,
            method,
            args: structuredClone(args),
            emit: (event) => ended || onEvent?.(structuredClone(event)),
            answer: (value) => ended || resolve(structuredClone(value)),
            fail: (message) => ended || reject(new Error(message)),
          };
          calls.push(call);
          behave(call);
        }),
      onError: (listener) => void listeners.push(listener),
      terminate: () => {
        ended = true;
      },
      die: (detail) => {
        ended = true;
        for (const listener of listeners) listener(detail);
      },
    };
    workers.push(worker);
    return worker;
  };
  return { spawn, workers, calls };
};

/** Lets everything that is already settled run on. */
export const settle = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));
