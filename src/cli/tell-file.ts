import { FileProblem, isSameFile, writeText } from "../store/adapters/files.ts";
import type { Console } from "./shot-job.ts";

/**
 * Puts a text where it is wanted: into a file, with one line about it on stdout, or onto stdout. Throws a FileProblem
 * where it can't be written, or would take the place of what it was made from.
 */
export const tellFile = async (
  text: string,
  out: string | null,
  line: string,
  sources: readonly string[],
  console: Console,
): Promise<void> => {
  if (out === null) {
    console.out(text);
    return;
  }
  for (const source of sources)
    if (await isSameFile(out, source)) throw new FileProblem(`${out} is one of the reports: not written over`);
  await writeText(out, text);
  console.out(`${line}\n`);
};
