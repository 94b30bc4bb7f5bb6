import { summariseHolds } from "../model/index.ts";
import type { BenchShot } from "../reports/bench/holds.ts";
import { triageCsv, triageText } from "../reports/bench/triage-text.ts";
import { counted } from "../reports/words.ts";
import { FileProblem } from "../store/adapters/files.ts";
import { EXIT } from "./exit-code.ts";
import { readReports } from "./report-files.ts";
import type { Console } from "./shot-job.ts";
import { tellFile } from "./tell-file.ts";
import type { TriageArguments } from "./triage-arguments.ts";

/** `holdfast triage`: resolves with the exit code. */
export const triage = async (args: TriageArguments, console: Console): Promise<number> => {
  const { found, problems } = await readReports(args.reports);
  for (const problem of problems) console.err.write(`${problem}.\n`);
  if (found.length === 0) {
    console.err.write("There is no report to tell of.\n");
    return EXIT.nothingChecked;
  }
  const shots = found.map(
    ({ file, report }): BenchShot => ({ shot: file, shotName: report.shot.name, holds: summariseHolds(report, null) }),
  );
  const write = args.format === "csv" ? triageCsv : triageText;
  try {
    const line = `${args.out}: ${counted(shots.length, "shot")}`;
    await tellFile(
      write(shots, args.levels, args.order),
      args.out,
      line,
      found.map(({ file }) => file),
      console,
    );
  } catch (error) {
    if (!(error instanceof FileProblem)) throw error;
    console.err.write(`${error.message}.\n`);
    return EXIT.nothingChecked;
  }
  return problems.length > 0 ? EXIT.gaps : EXIT.clean;
};
