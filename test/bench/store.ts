// The bench page over a store of many shots: how long it takes to open, beside reading the very rows of their tracks, and
// whether it scrolls as freely as an empty page, as ratios in one run of the built page (npm run build) in Chromium:
//
//   npm run bench -- store [--shots 300] [--parts 30] [--frames 48]
import path from "node:path";
import { parseArgs } from "node:util";
import { chromium } from "playwright";
import { HOLDS_VERSION, type Report, summariseHolds, type Track } from "../../src/model/index.ts";
import { packReport } from "../../src/store/pack-report.ts";
import { DATABASE } from "../../src/store/adapters/indexed-db/database.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { flagOf, partOf, reportOf, rowOf, square } from "../support/ui-report.ts";

const { values } = parseArgs({
  options: {
    shots: { type: "string", default: "300" },
    parts: { type: "string", default: "30" },
    frames: { type: "string", default: "48" },
  },
});
const [shots, parts, frames] = [values.shots, values.parts, values.frames].map(Number);
/** Opening takes at most so many times what reading the rows takes; scrolling keeps at least this share of an empty page's frames. */
const OPENS_WITHIN = 3;
const SCROLLS_AT = 0.9;
const PUPPETS = 5;
const ROUNDS = 3;

const root = process.cwd();
const script = (name: string): Promise<unknown> => import(/* @vite-ignore */ path.join(root, ".scripts", name));
const { findChromium } = (await script("chromium.mjs")) as { findChromium(): string | null };
const { serve } = (await script("server.mjs")) as {
  serve(options: { folder: string; port: number }): Promise<{ address: string; stop(): Promise<void> }>;
};

const random = createRandom(20260310);
const numbers = Array.from({ length: frames }, (_, i) => i + 1);

/** A shot of one copy of one puppet; every tenth of its parts sags. */
function shotReport(shot: number): Report {
  const puppet = `puppet-${shot % PUPPETS}`;
  const copy = shot % 2 === 0 ? "A" : "B";
  const ids = Array.from({ length: parts }, (_, i) => `part-${i + 1}`);
  const tracks = ids.flatMap((id, place) =>
    numbers.slice(1).map((frame): Track => {
      const drift = place % 10 === 0 ? (frame - 1) * 0.04 : 0;
      const noise = () => 0.01 * random.normal();
      return rowOf(id, frame, { dx: px(noise()), dy: px(drift + noise()), turn: radians(1e-4 * random.normal()) });
    }),
  );
  const day = String(1 + (shot % 28)).padStart(2, "0");
  return reportOf(numbers, {
    parts: ids.map((id, i) => partOf(id, { puppet, copy, outline: square(40 * (i % 20), 60 * Math.floor(i / 20)) })),
    tracks,
    frames: numbers.map((frame) => ({
      frame: frameNumber(frame),
      file: `hive_${frame}.jpg`,
      time: `2026-03-${day}T${String(9 + Math.floor(frame / 30)).padStart(2, "0")}:${String((frame * 2) % 60).padStart(2, "0")}:00`,
      lightStops: null,
      camera: null,
    })),
    flags: ids
      .filter((_, i) => i % 10 === 0)
      .map((part) => flagOf({ id: `sag-${part}`, part, from: frameNumber(2), to: frameNumber(frames) })),
  });
}

const at = "2026-03-30T12:00:00Z";
const rowsOf = (shot: number) => {
  const report = shotReport(shot);
  const id = `shot-${shot}`;
  const packed = packReport(report);
  const name = `hive_${String(shot).padStart(3, "0")}`;
  const record = {
    id,
    production: "bench",
    name,
    take: 1,
    folder: name,
    sequence: name,
    fps: 24,
    width: report.shot.width,
    height: report.shot.height,
    firstFrame: 1,
    lastFrame: frames,
    frameCount: frames,
    shootingDay: report.frames[0].time?.slice(0, 10) ?? null,
    fingerprint: id,
    report: id,
    made: at,
    changed: at,
  };
  return {
    record,
    packed: { ...packed, numbers: [...packed.numbers], whole: [...packed.whole] },
    holds: summariseHolds(report, null).map((hold) => ({ ...hold, trace: [...hold.trace] })),
  };
};

const executablePath = findChromium();
if (executablePath === null) throw new Error("there is no Chromium");
const served = await serve({ folder: path.join(root, "dist"), port: 0 });
const browser = await chromium.launch({ executablePath, args: ["--no-sandbox", "--disable-gpu", "--disable-quic"] });
const context = await browser.newContext({ viewport: { width: 1440, height: 900 } });
const page = await context.newPage();
await page.goto(served.address);
await page.getByRole("heading", { level: 1 }).waitFor();
await page.waitForTimeout(500);

