import { parseReport, proposeSheet, type Report, serialiseReport, serialiseSheet } from "../model/index.ts";
import { runCheck } from "../pool/check.ts";
import { compareCameras, comparisonLine } from "../reports/compare-camera.ts";
import { summary } from "../reports/summary.ts";
import { counted } from "../reports/words.ts";
import { FileProblem, readText, writeText } from "../store/adapters/files.ts";
import type { CheckArguments } from "./arguments.ts";
import { EXIT, exitCodeOf } from "./exit-code.ts";
import { type Console, onShot, tellBoth } from "./shot-job.ts";

/** Another pass's report. Throws a FileProblem where it is none. */
const otherPass = async (file: string): Promise<Report> => {
  const read = parseReport((await readText(file)).text, file);
  if ("refusals" in read) throw new FileProblem(`${file} is no report that can be compared with: ${read.refusals[0]}`);
  return read.report;
};

/** Writes the sheet that follows from the pictures, or says that there is nothing to put in one. */
const propose = async (report: Report, file: string, { err }: Console): Promise<void> => {
  const sheet = proposeSheet(report);
  if (sheet === null) {
    err.write("Nothing was found to be animated or to drift: no sheet was written.\n");
    return;
  }
  await writeText(file, serialiseSheet(sheet));
  err.write(
    `A sheet with ${counted(sheet.parts.length, "part")} is proposed in ${file}: look at it before you use it.\n`,
  );
};

/** `holdfast check`: resolves with the exit code. */
export const check = async (args: CheckArguments, console: Console): Promise<number> => {
  let other: Report | null = null;
  try {
    // Before the work begins: nobody wants to learn of a wrong name after an hour.
    if (args.compare !== null) other = await otherPass(args.compare);
  } catch (error) {
    if (!(error instanceof FileProblem)) throw error;
    console.err.write(`${error.message}.\n`);
    return EXIT.nothingChecked;
  }
  return onShot(
    args,
    console,
    (options) => runCheck({ ...options, job: { ...options.job, bandPx: args.bandPx } }),
    async (report, frames) => {
      const comparison = other === null ? null : compareCameras(report, other);
      const line = comparison === null ? "" : `\n${comparisonLine(comparison, args.compare ?? "")}\n`;
      await tellBoth(`${summary(report)}${line}`, serialiseReport(report), args, console);
      if (args.propose !== null) await propose(report, args.propose, console);
      return comparison?.deviations.some(({ real }) => real) === true ? EXIT.flagged : exitCodeOf(report, frames);
    },
    args.propose === null ? [] : [args.propose],
  );
};
