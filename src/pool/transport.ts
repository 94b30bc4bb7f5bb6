// What the pool needs from the machine it runs on. The page and the command line each bring their own.

/** One running worker. How messages travel is its own affair. */
export interface WorkerHandle {
  /**
   * Calls a method of the worker and hands on what it sends on the way. Rejects where the method threw. May stay
   * pending for ever once the worker has died: nobody but the pool awaits it.
   */
  call(method: string, args: readonly unknown[], onEvent?: (event: unknown) => void): Promise<unknown>;
  /** Tells once that the worker can do no more: it failed to load, threw outside a call, ran out of memory, ended. */
  onError(listener: (detail: string) => void): void;
  /** Ends the worker at once, whatever it is doing. */
  terminate(): void;
}

/** Time, injected: tests turn it by hand. */
export interface Clock {
  /** Milliseconds since any fixed moment. */
  now(): number;
  /** Acts once after so many milliseconds; what comes back calls it off. */
  after(milliseconds: number, act: () => void): () => void;
}

/** The part of an AbortSignal that is used here; the language's own library has none. */
export interface Signal {
  readonly aborted: boolean;
  addEventListener(type: "abort", listener: () => void): void;
  removeEventListener(type: "abort", listener: () => void): void;
}
