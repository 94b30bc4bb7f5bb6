// Playing a shot of 1920 px on the built page in a window of 1920 x 1080, against a loop that does nothing but count, in the same run:
//   npm run bench -- playback [--folder sample-frames/hive_040] [--seconds 6] [--rounds 3]
// After the first pass (every frame is there), 24 and 30 frames a second are played by turns with an empty canvas that is
// cleared when a frame is due. A frame is drawn where its picture came onto the table's canvas before the next one was
// due. What the page draws is told as a ratio to what the empty loop came to, so that a screen that stutters by itself is
// not blamed on the page. Ends with 1 where the page dropped a frame that the empty loop did not. Only a machine that is
// free can show it. Needs the built page (npm run build).
import { existsSync } from "node:fs";
import path from "node:path";
import { parseArgs } from "node:util";
import { chromium, type Page } from "playwright";

const { values } = parseArgs({
  options: {
    folder: { type: "string", default: path.join("sample-frames", "hive_040") },
    seconds: { type: "string", default: "6" },
    rounds: { type: "string", default: "3" },
  },
});
const root = process.cwd();
/** Scripts that run before anything is built are no part of what a bench is built from. */
const script = (name: string): Promise<unknown> => import(/* @vite-ignore */ path.join(root, ".scripts", name));
const { findChromium } = (await script("chromium.mjs")) as { findChromium(): string | null };
const { serve } = (await script("server.mjs")) as {
  serve(options: { folder: string; port: number }): Promise<{ address: string; stop(): Promise<void> }>;
};

interface Counted {
  /** Frames that were due, and how many of them were drawn. */
  readonly due: number;
  readonly drawn: number;
}

/** What the page's own canvas shows: a line is written down whenever another picture is drawn onto it. */
function watchTable(): void {
  const log: number[] = [];
  let last: unknown = null;
  const draw = CanvasRenderingContext2D.prototype.drawImage;
  // What is patched is called with the very arguments that came.
  CanvasRenderingContext2D.prototype.drawImage = function patched(this: CanvasRenderingContext2D, ...all: unknown[]) {
    if (this.canvas.classList.contains("table-canvas") && all[0] !== last) {
      last = all[0];
      log.push(performance.now());
    }
    Reflect.apply(draw, this, all);
  } as typeof draw;
  Object.assign(window, { drawnOnTable: log });
}

/** Plays for some seconds and counts the pictures that changed on the table. */
async function playing(page: Page, fps: number, ms: number): Promise<Counted> {
  const start = await page.evaluate(() => performance.now());
  await page.keyboard.press(" ");
  await page.waitForTimeout(ms + 500);
  await page.keyboard.press(" ");
  return page.evaluate(
    ({ from, rate, length }) => {
      const log = (window as unknown as { drawnOnTable: number[] }).drawnOnTable.filter((time) => time >= from);
      // From the first picture on: what is due is counted from where playing began.
      const first = log[0] ?? from;
      // Half a frame before the end, so that rounding of the clock decides nothing.
      const end = first + Math.floor((length / 1000) * rate) * (1000 / rate) - 500 / rate;
      const drawn = log.filter((time) => time <= end).length;
      return { due: Math.floor((length / 1000) * rate), drawn };
    },
    { from: start, rate: fps, length: ms },
  );
}

/** The same by an empty canvas: how many changes a screen comes to that has nothing to draw. */
const emptyLoop = (page: Page, fps: number, ms: number): Promise<Counted> =>
  page.evaluate(
    ({ rate, length }) =>
      new Promise<Counted>((done) => {
        const table = document.querySelector<HTMLCanvasElement>(".table-canvas");
        const empty = document.createElement("canvas");
        [empty.width, empty.height] = [table?.width ?? 1280, table?.height ?? 720];
        empty.style.cssText = "position:fixed;left:0;top:0;pointer-events:none;opacity:0.01";
        document.body.append(empty);
        const context = empty.getContext("2d");
        const due = Math.floor((length / 1000) * rate);
        let [started, last, drawn] = [0, -1, 0];
        const tick = (now: number) => {
          if (started === 0) started = now;
          const frame = Math.floor(((now - started) / 1000) * rate);
          if (frame !== last && frame < due) {
            context?.clearRect(0, 0, empty.width, empty.height);
            drawn += 1;
            last = frame;
          }
          if (now - started < length) requestAnimationFrame(tick);
          else {
            empty.remove();
            done({ due, drawn });
          }
        };
        requestAnimationFrame(tick);
      }),
    { rate: fps, length: ms },
  );

