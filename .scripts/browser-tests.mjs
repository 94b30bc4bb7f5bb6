// Before the browser tests: the built page is served, and they are told where it is and which browser to drive.
import { existsSync } from "node:fs";
import path from "node:path";
import { ensureChromium } from "./chromium.mjs";
import { serve } from "./server.mjs";
import { root, Sentence } from "./setup.mjs";

export default async function setup(project) {
  const folder = path.join(root, "dist");
  if (!existsSync(path.join(folder, "index.html"))) throw new Sentence("There is no built page: run npm run build.");
  project.provide("chromium", ensureChromium());
  const served = await serve({ folder, port: 0 });
  project.provide("address", served.address);
  return served.stop;
}
