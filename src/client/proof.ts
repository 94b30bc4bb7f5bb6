import type { Progress } from "../pool/check.ts";
import { createPool } from "../pool/pool.ts";
import { runProof } from "../pool/proof.ts";
import type { Answer, CheckJob, Proof } from "../protocol/index.ts";
import { workersFor } from "./check.ts";
import { clock, spawn } from "./spawn.ts";

/**
 * Puts known drifts into the held parts of a shot's own frames, in the workers' memory, and tells what came back. The
 * workers are its own and end with it. Never rejects.
 *
 * @param part the one that a drift is put into; null: every held part
 */
export async function prove(
  job: CheckJob,
  part: string | null,
  { signal, onProgress }: { readonly signal: AbortSignal; readonly onProgress: (progress: Progress) => void },
): Promise<Answer<Proof>> {
  const pool = createPool({ size: await workersFor(job), spawn: () => spawn("measure"), clock });
  const judge = createPool({ size: 1, spawn: () => spawn("judge"), clock });
  try {
    return await runProof({ pool, judge, job, part, clock, signal, onProgress });
  } finally {
    pool.close();
    judge.close();
  }
}
