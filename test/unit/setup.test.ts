import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, expect, test } from "vitest";

// What tells `npm start` and `npm test` whether packages have to be installed.

let folder = "";
let whyInstall: (folder: string) => string | null;

beforeAll(async () => {
  const script = path.resolve(import.meta.dirname, "../../.scripts/setup.mjs");
  ({ whyInstall } = (await import(pathToFileURL(script).href)) as { whyInstall: typeof whyInstall });
  folder = await mkdtemp(path.join(tmpdir(), "holdfast-setup-"));
});
afterAll(() => rm(folder, { recursive: true }));

const sum = { integrity: "sha512-a" };
const lock = {
  "": { name: "holdfast" },
  "node_modules/smoker": { version: "1.0.0", ...sum },
  "node_modules/smoker-darwin": { version: "1.0.0", optional: true },
};
const put = async (wanted: object, installed: object | null): Promise<void> => {
  await writeFile(path.join(folder, "package-lock.json"), JSON.stringify({ packages: wanted }));
  await rm(path.join(folder, "node_modules"), { recursive: true, force: true });
  if (installed === null) return;
  await mkdir(path.join(folder, "node_modules"));
  await writeFile(path.join(folder, "node_modules/.package-lock.json"), JSON.stringify({ packages: installed }));
};

test("what is installed as the lock asks is left alone, packages for other machines missing or not", async () => {
  await put(lock, { "node_modules/smoker": { version: "1.0.0", ...sum } });
  expect(whyInstall(folder)).toBeNull();
});

test.each([
  ["nothing is installed yet", null],
  ["smoker is missing", {}],
  ["smoker is 0.9.0, wanted 1.0.0", { "node_modules/smoker": { version: "0.9.0", ...sum } }],
  [
    "veil is no longer wanted",
    { "node_modules/smoker": { version: "1.0.0", ...sum }, "node_modules/veil": { version: "1.0.0" } },
  ],
])("packages are installed where %s", async (why, installed) => {
  await put(lock, installed);
  expect(whyInstall(folder)).toBe(why);
});
