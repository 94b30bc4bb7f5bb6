import { mkdir } from "node:fs/promises";
import path from "node:path";
import { counted } from "../reports/words.ts";
import type { ManyArguments } from "./arguments.ts";
import { check } from "./check.ts";
import { EXIT, worstOf } from "./exit-code.ts";
import type { Console } from "./shot-job.ts";

/**
 * A name for each folder's report: its own, with as many folders above it as it takes to tell it from the others. The
 * same folder twice has one name: its report is the same.
 */
export const reportNames = (folders: readonly string[]): readonly string[] => {
  const paths = folders.map((folder) =>
    path
      .resolve(folder)
      .split(path.sep)
      .filter((step) => step !== ""),
  );
  const named = (steps: readonly string[], depth: number): string => steps.slice(-depth).join("-") || "root";
  return paths.map((steps) => {
    let depth = 1;
    const isTaken = (): boolean =>
      paths.some((other) => other.join("/") !== steps.join("/") && named(other, depth) === named(steps, depth));
    while (depth < steps.length && isTaken()) depth += 1;
    return `${named(steps, depth)}.report.json`;
  });
};

const outcomes: Readonly<Record<number, string>> = {
  [EXIT.clean]: "nothing flagged",
  [EXIT.flagged]: "something flagged",
  [EXIT.nothingChecked]: "not checked",
  [EXIT.gaps]: "nothing flagged, with gaps",
};

/** `holdfast check` of several folders: a bad one never stops the rest. Resolves with the worst exit code. */
export const checkMany = async ({ folders, each, json }: ManyArguments, console: Console): Promise<number> => {
  if (json !== null) {
    try {
      await mkdir(json, { recursive: true });
    } catch (error) {
      console.err.write(
        `${json} can't be a folder for the reports: ${error instanceof Error ? error.message : String(error)}.\n`,
      );
      return EXIT.nothingChecked;
    }
  }
  const names = reportNames(folders);
  const codes: number[] = [];
  for (const [place, folder] of folders.entries()) {
    const heading = `${place === 0 ? "" : "\n"}== ${folder} ==\n`;
    console.out(heading);
    console.err.write(heading);
    const file = json === null ? null : path.join(json, names[place]);
    let code: number = EXIT.nothingChecked;
    try {
      code = await check({ ...each, folder, json: file }, console);
    } catch (error) {
      console.err.write(`${folder} was not checked, by a fault of Holdfast's own: ${String(error)}\n`);
    }
    codes.push(code);
    // Whoever stops one wants no other.
    if (code === EXIT.stopped) break;
  }
  const lines = codes.map((code, place) => `  ${folders[place]}: ${outcomes[code] ?? "stopped"}`);
  const left = folders.length - codes.length;
  if (left > 0) lines.push(`  ${counted(left, "folder")} not begun`);
  console.out(`\n${counted(folders.length, "folder")}:\n${lines.join("\n")}\n`);
  return worstOf(codes);
};
