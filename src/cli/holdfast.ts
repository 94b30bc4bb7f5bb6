#!/usr/bin/env node
import packageFile from "../../package.json";
import { readArguments } from "./arguments.ts";
import { check } from "./check.ts";
import { checkMany } from "./check-many.ts";
import { dailies } from "./dailies.ts";
import { EXIT } from "./exit-code.ts";
import { help } from "./help.ts";
import type { Screen } from "./progress-line.ts";
import { prove } from "./prove.ts";
import type { Console } from "./shot-job.ts";
import { triage } from "./triage.ts";

// Who reads only the first lines of the output and then closes it (head) has what they wanted.
for (const stream of [process.stdout, process.stderr]) {
  stream.on("error", (error: NodeJS.ErrnoException) => {
    if (error.code !== "EPIPE") throw error;
  });
}

const stop = new AbortController();
for (const name of ["SIGINT", "SIGTERM"] as const) process.once(name, () => stop.abort());

const out = (text: string): void => void process.stdout.write(text);
const err: Screen = {
  isTTY: process.stderr.isTTY,
  get columns() {
    return process.stderr.columns || 80;
  },
  write: (text) => void process.stderr.write(text),
};

const console: Console = {
  out,
  err,
  signal: stop.signal,
  workers: { measure: new URL("measure.js", import.meta.url), judge: new URL("judge.js", import.meta.url) },
};

const run = async (): Promise<number> => {
  const command = readArguments(process.argv.slice(2));
  switch (command.kind) {
    case "help":
      out(help);
      return 0;
    case "version":
      out(`${packageFile.version}\n`);
      return 0;
    case "wrong":
      err.write(`${command.why}.\nSee holdfast --help.\n`);
      return EXIT.nothingChecked;
    case "check":
      return check(command.check, console);
    case "check-many":
      return checkMany(command.many, console);
    case "dailies":
      return dailies(command.dailies, console);
    case "triage":
      return triage(command.triage, console);
    case "prove":
      return prove(command.prove, console);
  }
};

process.exitCode = await run();
