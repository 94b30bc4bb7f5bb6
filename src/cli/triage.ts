import { summariseHolds } from "../model/index.ts";
import type { BenchShot } from "../reports/bench/holds.ts";
import { triageCsv, triageText } from "../reports/bench/triage-text.ts";
import { shotTitle } from "../reports/dailies/sentences.ts";
import { counted } from "../reports/words.ts";
import { builtIn } from "../workshop/built-in.ts";
import type { KnownShot } from "./known-shots.ts";
import type { Console } from "./shot-job.ts";
import { tellShots } from "./tell-shots.ts";
import type { TriageArguments } from "./triage-arguments.ts";

const titles = new Map(builtIn.fixes.map(({ id, title }) => [id, title] as const));

const benchShot = ({ id, report, sheet, stored }: KnownShot): BenchShot => {
  const take = stored === null || stored.record.take === 1 ? null : stored.record.take;
  return {
    shot: stored?.record.id ?? id,
    shotName: shotTitle({ name: report.shot.name, take }),
    holds: summariseHolds(report, sheet),
  };
};

/** `holdfast triage`: resolves with the exit code. */
export const triage = (args: TriageArguments, console: Console): Promise<number> =>
  tellShots(args, console, ({ shots, stores }) => {
    const bench = shots.map(benchShot);
    const line = counted(shots.length, "shot");
    if (args.format === "csv") return { text: triageCsv(bench, args.levels, args.order), line };
    const own = { repairs: stores.flatMap(({ repairs }) => repairs), coming: stores.flatMap(({ coming }) => coming) };
    const known =
      stores.length === 0
        ? null
        : {
            ...own,
            puppets: stores.flatMap(({ puppets }) => puppets),
            verdicts: shots.flatMap(({ stored }) => stored?.verdicts ?? []),
            titleOf: (fix: string) => titles.get(fix) ?? null,
          };
    return { text: triageText(bench, args.levels, args.order, known), line };
  });
