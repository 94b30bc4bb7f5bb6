// What `npm start` and `npm test` do before anything else. Only Node's own modules here: nothing is installed yet.
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import path from "node:path";

export const root = path.dirname(import.meta.dirname);

/** A failure that a person can act on: printed as one sentence, without a stack. */
export class Sentence extends Error {}

/** Runs `work`; a Sentence is printed alone, anything else with its stack. Both end with exit code 1. */
export const inPlainWords = async (work) => {
  try {
    await work();
  } catch (error) {
    console.error(error instanceof Sentence ? error.message : error);
    process.exitCode = 1;
  }
};

/** Runs one of npm's commands in the project folder, its output passed through. True where it went well. */
const npm = (...args) => {
  const cli = process.env["npm_execpath"];
  const throughNode = cli !== undefined && /npm-cli\.c?js$/.test(cli);
  const run = throughNode
    ? spawnSync(process.execPath, [cli, ...args], { cwd: root, stdio: ["ignore", "inherit", "inherit"] })
    : spawnSync("npm", args, {
        cwd: root,
        stdio: ["ignore", "inherit", "inherit"],
        shell: process.platform === "win32",
      });
  return run.status === 0;
};

/**
 * What keeps `node_modules` from being what the lock file asks for, as a phrase; null where they agree. Compares
 * versions and checksums with the copy of the lock that npm leaves in `node_modules`; packages for other machines
 * (optional ones) may be missing.
 */
export const whyInstall = (folder = root) => {
  const lock = JSON.parse(readFileSync(path.join(folder, "package-lock.json"), "utf8"));
  const trace = path.join(folder, "node_modules", ".package-lock.json");
  if (!existsSync(trace)) return "nothing is installed yet";
  const installed = JSON.parse(readFileSync(trace, "utf8")).packages;
  for (const [place, wanted] of Object.entries(lock.packages)) {
    if (place === "") continue;
    const found = installed[place];
    if (found === undefined) {
      if (wanted.optional || wanted.devOptional) continue;
      return `${place.replace(/^node_modules\//, "")} is missing`;
    }
    if (found.version !== wanted.version || found.integrity !== wanted.integrity) {
      return `${place.replace(/^node_modules\//, "")} is ${found.version}, wanted ${wanted.version}`;
    }
  }
  for (const place of Object.keys(installed)) {
    if (lock.packages[place] === undefined) return `${place.replace(/^node_modules\//, "")} is no longer wanted`;
  }
  return null;
};

/** Installs what the lock file asks for, where it isn't there already. */
export const setUp = () => {
  const [major, minor] = process.versions.node.split(".").map(Number);
  if (major < 20 || (major === 20 && minor < 19)) {
    throw new Sentence(`This needs Node 20.19 or later; this is Node ${process.versions.node}.`);
  }
  const why = whyInstall();
  if (why === null) return;
  console.log(`Installing packages (${why}) ...`);
  if (!npm("ci", "--include=dev", "--no-audit", "--no-fund", "--loglevel=error")) {
    throw new Sentence("The packages could not be installed: npm's own message is above. Is the network there?");
  }
};
