import { correctionsCsv } from "../reports/dailies/corrections.ts";
import { type Dailies, gatherDailies } from "../reports/dailies/dailies.ts";
import { dailiesEdl } from "../reports/dailies/edl.ts";
import { findingsCsv } from "../reports/dailies/findings-csv.ts";
import { dailiesHtml, type PicturesOf } from "../reports/dailies/html.ts";
import { dailiesMarkdown } from "../reports/dailies/markdown.ts";
import { dailiesOtio } from "../reports/dailies/otio.ts";
import { headline } from "../reports/dailies/sentences.ts";
import { FileProblem } from "../store/adapters/files.ts";
import type { DailiesArguments, DailiesFormat } from "./dailies-arguments.ts";
import { findingPictures } from "./frame-pictures.ts";
import type { Console } from "./shot-job.ts";
import { tellShots } from "./tell-shots.ts";

const textOf = (dailies: Dailies, format: DailiesFormat, picturesOf: PicturesOf): string => {
  switch (format) {
    case "md":
      return dailiesMarkdown(dailies);
    case "csv":
      return findingsCsv(dailies);
    case "html":
      return dailiesHtml(dailies, picturesOf);
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
export const dailies = (args: DailiesArguments, console: Console): Promise<number> =>
  tellShots(args, console, async ({ shots, stores }) => {
    const gathered = gatherDailies(
      shots.map(({ id, report, sheet, stored }) => ({
        id,
        report,
        sheet,
        verdicts: stored?.verdicts ?? [],
        notes: stored?.notes ?? [],
        take: stored === null || stored.record.take === 1 ? null : stored.record.take,
        shootingDay: stored?.record.shootingDay ?? null,
      })),
      args.filter,
    );
    const exports = stores.map(({ file }) => file);
    // Only the page has pictures: nobody waits for any that are not shown.
    const { picturesOf, problems } =
      args.format === "html"
        ? await findingPictures(gathered, shots, exports, args.frames)
        : { picturesOf: () => null, problems: [] };
    return { text: textOf(gathered, args.format, picturesOf), line: headline(gathered), problems };
  });
