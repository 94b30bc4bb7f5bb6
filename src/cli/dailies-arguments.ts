import { verdictChoices } from "../model/records.ts";
import type { DailiesFilter, VerdictState } from "../reports/dailies/dailies.ts";
import { type Department, departments } from "../reports/dailies/department.ts";
import type { ShotsArguments } from "./shots-arguments.ts";

/** Ways in which the notes are written, each with the ending of a file's name that stands for it. */
export const dailiesFormats = ["md", "csv", "html", "otio", "edl", "corrections"] as const;
export type DailiesFormat = (typeof dailiesFormats)[number];

/** What `holdfast dailies` was asked. */
export interface DailiesArguments extends ShotsArguments {
  /** Folder with the frames, or with the shots' folders in it; null: what lies beside the reports. */
  readonly frames: string | null;
  readonly format: DailiesFormat;
  readonly filter: DailiesFilter;
}

interface Given {
  readonly out?: string | undefined;
  readonly store?: string | undefined;
  readonly frames?: string | undefined;
  readonly format?: string | undefined;
  readonly all?: boolean | undefined;
  readonly verdict?: string | undefined;
  readonly department?: string | undefined;
}

const isOneOf = <T extends string>(known: readonly T[], word: string): word is T =>
  (known as readonly string[]).includes(word);

/** The words of a list with commas, or the one that isn't known. */
const wordsOf = <T extends string>(
  list: string | undefined,
  known: readonly T[],
): { readonly words: ReadonlySet<T> | null } | { readonly strange: string } => {
  if (list === undefined) return { words: null };
  const words = list.split(",").map((word) => word.trim());
  const strange = words.find((word) => !isOneOf(known, word));
  if (strange !== undefined) return { strange };
  return { words: new Set(words.filter((word) => isOneOf(known, word))) };
};

export const verdictStates: readonly VerdictState[] = ["open", ...verdictChoices];

const endingOf = (file: string): string => /\.([a-z]+)$/iu.exec(file)?.[1].toLowerCase() ?? "";

/** What was asked, or what is wrong with it. */
export const dailiesArguments = (
  reports: readonly string[],
  given: Given,
): DailiesArguments | { readonly why: string } => {
  const ending = given.out === undefined ? "md" : endingOf(given.out);
  const format = given.format ?? (ending === "markdown" ? "md" : ending === "htm" ? "html" : ending);
  if (!isOneOf(dailiesFormats, format))
    return {
      why:
        given.format === undefined
          ? `--out is "${given.out}": its ending says no format, --format has to`
          : `--format is "${format}": it needs one of ${dailiesFormats.join(", ")}`,
    };
  if (given.frames !== undefined && format !== "html")
    return { why: "--frames is for pictures, and only html has some" };
  const verdicts = wordsOf<VerdictState>(given.verdict, verdictStates);
  if ("strange" in verdicts)
    return { why: `--verdict has "${verdicts.strange}": it needs some of ${verdictStates.join(", ")}` };
  const wanted = wordsOf<Department>(given.department, departments);
  if ("strange" in wanted)
    return { why: `--department has "${wanted.strange}": it needs some of ${departments.join(", ")}` };
  return {
    reports,
    store: given.store ?? null,
    frames: given.frames ?? null,
    out: given.out ?? null,
    format,
    filter: { wholeShot: given.all ?? false, verdicts: verdicts.words, departments: wanted.words },
  };
};
