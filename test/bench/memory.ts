// Memory of the built page (with its workers) while it checks large frames, and what is left after a cancel:
//   npm run bench -- memory [--frames 240] [--short 24] [--workers N]
// Shots of 24-megapixel JPEGs are made in a scratch folder (the sample's frames enlarged, used again and again) and
// opened in Chromium. Told: the largest and the usual proportional set size of all renderer processes, for the short shot
// and for the long one in the same run. `--workers` makes the page believe in so many cores. Needs the built page (npm run build) and Linux.
import { existsSync, linkSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";
import { chromium, type Page } from "playwright";
import sharp from "sharp";

const { values } = parseArgs({
  options: {
    frames: { type: "string", default: "240" },
    short: { type: "string", default: "24" },
    workers: { type: "string", default: "" },
  },
});
const root = process.cwd();
/** Scripts that run before anything is built are no part of what a bench is built from. */
const script = (name: string): Promise<unknown> => import(/* @vite-ignore */ path.join(root, ".scripts", name));
const { findChromium } = (await script("chromium.mjs")) as { findChromium(): string | null };
const { serve } = (await script("server.mjs")) as {
  serve(options: { folder: string; port: number }): Promise<{ address: string; stop(): Promise<void> }>;
};
const WIDTH = 6000;
const HEIGHT = 4000;
/** What page and workers may take together, GB. */
const LIMIT_GB = 1.5;

/** Proportional set size of the browser's renderers, bytes: the page and its workers live in them. */
function renderersOf(browser: number): number {
  const parents = new Map<number, number>();
  for (const entry of readdirSync("/proc")) {
    if (!/^\d+$/.test(entry)) continue;
    try {
      const stat = readFileSync(`/proc/${entry}/stat`, "utf8");
      parents.set(Number(entry), Number(stat.slice(stat.lastIndexOf(")") + 2).split(" ")[1]));
    } catch {
      // It ended meanwhile.
    }
  }
  const isOurs = (pid: number): boolean => {
    for (let at: number | undefined = pid; at !== undefined && at > 1; at = parents.get(at))
      if (at === browser) return true;
    return false;
  };
  let bytes = 0;
  for (const pid of parents.keys()) {
    if (!isOurs(pid)) continue;
    try {
      if (!readFileSync(`/proc/${pid}/cmdline`, "utf8").includes("--type=renderer")) continue;
      bytes += Number(/^Pss:\s+(\d+)/m.exec(readFileSync(`/proc/${pid}/smaps_rollup`, "utf8"))?.[1] ?? 0) * 1024;
    } catch {
      // It ended meanwhile.
    }
  }
  return bytes;
}

async function makeShot(folder: string, frames: number, pictures: readonly string[]): Promise<void> {
  mkdirSync(folder, { recursive: true });
  for (let i = 0; i < frames; i++)
    linkSync(pictures[i % pictures.length], path.join(folder, `big_${String(i + 1).padStart(4, "0")}.jpg`));
  await Promise.resolve();
}

interface Watched {
  readonly largest: number;
  readonly usual: number;
  readonly seconds: number;
}

/** Opens a folder and watches the memory until the answer is there, or until `stop` says that it is enough. */
async function watch(
  page: Page,
  pid: number,
  folder: string,
  stop: (page: Page) => Promise<boolean>,
): Promise<Watched> {
  const seen: number[] = [];
  const start = Date.now();
  const chooser = page.waitForEvent("filechooser");
  await page.keyboard.press("o");
  await (await chooser).setFiles(folder);
  for (;;) {
    seen.push(renderersOf(pid));
    if (await stop(page)) break;
    if (Date.now() - start > 1_800_000) throw new Error("the check did not end within half an hour");
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  const sorted = seen.toSorted((a, b) => a - b);
  return {
    largest: sorted[sorted.length - 1],
    usual: sorted[sorted.length >> 1],
    seconds: (Date.now() - start) / 1000,
  };
}

const gb = (bytes: number): string => `${(bytes / 1e9).toFixed(2)} GB`;

const dist = path.join(root, "dist");
if (!existsSync(path.join(dist, "index.html"))) throw new Error("dist/ is not built: npm run build");
const executablePath = findChromium();
if (executablePath === null) throw new Error("there is no Chromium");

const scratch = mkdtempSync(path.join(os.tmpdir(), "holdfast-memory-"));
const served = await serve({ folder: dist, port: 0 });
const server = await chromium.launchServer({
  executablePath,
  args: [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
  ],
});
try {
  const sample = path.join(root, "sample-frames", "hive_010");
  const small = readdirSync(sample).filter((name) => name.endsWith(".jpg"));
  const pictures: string[] = [];
  console.log(`Making ${small.length} frames of ${WIDTH} x ${HEIGHT} px ...`);
  for (const name of small) {
    const to = path.join(scratch, name);
    await sharp(path.join(sample, name)).resize(WIDTH, HEIGHT, { fit: "fill" }).jpeg({ quality: 90 }).toFile(to);
    pictures.push(to);
  }
  const lengths = { short: Number(values.short), long: Number(values.frames) };
  await makeShot(path.join(scratch, "short"), lengths.short, pictures);
  await makeShot(path.join(scratch, "long"), lengths.long, pictures);
  const browser = await chromium.connect(server.wsEndpoint());
  const pid = server.process().pid ?? 0;
  const opened = async (): Promise<Page> => {
    const page = await browser.newPage();
    page.on("filechooser", () => {});
    await page.addInitScript(() => {
      Reflect.deleteProperty(window, "showDirectoryPicker");
    });
    if (values.workers !== "")
      await page.addInitScript((cores) => {
        Object.defineProperty(Navigator.prototype, "hardwareConcurrency", { get: () => cores });
      }, Number(values.workers));
    await page.goto(served.address);
    await page.getByRole("heading", { level: 1 }).waitFor();
    return page;
  };
  const isAnswered = async (page: Page): Promise<boolean> =>
    page.evaluate(() => {
      const text = document.body.innerText;
      return !/^Checking/m.test(text) && /drifted|failed|could not|can't/i.test(text);
    });
  const results: Watched[] = [];
  for (const [name, frames] of Object.entries(lengths)) {
    const page = await opened();
    await new Promise((resolve) => setTimeout(resolve, 1000));
    const watched = await watch(page, pid, path.join(scratch, name), isAnswered);
    results.push(watched);
    console.log(
      `${frames} frames: largest ${gb(watched.largest)}, usual ${gb(watched.usual)}, ${(watched.seconds / frames).toFixed(2)} s a frame`,
    );
    await page.close();
  }
  const page = await opened();
  let samples = 0;
  await watch(page, pid, path.join(scratch, "long"), () => Promise.resolve(++samples > 120));
  const busy = renderersOf(pid);
  await page.keyboard.press("Escape");
  await new Promise((resolve) => setTimeout(resolve, 5000));
  const after = renderersOf(pid);
  console.log(`cancelled: ${gb(busy)} before, ${gb(after)} five seconds after`);
  const [short, long] = results;
  console.log(
    `long against short: largest x ${(long.largest / short.largest).toFixed(2)}, usual x ${(long.usual / short.usual).toFixed(2)}`,
  );
  const ok = long.largest < LIMIT_GB * 1e9;
  console.log(`${ok ? "ok" : "MISSED"}: page and workers together under ${LIMIT_GB} GB`);
  if (!ok) process.exitCode = 1;
  await browser.close();
} finally {
  await server.close();
  await served.stop();
  rmSync(scratch, { recursive: true, force: true });
}
