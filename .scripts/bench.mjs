// `npm run bench -- NAME [arguments]`: builds test/bench/NAME.ts as the command line is built and runs it, so that
// times are those of the built code. Without a name: the list.
import { spawnSync } from "node:child_process";
import { existsSync, readdirSync } from "node:fs";
import path from "node:path";
import { inPlainWords, root, Sentence, setUp } from "./setup.mjs";

const folder = path.join(root, "test", "bench");

await inPlainWords(async () => {
  const names = (existsSync(folder) ? readdirSync(folder) : [])
    .filter((file) => file.endsWith(".ts"))
    .map((file) => file.slice(0, -".ts".length));
  const [name, ...args] = process.argv.slice(2);
  if (name === undefined) {
    console.log(names.length === 0 ? "There are no benches." : "npm run bench -- NAME, where NAME is one of:");
    for (const known of names) console.log(`  ${known}`);
    return;
  }
  if (!names.includes(name)) throw new Sentence(`There is no bench "${name}". There are: ${names.join(", ")}.`);
  setUp();
  // Only now: before the set-up it may not be there.
  const { build } = await import("vite");
  const outDir = path.join(root, ".cache", "bench", name);
  await build({
    logLevel: "warn",
    root,
    // It looks for files of its own beside itself.
    ssr: { external: ["playwright"] },
    build: {
      ssr: path.join(folder, `${name}.ts`),
      outDir,
      rolldownOptions: { input: path.join(folder, `${name}.ts`) },
    },
  });
  const run = spawnSync(process.execPath, [path.join(outDir, `${name}.js`), ...args], { cwd: root, stdio: "inherit" });
  process.exitCode = run.status ?? 1;
});
