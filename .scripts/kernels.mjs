// The kernels in WebAssembly, built from their AssemblyScript sources where those are newer.
import { spawnSync } from "node:child_process";
import { existsSync, readdirSync, renameSync, rmSync, statSync } from "node:fs";
import path from "node:path";
import { root } from "./setup.mjs";

const folder = path.join(root, "src", "measure", "kernels");
const built = path.join(folder, "kernels.wasm");

/** What the kernels are made of: sources and settings. */
const sources = () =>
  (existsSync(folder) ? readdirSync(folder) : [])
    .filter((file) => file.endsWith(".ts") || file === "asconfig.json")
    .map((file) => path.join(folder, file));

/** Builds the kernels where that is needed. Throws with the compiler's own words where it fails. */
export const buildKernels = () => {
  const newest = Math.max(...sources().map((file) => statSync(file).mtimeMs));
  if (newest === Number.NEGATIVE_INFINITY || (existsSync(built) && statSync(built).mtimeMs >= newest)) return;
  const compiler = path.join(root, "node_modules", "assemblyscript", "bin", "asc.js");
  const draft = path.join(folder, `kernels.${process.pid}.part.wasm`);
  const run = spawnSync(process.execPath, [compiler, "--config", "asconfig.json", "--outFile", path.basename(draft)], {
    cwd: folder,
    encoding: "utf8",
  });
  if (run.status !== 0) {
    rmSync(draft, { force: true });
    throw new Error(`The kernels could not be built:\n${run.stdout}${run.stderr}`);
  }
  renameSync(draft, built);
};

/** For Vite: builds the kernels when somebody imports them, in tests as in builds. */
export const kernels = () => ({
  name: "kernels",
  enforce: /** @type {const} */ ("pre"),
  resolveId(/** @type {string} */ source) {
    if (/\/kernels\.wasm(\?|$)/.test(source)) buildKernels();
    return null;
  },
});

if (process.argv[1] === import.meta.filename) buildKernels();
