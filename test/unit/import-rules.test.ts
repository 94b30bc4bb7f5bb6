import { spawnSync } from "node:child_process";
import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";

// The checker of imports is itself checked: on a tree of its own that breaks one rule at a time.

const script = path.resolve(import.meta.dirname, "../../.scripts/import-rules.mjs");
let folder = "";
beforeEach(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "holdfast-rules-"));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const ruleBreaks = async (files: Readonly<Record<string, string>>) => {
  for (const [name, text] of Object.entries(files)) {
    const file = path.join(folder, name);
    await mkdir(path.dirname(file), { recursive: true });
    await writeFile(file, text);
  }
  const { status, stdout, stderr } = spawnSync(process.execPath, [script, folder], { encoding: "utf8" });
  return { status, stdout, broken: [...stderr.matchAll(/^ {2}([\w-]+): /gm)].map((match) => match[1]), stderr };
};

const sound = {
  "src/units/index.ts": "export const px = 1;",
  "src/measure/plane.ts": 'import { px } from "../units/index.ts"; export const plane = px;',
  "src/model/index.ts": 'import { px } from "../units/index.ts"; export type Sheet = typeof px;',
  "workers/node/measure.ts": 'import { plane } from "../../src/measure/plane.ts"; export const worker = plane;',
};

test("a tree that keeps the rules passes, and what was read is counted", async () => {
  expect(await ruleBreaks(sound)).toMatchObject({ status: 0, broken: [], stdout: "4 source files, 3 imports\n" });
});

test.each([
  [
    "a type taken from a layer above",
    { "src/measure/up.ts": 'import type { Sheet } from "../model/index.ts"; export type Up = Sheet;' },
    ["measure-imports"],
  ],
  [
    "two files that need each other's types",
    {
      "src/units/a.ts": 'import type { B } from "./b.ts"; export type A = { b: B };',
      "src/units/b.ts": 'import type { A } from "./a.ts"; export type B = { a: A };',
    },
    ["no-cycles"],
  ],
  [
    "a worker that the page imports instead of starting it",
    { "src/ui/page.ts": 'import { worker } from "../../workers/node/measure.ts"; export const page = worker;' },
    ["ui-imports"],
  ],
  [
    "a file of Node's in the core",
    { "src/model/disk.ts": 'export { readFile } from "node:fs";' },
    ["node-in-its-place"],
  ],
  ["a library that isn't there", { "src/units/lib.ts": 'export * from "no-such-library";' }, ["found"]],
  [
    "behaviour that the contract between threads takes along",
    {
      "src/protocol/index.ts": 'export { plane } from "../analysis/index.ts";',
      "src/analysis/index.ts": 'export { plane } from "../measure/plane.ts";',
    },
    ["protocol-is-types"],
  ],
])("%s is caught", async (_what, files, rules) => {
  const { status, broken } = await ruleBreaks({ ...sound, ...files });
  expect(status).toBe(1);
  expect(broken).toEqual(rules);
});

test("a folder that isn't in the table is refused", async () => {
  const { status, stderr } = await ruleBreaks({ ...sound, "src/helpers/index.ts": "export const helper = 1;" });
  expect(status).toBe(1);
  expect(stderr).toContain("src/helpers/index.ts is in no folder of the table");
});

test("a tree without sources fails instead of passing unread", async () => {
  expect(await ruleBreaks({ "notes.txt": "nothing" })).toMatchObject({ status: 1 });
  expect(await ruleBreaks({ "src/notes.txt": "nothing" })).toMatchObject({ status: 1 });
});
