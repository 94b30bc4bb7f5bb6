// Puts the sample shots beside the page, with a list of their files, for the page's one click.
import { existsSync, readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { root } from "./setup.mjs";

const shots = ["hive_010", "hive_010_true", "hive_020", "hive_030", "hive_040"];
const folderOf = (shot) => path.join(root, "sample-frames", shot);

const filesOf = (shot) =>
  existsSync(folderOf(shot))
    ? readdirSync(folderOf(shot))
        .filter((file) => /\.(jpe?g|png)$/i.test(file) || file === "holdfast-sheet.json")
        .sort()
    : [];

const manifest = () =>
  JSON.stringify({
    shots: shots.map((folder) => ({ folder, files: filesOf(folder) })).filter(({ files }) => files.length > 0),
  });

/** @returns {import("vite").Plugin} */
export const sampleShots = () => ({
  name: "sample-shots",
  configureServer(server) {
    server.middlewares.use("/sample", (request, response, next) => {
      const asked = decodeURIComponent((request.url ?? "").split("?")[0]).slice(1);
      if (asked === "manifest.json") {
        response.setHeader("content-type", "application/json");
        response.end(manifest());
        return;
      }
      const [shot, file] = asked.split("/");
      if (!shots.includes(shot) || !filesOf(shot).includes(file)) next();
      else response.end(readFileSync(path.join(folderOf(shot), file)));
    });
  },
  generateBundle() {
    this.emitFile({ type: "asset", fileName: "sample/manifest.json", source: manifest() });
    for (const shot of shots) {
      for (const file of filesOf(shot)) {
        this.emitFile({
          type: "asset",
          fileName: `sample/${shot}/${file}`,
          source: readFileSync(path.join(folderOf(shot), file)),
        });
      }
    }
  },
});
