import { parentPort } from "node:worker_threads";
import type { BackMessage, CallMessage } from "../../src/protocol/wire.ts";

type Method = (...args: never[]) => Promise<unknown>;

/** Answers the calls that come to this thread with the methods of `worker`, each given a way to send events last. */
export const serve = (worker: object): void => {
  const port = parentPort;
  if (port === null) throw new Error("this file runs as a worker thread only");
  const send = (message: BackMessage): void => port.postMessage(message);
  const answer = async ({ id, method, args }: CallMessage): Promise<void> => {
    try {
      const work = (worker as Readonly<Record<string, Method>>)[method];
      const event = (value: unknown): void => send({ id, kind: "event", event: value });
      send({ id, kind: "answer", answer: await work(...(args as never[]), event as never) });
    } catch (error) {
      send({ id, kind: "threw", detail: error instanceof Error ? error.message : String(error) });
    }
  };
  port.on("message", (message: CallMessage) => void answer(message));
};
