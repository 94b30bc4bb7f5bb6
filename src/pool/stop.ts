import type { Signal } from "./transport.ts";

/** A signal of one's own that is also raised when `outer` is. `release` lets go of `outer`. */
export const createStop = (outer: Signal | undefined): { signal: Signal; stop: () => void; release: () => void } => {
  const listeners = new Set<() => void>();
  let aborted = outer?.aborted ?? false;
  const stop = (): void => {
    if (aborted) return;
    aborted = true;
    for (const listener of [...listeners]) listener();
  };
  outer?.addEventListener("abort", stop);
  return {
    signal: {
      get aborted() {
        return aborted;
      },
      addEventListener: (_type, listener) => void listeners.add(listener),
      removeEventListener: (_type, listener) => void listeners.delete(listener),
    },
    stop,
    release: () => outer?.removeEventListener("abort", stop),
  };
};
