import { serialiseReport } from "../model/index.ts";
import { runCheck } from "../pool/check.ts";
import { summary } from "../reports/summary.ts";
import type { CheckArguments } from "./arguments.ts";
import { exitCodeOf } from "./exit-code.ts";
import { type Console, onShot, tellBoth } from "./shot-job.ts";

/** `holdfast check`: resolves with the exit code. */
export const check = (args: CheckArguments, console: Console): Promise<number> =>
  onShot(
    args,
    console,
    (options) => runCheck({ ...options, job: { ...options.job, bandPx: args.bandPx } }),
    async (report, frames) => {
      await tellBoth(summary(report), serialiseReport(report), args, console);
      return exitCodeOf(report, frames);
    },
  );
