import { parentPort, Worker, workerData } from "node:worker_threads";
import type { Done, Job } from "./jobs.ts";

// Jobs shared out between threads: the module that is running is started again in each of them, as `serve` finds out.

/** Marks the threads started here: a bench may itself run in one. */
interface Mark {
  readonly holdfastBench: true;
}
const isMark = (data: unknown): data is Mark => typeof data === "object" && data !== null && "holdfastBench" in data;

type Answer = { readonly done: Done } | { readonly error: string };

/** Does one job after the other where this is such a thread; else says that it is none. */
export function serve(run: (job: Job) => Promise<Done>): boolean {
  const port = parentPort;
  if (port === null || !isMark(workerData)) return false;
  port.on("message", (job: Job) => {
    void run(job)
      .then((done): Answer => ({ done }))
      .catch(
        (error: unknown): Answer => ({
          error: error instanceof Error ? (error.stack ?? error.message) : String(error),
        }),
      )
      .then((answer) => port.postMessage(answer));
  });
  return true;
}

export interface Sharing {
  readonly file: string;
  readonly threads: number;
  /** Whether a job needs a thread in which nothing was done before, and nothing will be after. */
  readonly alone: (job: Job) => boolean;
  readonly done: (job: Job, done: Done, seconds: number) => void;
}

/** Every job, in this order as far as threads allow. Rejects with the first that fails. */
export async function shareOut(jobs: readonly Job[], sharing: Sharing): Promise<void> {
  const { file, threads, alone, done } = sharing;
  let next = 0;
  const mark: Mark = { holdfastBench: true };
  const ask = (worker: Worker, job: Job): Promise<Done> =>
    new Promise((resolve, reject) => {
      const stop = (): void => {
        worker.off("message", hear);
        worker.off("error", fail);
      };
      const hear = (answer: Answer): void => {
        stop();
        if ("error" in answer) reject(new Error(answer.error));
        else resolve(answer.done);
      };
      const fail = (error: unknown): void => {
        stop();
        reject(error instanceof Error ? error : new Error(String(error)));
      };
      worker.on("message", hear);
      worker.on("error", fail);
      worker.postMessage(job);
    });
  const work = async (): Promise<void> => {
    let worker: Worker | null = null;
    try {
      while (next < jobs.length) {
        const job = jobs[next++];
        const isAlone = alone(job);
        if (isAlone) {
          await worker?.terminate();
          worker = null;
        }
        worker ??= new Worker(file, { workerData: mark });
        const start = performance.now();
        const answer = await ask(worker, job);
        done(job, answer, (performance.now() - start) / 1000);
        if (!isAlone) continue;
        await worker.terminate();
        worker = null;
      }
    } catch (error) {
      // Nobody starts another.
      next = jobs.length;
      throw error;
    } finally {
      await worker?.terminate();
    }
  };
  await Promise.all(Array.from({ length: Math.min(threads, jobs.length) }, work));
}