const production = { id: "bench", name: "Bench", made: at, changed: at };
for (let shot = 0; shot < shots; shot++) {
  await page.evaluate(
    async ({ database, version, rows, first }) => {
      const open = indexedDB.open(database);
      const db = await new Promise<IDBDatabase>((resolve, reject) => {
        open.addEventListener("success", () => resolve(open.result));
        open.addEventListener("error", () => reject(open.error ?? new Error("it can't be opened")));
      });
      const write = db.transaction(["production", "shot", "report", "holds"], "readwrite");
      const { record, packed, holds } = rows;
      const { id } = record;
      if (first !== null) write.objectStore("production").put({ id: first.id, revision: 1, value: first });
      write.objectStore("shot").put({ id, revision: 1, shot: id, production: record.production, value: record });
      const report = { ...packed, numbers: new Float64Array(packed.numbers), whole: new Int32Array(packed.whole) };
      write
        .objectStore("report")
        .put({ id, revision: 1, shot: id, value: { id, shot: id, report, changed: record.changed } });
      const kept = holds.map((hold) => ({
        ...hold,
        trace: new Float32Array(hold.trace.map((each) => each ?? Number.NaN)),
      }));
      write.objectStore("holds").put({ id, revision: 1, shot: id, value: { id, shot: id, version, holds: kept } });
      await new Promise<void>((resolve, reject) => {
        write.addEventListener("complete", () => resolve());
        write.addEventListener("error", () => reject(write.error ?? new Error("it can't be written")));
      });
      db.close();
    },
    { database: DATABASE, version: HOLDS_VERSION, rows: rowsOf(shot), first: shot === 0 ? production : null },
  );
}

const median = (all: readonly number[]): number => all.toSorted((a, b) => a - b)[Math.floor(all.length / 2)];
const reads: number[] = [];
const opens: number[] = [];
let listed = 0;
let longest = 0;
for (let round = 0; round < ROUNDS; round++) {
  await page.goto("about:blank");
  await page.goto(served.address);
  await page.getByRole("heading", { level: 1 }).waitFor();
  await page.waitForTimeout(800);
  // The rows of all tracks, as they lie in the store, and nothing made of them.
  reads.push(
    await page.evaluate(async (database) => {
      const open = indexedDB.open(database);
      const db = await new Promise<IDBDatabase>((resolve) => {
        open.addEventListener("success", () => resolve(open.result));
      });
      const began = performance.now();
      const ask = db.transaction("report").objectStore("report").getAll();
      const rows = await new Promise<number>((resolve) => {
        ask.addEventListener("success", () => resolve(ask.result.length));
      });
      const took = performance.now() - began;
      db.close();
      return rows > 0 ? took : Number.NaN;
    }, DATABASE),
  );
  const opened = await page.evaluate(async () => {
    let blocked = 0;
    const observer = new PerformanceObserver((list) => {
      for (const { duration } of list.getEntries()) blocked = Math.max(blocked, duration);
    });
    observer.observe({ entryTypes: ["longtask"] });
    const began = performance.now();
    location.hash = "bench";
    await new Promise<void>((resolve) => {
      const look = () => (document.querySelector(".drift") === null ? requestAnimationFrame(look) : resolve());
      look();
    });
    const took = performance.now() - began;
    await new Promise((resolve) => setTimeout(resolve, 400));
    observer.disconnect();
    return { took, rows: document.querySelectorAll(".drift").length, blocked };
  });
  opens.push(opened.took);
  listed = opened.rows;
  longest = Math.max(longest, opened.blocked);
}

/** Frames while something scrolls for two seconds, 12 px a frame. */
const frameCount = (selector: string): Promise<number> =>
  page.evaluate(
    (place) =>
      new Promise<number>((resolve) => {
        const room = document.querySelector(place);
        if (room === null) return resolve(Number.NaN);
        let count = 0;
        let way = 12;
        const began = performance.now();
        const step = () => {
          if (performance.now() - began > 2000) return resolve(count);
          count += 1;
          if (room.scrollTop + room.clientHeight >= room.scrollHeight - 1) way = -12;
          if (room.scrollTop === 0) way = 12;
          room.scrollTop += way;
          requestAnimationFrame(step);
        };
        requestAnimationFrame(step);
      }),
    selector,
  );
const [benched, empty]: [number[], number[]] = [[], []];
for (let round = 0; round < ROUNDS; round++) {
  benched.push(await frameCount(".drifts-list"));
  await page.evaluate(() => {
    const room = document.createElement("div");
    room.id = "empty-room";
    room.style.cssText = "position:fixed;inset:0;overflow:auto;z-index:99;background:#888";
    room.innerHTML = '<div style="height:24000px"></div>';
    document.body.append(room);
  });
  empty.push(await frameCount("#empty-room"));
  await page.evaluate(() => document.querySelector("#empty-room")?.remove());
}
await browser.close();
await served.stop();

const [read, open] = [median(reads), median(opens)];
const ratio = open / read;
const scroll = median(benched) / median(empty);
const fixed = (value: number, places = 0) => value.toFixed(places);
console.log(`${shots} shots x ${parts} parts x ${frames} frames; ${listed} rows on the bench.`);
console.log(`reading the rows of the tracks: ${fixed(read)} ms`);
console.log(`opening the bench:              ${fixed(open)} ms, ${fixed(ratio, 2)} times (at most ${OPENS_WITHIN})`);
console.log(`longest task meanwhile:         ${fixed(longest)} ms`);
console.log(
  `scrolling:                      ${fixed(scroll, 3)} of an empty page's frames (${median(benched)} of ${median(empty)} in 2 s; at least ${SCROLLS_AT})`,
);
const fine = ratio <= OPENS_WITHIN && scroll >= SCROLLS_AT;
if (!fine) console.log("A line of this isn't met.");
process.exitCode = fine ? 0 : 1;
