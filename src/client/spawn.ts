import { proxy, releaseProxy, wrap } from "comlink";
import type { Clock, WorkerHandle } from "../pool/transport.ts";

// The one place in the page where a worker starts. The pool on top of it races every call against the worker's
// death, the caller's signal and silence; nobody else calls `new Worker` or awaits a bare call.

export type WorkerName = "measure" | "judge" | "picture" | "redraw" | "opencv";

// Each address is written out: that is how the build finds the files.
const start: Readonly<Record<WorkerName, () => Worker>> = {
  measure: () =>
    new Worker(new URL("../../workers/page/measure.ts", import.meta.url), { type: "module", name: "measure" }),
  judge: () => new Worker(new URL("../../workers/page/judge.ts", import.meta.url), { type: "module", name: "judge" }),
  picture: () =>
    new Worker(new URL("../../workers/page/picture.ts", import.meta.url), { type: "module", name: "picture" }),
  redraw: () =>
    new Worker(new URL("../../workers/page/redraw.ts", import.meta.url), { type: "module", name: "redraw" }),
  opencv: () =>
    new Worker(new URL("../../workers/page/opencv.ts", import.meta.url), { type: "module", name: "opencv" }),
};

type Methods = Record<string, (...args: unknown[]) => Promise<unknown>>;

export function spawn(name: WorkerName): WorkerHandle {
  const worker = start[name]();
  const api = wrap<Methods>(worker);
  return {
    call: (method, args, onEvent) => api[method](...args, ...(onEvent ? [proxy(onEvent)] : [])),
    onError(listener) {
      worker.addEventListener("error", (event) => {
        // Told through the pool's answer; the browser's own report of it would be a second one.
        event.preventDefault();
        listener(event.message || `the ${name} worker's file could not be loaded`);
      });
      worker.addEventListener("messageerror", () => listener(`a message of the ${name} worker could not be read`));
    },
    terminate() {
      api[releaseProxy]();
      worker.terminate();
    },
  };
}

export const clock: Clock = {
  now: () => performance.now(),
  after(milliseconds, act) {
    const timer = setTimeout(act, milliseconds);
    return () => clearTimeout(timer);
  },
};
