// Photographs that the reference tests measure on. They come with Debian's opencv-doc; only the two files that are
// needed are taken out of the package, into the cache, and nothing is installed.
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, rmSync } from "node:fs";
import path from "node:path";
import { onPath } from "./chromium.mjs";
import { root } from "./setup.mjs";

const folder = path.join(root, ".cache", "photographs");
const inPackage = "./usr/share/doc/opencv-doc/examples/data";
const names = ["rubberwhale1.png", "rubberwhale2.png"];

const have = (place) =>
  names.every((name) => existsSync(path.join(place, name)) || existsSync(path.join(place, `${name}.gz`)));

/** Where the photographs are; null where they can't be had, with one sentence on the console. */
export const ensurePhotographs = () => {
  const installed = inPackage.slice(1);
  if (have(installed)) return installed;
  if (have(folder)) return folder;
  const without = "the tests on photographs are skipped";
  if (["apt-get", "dpkg-deb", "tar"].some((name) => onPath(name) === undefined)) {
    console.log(`There is no apt-get here to fetch Debian's opencv-doc with: ${without}.`);
    return null;
  }
  console.log("Fetching two photographs for the reference tests (apt-get download opencv-doc, 96 MB) ...");
  mkdirSync(folder, { recursive: true });
  const run = (command, ...args) =>
    spawnSync(command, args, { cwd: folder, stdio: ["ignore", "ignore", "ignore"], timeout: 300_000 }).status === 0;
  const fetched =
    run("apt-get", "download", "opencv-doc") || (run("apt-get", "update") && run("apt-get", "download", "opencv-doc"));
  const archive = readdirSync(folder).find((name) => name.endsWith(".deb"));
  if (fetched && archive !== undefined) {
    run(
      "sh",
      "-c",
      `dpkg-deb --fsys-tarfile "$0" | tar -x --strip-components=7 --wildcards '${inPackage}/rubberwhale*'`,
      archive,
    );
    rmSync(path.join(folder, archive));
  }
  if (have(folder)) return folder;
  console.log(`apt-get could not fetch opencv-doc: ${without}.`);
  return null;
};
