import { type Flag, flagKindLabels, type Report, type Sheet } from "../../model/index.ts";
import { builtIn } from "../../workshop/built-in.ts";
import { successIn } from "../../workshop/experience.ts";
import { type Question, rankCauses, type Ranking } from "../../workshop/rank.ts";
import { signsOfFlag } from "../../workshop/signs-of-flag.ts";
import { merged, type Workshop } from "../../workshop/workshop-file.ts";

/** What a flag asks of the workshop, with everything that report and sheet say of it. */
export function questionOf(flag: Flag, report: Report, sheet: Sheet | null): Question {
  const part = report.parts.find(({ id }) => id === flag.part);
  return {
    kind: flag.kind,
    part: part?.kind ?? null,
    build: part?.build ?? null,
    signs: signsOfFlag(flag, report, sheet),
  };
}

/** Causes by what comes with the tool and what this workshop added, reordered by what worked here. */
export const ranked = (question: Question, own: Workshop): Ranking =>
  rankCauses(merged(builtIn, own), question, successIn(own.outcomes, question.kind));

/** "Sag of a limb". */
export const questionWords = ({ kind, part }: Question): string => {
  const label = flagKindLabels[kind];
  const what =
    part === null
      ? ""
      : part === "found"
        ? " of a part that nobody has named"
        : ` of ${part === "eye" ? "an" : "a"} ${part}`;
  return `${label.charAt(0).toUpperCase()}${label.slice(1)}${what}`;
};
