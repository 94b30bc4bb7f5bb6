import type { Answer, Proof } from "../protocol/index.ts";
import { type CheckOptions, runSteps } from "./check.ts";

export interface ProofOptions extends CheckOptions {
  /** Id of the part that a drift is put into; null: every held part. */
  readonly part: string | null;
}

/**
 * Checks a shot as `runCheck` does, then puts known drifts into its held parts, in the workers' memory, and tells what
 * came back. Frames are never written.
 */
export const runProof = async ({ part, job, ...options }: ProofOptions): Promise<Answer<Proof>> => {
  const answer = await runSteps({ ...options, job: { ...job, prove: { part } } });
  if (!answer.ok) return answer;
  const { proof } = answer.value;
  return proof === null
    ? { ok: false, code: "internal", detail: "the judge ended without a proof" }
    : { ok: true, value: proof };
};
