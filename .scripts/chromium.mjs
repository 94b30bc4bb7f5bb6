// The browser that the tests drive.
import { spawnSync } from "node:child_process";
import { accessSync, constants } from "node:fs";
import path from "node:path";
import { Sentence } from "./setup.mjs";

const usable = (file) => {
  try {
    accessSync(file, constants.X_OK);
    return true;
  } catch {
    return false;
  }
};

export const onPath = (name) =>
  (process.env["PATH"] ?? "")
    .split(path.delimiter)
    .filter((folder) => folder !== "")
    .map((folder) => path.join(folder, name))
    .find(usable);

const elsewhere = {
  darwin: [
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
  ],
  win32: [
    "C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe",
    "C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe",
  ],
};

/** Path of a Chromium on this machine; null where there is none. CHROMIUM in the environment comes first. */
export const findChromium = () => {
  const named = process.env["CHROMIUM"];
  if (named) return usable(named) ? named : null;
  for (const name of ["chromium", "chromium-browser", "google-chrome-stable", "google-chrome"]) {
    const found = onPath(name);
    if (found !== undefined) return found;
  }
  return (elsewhere[process.platform] ?? []).find(usable) ?? null;
};

/** As findChromium, installing Debian's where there is none and apt is there. Throws a Sentence where that can't be done. */
export const ensureChromium = () => {
  const found = findChromium();
  if (found !== null) return found;
  if (process.env["CHROMIUM"]) throw new Sentence(`CHROMIUM is "${process.env["CHROMIUM"]}", which can't be run.`);
  const missing = "No Chromium was found for the browser tests";
  if (onPath("apt-get") === undefined) throw new Sentence(`${missing}. Install one, or name its program in CHROMIUM.`);
  const asRoot = process.getuid?.() === 0 ? [] : ["sudo", "-n"];
  if (asRoot.length > 0 && onPath("sudo") === undefined) {
    throw new Sentence(`${missing}, and only root can install one: apt-get install chromium.`);
  }
  const apt = (...args) => {
    const [command, ...rest] = [...asRoot, "apt-get", ...args];
    const env = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
    return spawnSync(command, rest, { env, stdio: ["ignore", "inherit", "inherit"] }).status === 0;
  };
  console.log("Installing chromium for the browser tests (apt-get install chromium) ...");
  const install = ["install", "-y", "--no-install-recommends", "chromium"];
  if (!apt(...install) && !(apt("update") && apt(...install))) {
    throw new Sentence(`${missing}, and apt-get could not install one: its own message is above.`);
  }
  const now = findChromium();
  if (now === null) throw new Sentence(`${missing}, although apt-get said that it installed one.`);
  return now;
};
