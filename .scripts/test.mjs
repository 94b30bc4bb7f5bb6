// `npm test`: installs what is missing, then checks and tests everything. The last line reads "N passed, N failed":
// every check counts as one, every test as one.
import { spawn } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { ensureChromium } from "./chromium.mjs";
import { ensurePhotographs } from "./photographs.mjs";
import { inPlainWords, root, Sentence, setUp } from "./setup.mjs";

const scratch = path.join(root, ".cache", "test");

/** The program of an installed package, run by this very Node. */
const tool = (file) => [process.execPath, path.join(root, "node_modules", ...file.split("/"))];
const tsc = (folder) => ({
  name: `types: ${folder === "." ? "core" : folder}`,
  command: [...tool("typescript/bin/tsc"), "-p", folder],
});
const biome = tool("@biomejs/biome/bin/biome");
const vite = tool("vite/bin/vite.js");
const vitest = tool("vitest/vitest.mjs");

const checks = [
  ...[".", "src/ui", "src/client", "src/cli", "workers/page", "workers/node", "test", ".scripts"].map(tsc),
  { name: "format", command: [...biome, "format", "--error-on-warnings", "."] },
  { name: "lint", command: [...tool("oxlint/bin/oxlint"), "--type-aware"] },
  { name: "import rules", command: [process.execPath, path.join(root, ".scripts", "import-rules.mjs")] },
  { name: "nothing unused", command: [...tool("knip/bin/knip.js"), "--no-progress", "--no-config-hints"] },
];
/** Before the checks, which look for the file. */
const first = [{ name: "build: kernels", command: [process.execPath, path.join(root, ".scripts", "kernels.mjs")] }];
const builds = [
  { name: "build: page", command: [...vite, "build"] },
  { name: "build: command line", command: [...vite, "build", "--ssr"] },
];

let passed = 0;
let failed = 0;
/** One line for each thing that failed, told again at the end. */
const failures = [];
const count = (ok, line) => {
  if (ok) passed += 1;
  else {
    failed += 1;
    failures.push(line);
  }
};

const run = (command, { quiet = true, env = {} } = {}) =>
  new Promise((resolve) => {
    const [program, ...args] = command;
    const child = spawn(program, args, {
      cwd: root,
      env: { ...process.env, ...env },
      stdio: ["ignore", quiet ? "pipe" : "inherit", quiet ? "pipe" : "inherit"],
    });
    let output = "";
    for (const stream of [child.stdout, child.stderr]) stream?.on("data", (chunk) => (output += chunk));
    child.once("error", (error) => resolve({ ok: false, output: `${output}${error.message}\n` }));
    child.once("close", (code) => resolve({ ok: code === 0, output }));
  });

const since = (start) => `${((Date.now() - start) / 1000).toFixed(1)} s`;

/** Runs checks, `lanes` at a time; each is told when it is done, with its output where it failed. */
const runChecks = async (list, lanes) => {
  const waiting = [...list];
  const lane = async () => {
    for (let check = waiting.shift(); check !== undefined; check = waiting.shift()) {
      const start = Date.now();
      const { ok, output } = await run(check.command);
      console.log(`${ok ? "ok    " : "FAILED"}  ${check.name} (${since(start)})`);
      if (!ok) console.log(output.trimEnd());
      count(ok, check.name);
    }
  };
  await Promise.all(Array.from({ length: lanes }, lane));
};

/** Runs one vitest project and counts its tests. A run that reports nothing, or in which no test ran, has failed. */
const runTests = async (project, env = {}) => {
  const start = Date.now();
  const file = path.join(scratch, `${project}.json`);
  rmSync(file, { force: true });
  console.log(`\nTests: ${project}`);
  const reporters = ["--reporter=default", "--reporter=json", `--outputFile.json=${file}`];
  const { ok } = await run([...vitest, "run", "--project", project, ...reporters], { quiet: false, env });
  if (!existsSync(file)) {
    count(false, `tests: ${project}: none ran`);
    return;
  }
  const report = JSON.parse(readFileSync(file, "utf8"));
  const before = failed;
  let ran = 0;
  for (const suite of report.testResults) {
    const name = path.relative(root, suite.name);
    for (const test of suite.assertionResults) {
      // A skipped test is one that nobody looked at, unless it says itself why it can't run on this machine.
      if (test.status !== "passed" && test.status !== "failed" && test.title.includes(": SKIPPED, since ")) {
        console.log(`skipped  ${name}: ${test.fullName}`);
        continue;
      }
      count(
        test.status === "passed",
        `${name}: ${test.fullName}${test.status === "failed" ? "" : ` (${test.status})`}`,
      );
      ran += 1;
    }
    if (suite.status !== "passed" && suite.assertionResults.every((test) => test.status === "passed")) {
      count(false, `${name}: ${(suite.message || "could not be run").split("\n")[0]}`);
    }
  }
  if (ran === 0) count(false, `tests: ${project}: none ran`);
  else if (!ok && failed === before) count(false, `tests: ${project}: an error outside the tests`);
  console.log(`${ran} tests of ${project} in ${since(start)}`);
};

await inPlainWords(async () => {
  const start = Date.now();
  setUp();
  mkdirSync(scratch, { recursive: true });

  console.log("Checks");
  await runChecks(first, 1);
  await runChecks(checks, Math.min(4, os.availableParallelism()));
  await runChecks(builds, 1);
  await runTests("unit", { PHOTOGRAPHS: ensurePhotographs() ?? "" });

  let chromium = null;
  try {
    chromium = ensureChromium();
  } catch (error) {
    if (!(error instanceof Sentence)) throw error;
    console.log(`\n${error.message}`);
    count(false, `tests: browser: ${error.message}`);
  }
  if (chromium !== null) await runTests("browser", { CHROMIUM: chromium });

  console.log(`\nAll of it took ${since(start)}.`);
  for (const line of failures) console.log(`FAILED  ${line}`);
  if (failed > 0) process.exitCode = 1;
}).catch(() => {
  process.exitCode = 1;
});
if (process.exitCode && failed === 0) failed = 1;
console.log(`${passed} passed, ${failed} failed`);
