import { spawn, spawnSync } from "node:child_process";
import { mkdir, mkdtemp, rm } from "node:fs/promises";
import path from "node:path";

// The command line as it is built, in a folder of its own: what lies in dist/ may be older than the sources.

const root = path.resolve(import.meta.dirname, "../..");

export interface Ran {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

export interface BuiltCli {
  readonly folder: string;
  run(args: readonly string[], during?: (pid: number) => void): Promise<Ran>;
  remove(): Promise<void>;
}

/** Builds the command line. Throws with the build's own words where that fails. */
export const buildCli = async (): Promise<BuiltCli> => {
  await mkdir(path.join(root, ".cache"), { recursive: true });
  const folder = await mkdtemp(path.join(root, ".cache", "cli-"));
  // Without the marks of the test run, which would move the build's root.
  const env = Object.fromEntries(Object.entries(process.env).filter(([name]) => !/^(VITEST|NODE_ENV$)/.test(name)));
  const vite = path.join(root, "node_modules", "vite", "bin", "vite.js");
  const built = spawnSync(process.execPath, [vite, "build", "--ssr", "--outDir", folder, "--logLevel", "warn"], {
    cwd: root,
    env,
    encoding: "utf8",
  });
  if (built.status !== 0) throw new Error(`the command line could not be built:\n${built.stdout}${built.stderr}`);
  return {
    folder,
    run: (args, during) =>
      new Promise((resolve, reject) => {
        const child = spawn(process.execPath, [path.join(folder, "holdfast.js"), ...args], {
          env,
          stdio: ["ignore", "pipe", "pipe"],
        });
        let out = "";
        let err = "";
        child.stdout.setEncoding("utf8").on("data", (text: string) => {
          out += text;
        });
        child.stderr.setEncoding("utf8").on("data", (text: string) => {
          err += text;
        });
        child.once("error", reject);
        child.once("close", (code) => resolve({ code, out, err }));
        if (child.pid !== undefined) during?.(child.pid);
      }),
    remove: () => rm(folder, { recursive: true, force: true }),
  };
};
