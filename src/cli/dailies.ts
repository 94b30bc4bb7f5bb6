import { correctionsCsv } from "../reports/dailies/corrections.ts";
import { type Dailies, gatherDailies } from "../reports/dailies/dailies.ts";
import { dailiesEdl } from "../reports/dailies/edl.ts";
import { findingsCsv } from "../reports/dailies/findings-csv.ts";
import { dailiesHtml } from "../reports/dailies/html.ts";
import { dailiesMarkdown } from "../reports/dailies/markdown.ts";
import { dailiesOtio } from "../reports/dailies/otio.ts";
import { headline } from "../reports/dailies/sentences.ts";
import { FileProblem } from "../store/adapters/files.ts";
import type { DailiesArguments, DailiesFormat } from "./dailies-arguments.ts";
import { EXIT } from "./exit-code.ts";
import { readReports } from "./report-files.ts";
import type { Console } from "./shot-job.ts";
import { tellFile } from "./tell-file.ts";

const textOf = (dailies: Dailies, format: DailiesFormat): string => {
  switch (format) {
    case "md":
      return dailiesMarkdown(dailies);
    case "csv":
      return findingsCsv(dailies);
    case "html":
      return dailiesHtml(dailies);
    case "otio":
      return dailiesOtio(dailies);
    case "corrections":
      return correctionsCsv(dailies);
    case "edl": {
      const result = dailiesEdl(dailies);
      if ("reason" in result) throw new FileProblem(`No edit list was written: ${result.reason}`);
      return result.edl;
    }
  }
};

/** `holdfast dailies`: resolves with the exit code. */
export const dailies = async (args: DailiesArguments, console: Console): Promise<number> => {
  const { found, problems } = await readReports(args.reports);
  for (const problem of problems) console.err.write(`${problem}.\n`);
  if (found.length === 0) {
    console.err.write("There is no report to tell of.\n");
    return EXIT.nothingChecked;
  }
  const gathered = gatherDailies(
    found.map(({ file, report }) => ({
      id: file,
      report,
      sheet: null,
      verdicts: [],
      notes: [],
      take: null,
      shootingDay: null,
    })),
    args.filter,
  );
  try {
    const line = `${args.out}: ${headline(gathered)}`;
    await tellFile(
      textOf(gathered, args.format),
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
