import { Worker } from "node:worker_threads";
import type { WorkerHandle } from "../pool/transport.ts";
import type { BackMessage, CallMessage } from "../protocol/wire.ts";

interface Pending {
  readonly resolve: (answer: unknown) => void;
  readonly reject: (error: Error) => void;
  readonly onEvent: ((event: unknown) => void) | undefined;
}

/** Starts a worker thread from a built file. */
export const startWorker = (file: URL): WorkerHandle => {
  // Its stdout is not the person's: the report may be on its way there.
  const worker = new Worker(file, { stdout: true });
  worker.stdout.on("data", (text: Buffer) => void process.stderr.write(text));
  const pending = new Map<number, Pending>();
  let calls = 0;
  worker.on("message", (message: BackMessage) => {
    const call = pending.get(message.id);
    if (call === undefined) return;
    if (message.kind === "event") {
      call.onEvent?.(message.event);
      return;
    }
    pending.delete(message.id);
    if (message.kind === "answer") call.resolve(message.answer);
    else call.reject(new Error(message.detail));
  });
  return {
    call: (method, args, onEvent) =>
      new Promise((resolve, reject) => {
        calls += 1;
        const message: CallMessage = { id: calls, method, args };
        pending.set(calls, { resolve, reject, onEvent });
        worker.postMessage(message);
      }),
    onError: (listener) => {
      worker.once("error", (error: unknown) => listener(error instanceof Error ? error.message : String(error)));
      worker.once("messageerror", () => listener("a message to or from it could not be read"));
      worker.once("exit", (code) => listener(`it ended with code ${code}`));
    },
    terminate: () => void worker.terminate(),
  };
};