const middle = (numbers: readonly number[]) => numbers.toSorted((a, b) => a - b)[Math.floor(numbers.length / 2)] ?? 0;

const dist = path.join(root, "dist");
const folder = path.resolve(root, values.folder);
const chrome = findChromium();
if (!existsSync(path.join(dist, "index.html")) || chrome === null || !existsSync(folder)) {
  console.error(`Needs the built page (npm run build), Chromium, and the frames in ${folder}.`);
  process.exit(2);
}
const served = await serve({ folder: dist, port: 0 });
const browser = await chromium.launch({
  executablePath: chrome,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"],
});
let met = true;
try {
  const page = await browser.newPage({ viewport: { width: 1920, height: 1080 } });
  page.on("filechooser", () => {});
  await page.addInitScript(watchTable);
  await page.addInitScript(() => {
    Reflect.deleteProperty(window, "showDirectoryPicker");
  });
  await page.goto(served.address);
  await page.locator("h1").waitFor();
  const chooser = page.waitForEvent("filechooser");
  await page.keyboard.press("o");
  await (await chooser).setFiles(folder);
  await page.waitForFunction(
    () => document.querySelector(".side h1")?.textContent && !document.querySelector("[role=progressbar]"),
    null,
    { timeout: 600_000 },
  );
  const size = await page.locator(".table-canvas").boundingBox();
  console.log(`${path.basename(folder)}, table ${Math.round(size?.width ?? 0)} x ${Math.round(size?.height ?? 0)} px`);
  const ms = 1000 * Number(values.seconds);
  const cdp = await page.context().newCDPSession(page);
  await cdp.send("Performance.enable");
  /** Processor time of the page's own thread, ms. */
  const spent = async () => {
    const { metrics } = await cdp.send("Performance.getMetrics");
    return 1000 * (metrics.find(({ name }) => name === "ThreadTime")?.value ?? Number.NaN);
  };
  for (const fps of [24, 30]) {
    // The key goes round all rates.
    const rate = page.locator(".rate", { hasText: `${fps} fps` });
    for (let tries = 0; tries < 5; tries++) if ((await rate.count()) === 0) await page.keyboard.press("Shift+Y");
    // The first pass: it fetches what it shows, and goes on till a whole round was without a late one.
    for (let pass = 0; pass < 6; pass++) {
      await playing(page, fps, ms);
      await page.keyboard.press(" ");
      await page.waitForTimeout(ms);
      const late = await page.locator(".rate .late").count();
      await page.keyboard.press(" ");
      if (late === 0) break;
    }
    const ratios: number[] = [];
    let [own, empty] = [0, 0];
    for (let round = 0; round < Number(values.rounds); round++) {
      const bare = await emptyLoop(page, fps, ms);
      const before = await spent();
      const played = await playing(page, fps, ms);
      const each = (await spent()) / played.drawn - before / played.drawn;
      ratios.push(played.drawn / bare.drawn);
      own += played.due - played.drawn;
      empty += bare.due - bare.drawn;
      console.log(
        `${fps} fps: ${played.drawn} of ${played.due} frames drawn; empty canvas ${bare.drawn} of ${bare.due}; ${each.toFixed(1)} ms of processor a frame of ${(1000 / fps).toFixed(1)}`,
      );
    }
    console.log(
      `${fps} fps: ${own} dropped in ${values.rounds} rounds, empty canvas ${empty}; ratio ${middle(ratios).toFixed(3)}`,
    );
    if (own > empty) met = false;
  }
} finally {
  await browser.close();
  await served.stop();
}
console.log(`No frame dropped that an empty canvas keeps: ${met ? "met" : "not met"}.`);
process.exitCode = met ? 0 : 1;
