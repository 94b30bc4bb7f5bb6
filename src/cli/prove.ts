import { serialiseProof } from "../model/index.ts";
import { runProof } from "../pool/proof.ts";
import { proofSummary } from "../reports/proof-summary.ts";
import type { ProveArguments } from "./arguments.ts";
import { proofExitCode } from "./exit-code.ts";
import { type Console, onShot, tellBoth } from "./shot-job.ts";

/** `holdfast prove`: resolves with the exit code. */
export const prove = (args: ProveArguments, console: Console): Promise<number> =>
  onShot(
    args,
    console,
    (options) => runProof({ ...options, part: args.part }),
    async (proof) => {
      await tellBoth(proofSummary(proof), serialiseProof(proof), args, console);
      return proofExitCode(proof);
    },
  );
