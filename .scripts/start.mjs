// `npm start`: installs what is missing, builds, serves the page on this machine and opens it.
//   --no-open   prints the address and opens nothing
//   PORT        the port to serve at (otherwise the first free one from 4823)
import { spawn, spawnSync } from "node:child_process";
import path from "node:path";
import { inPlainWords, root, Sentence, setUp } from "./setup.mjs";
import { serve } from "./server.mjs";

const firstPort = 4823;

const wantedPort = () => {
  const text = process.env["PORT"];
  if (text === undefined || text === "") return null;
  const port = Number(text);
  if (!Number.isInteger(port) || port < 1 || port > 65535) throw new Sentence(`PORT is "${text}": that is no port.`);
  return port;
};

/** The program that opens an address in the default browser, or null where there is no desktop. */
const opener = () => {
  if (process.env["CI"]) return null;
  if (process.platform === "darwin") return ["open"];
  if (process.platform === "win32") return ["cmd", "/c", "start", ""];
  return process.env["DISPLAY"] || process.env["WAYLAND_DISPLAY"] ? ["xdg-open"] : null;
};

const open = (address) =>
  new Promise((resolve) => {
    const [command, ...args] = opener() ?? [];
    if (command === undefined) {
      resolve(false);
      return;
    }
    const child = spawn(command, [...args, address], { stdio: "ignore", detached: true });
    child.once("error", () => resolve(false));
    child.once("spawn", () => {
      child.unref();
      resolve(true);
    });
  });

/** Page first: its build empties dist/, where the command line lies too. */
const build = () => {
  const vite = path.join(root, "node_modules", "vite", "bin", "vite.js");
  for (const target of [[], ["--ssr"]]) {
    const { status } = spawnSync(process.execPath, [vite, "build", ...target, "--logLevel", "warn"], {
      cwd: root,
      stdio: ["ignore", "inherit", "inherit"],
    });
    if (status !== 0) throw new Sentence("The build failed: its own message is above.");
  }
};

await inPlainWords(async () => {
  const unknown = process.argv.slice(2).find((argument) => argument !== "--no-open");
  if (unknown !== undefined) throw new Sentence(`"${unknown}" is not known here. There is --no-open, and PORT.`);
  const port = wantedPort();
  setUp();
  console.log("Building ...");
  build();
  let served;
  try {
    served = await serve({ folder: path.join(root, "dist"), port: port ?? firstPort, orNext: port === null });
  } catch (error) {
    const taken = error instanceof Error && "code" in error && error.code === "EADDRINUSE";
    throw new Sentence(taken ? `Port ${port ?? firstPort} is taken.` : `The page can't be served: ${String(error)}.`);
  }
  const opened = !process.argv.includes("--no-open") && (await open(served.address));
  console.log(opened ? `Holdfast is open at ${served.address}` : `Holdfast is at ${served.address}`);
  console.log("Stop it with Ctrl-C.");
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"]) {
    process.once(signal, () => void served.stop().then(() => process.exit(0)));
  }
});
