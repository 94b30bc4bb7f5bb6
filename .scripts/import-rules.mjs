// Checks the imports of src and workers against .dependency-cruiser.cjs. A folder may be named (the tests do).
import { spawnSync } from "node:child_process";
import { existsSync, readdirSync } from "node:fs";
import path from "node:path";
import { root } from "./setup.mjs";

const folder = path.resolve(process.argv[2] ?? root);
const places = ["src", "workers"].filter((place) => existsSync(path.join(folder, place)));

const run = spawnSync(
  process.execPath,
  [
    path.join(root, "node_modules", "dependency-cruiser", "bin", "dependency-cruise.mjs"),
    ...["--config", path.join(root, ".dependency-cruiser.cjs"), "--output-type", "json"],
    ...places,
  ],
  { cwd: folder, encoding: "utf8", maxBuffer: 256 * 1024 * 1024 },
);
let result;
try {
  result = JSON.parse(run.stdout);
} catch {
  console.error(`The import rules could not be checked: ${run.stderr || run.error?.message}`);
  process.exit(1);
}

const rules = result.summary.ruleSetUsed.forbidden;
for (const { rule, from, to } of result.summary.violations) {
  const { comment } = rules.find((known) => known.name === rule.name);
  console.error(`${from} imports ${to}\n  ${rule.name}: ${comment}`);
}

// A checker that read nothing finds nothing: every source file has to be among the modules it read.
const read = new Set(result.modules.filter((module) => !module.coreModule).map((module) => module.source));
const sources = places
  .flatMap((place) =>
    readdirSync(path.join(folder, place), { recursive: true, encoding: "utf8" }).map((file) =>
      path.posix.join(place, file.split(path.sep).join("/")),
    ),
  )
  .filter((file) => /\.tsx?$/.test(file) && !file.endsWith(".d.ts") && !file.startsWith("src/measure/kernels/"));
const unread = sources.filter((file) => !read.has(file));
for (const file of unread) console.error(`${file} was not read`);
if (sources.length === 0) console.error("There are no source files here");

// A folder without a row in the table would import whatever it likes.
const outside = sources.filter(
  (file) => !rules.some((rule) => new RegExp(rule.from.path ?? "$^").test(file) && rule.name.endsWith("-imports")),
);
for (const file of outside) console.error(`${file} is in no folder of the table in .dependency-cruiser.cjs`);

const wrong = result.summary.violations.length + unread.length + outside.length;
console.log(`${sources.length} source files, ${result.summary.totalDependenciesCruised} imports`);
process.exit(wrong > 0 || sources.length === 0 ? 1 : 0);
