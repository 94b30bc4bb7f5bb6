import { FileProblem } from "../store/adapters/files.ts";
import { EXIT } from "./exit-code.ts";
import { type KnownShots, readShots } from "./known-shots.ts";
import type { Console } from "./shot-job.ts";
import type { ShotsArguments } from "./shots-arguments.ts";
import { tellFile } from "./tell-file.ts";

/** What a command makes of the shots. */
export interface Told {
  readonly text: string;
  /** Said of the file on stdout. */
  readonly line: string;
  /** What went wrong on the way and stops nothing, a sentence each. */
  readonly problems?: readonly string[];
}

/** Reads the shots, puts what is made of them where it is wanted, and resolves with the exit code. */
export const tellShots = async (
  { reports, store, out }: ShotsArguments,
  console: Console,
  make: (known: KnownShots) => Promise<Told> | Told,
): Promise<number> => {
  const known = await readShots(reports, store);
  const say = (problems: readonly string[]) => {
    for (const problem of problems) console.err.write(`${problem}.\n`);
  };
  say(known.problems);
  if (known.shots.length === 0) {
    console.err.write("There is no report to tell of.\n");
    return EXIT.nothingChecked;
  }
  try {
    const { text, line, problems = [] } = await make(known);
    say(problems);
    await tellFile(text, out, `${out}: ${line}`, known.files, console);
    return known.problems.length + problems.length > 0 ? EXIT.gaps : EXIT.clean;
  } catch (error) {
    if (!(error instanceof FileProblem)) throw error;
    console.err.write(`${error.message}.\n`);
    return EXIT.nothingChecked;
  }
};
