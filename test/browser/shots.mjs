// Pictures of the page in every state, to look at: node test/browser/shots.mjs [folder for the pictures] [folder of a shot]
// Needs the built page (npm run build). Without a shot of its own it uses the sample.
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { chromium } from "playwright";
import { ensureChromium } from "../../.scripts/chromium.mjs";
import { serve } from "../../.scripts/server.mjs";
import { root } from "../../.scripts/setup.mjs";
import { writeNight } from "./fixtures/night.mjs";
import { longReport } from "./fixtures/long-report.mjs";

const out = path.resolve(process.argv[2] ?? path.join(root, ".cache", "shots"));
const shot = path.resolve(process.argv[3] ?? path.join(root, "sample-frames", "hive_010"));
const dist = process.env["HOLDFAST_DIST"] ?? path.join(root, "dist");
const fixtures = path.join(root, "test", "browser", "fixtures");
mkdirSync(out, { recursive: true });

const scratch = mkdtempSync(path.join(os.tmpdir(), "holdfast-shots-"));
const wrongSheet = path.join(scratch, "wrong", "hive_010");
cpSync(shot, wrongSheet, { recursive: true });
writeFileSync(
  path.join(wrongSheet, "holdfast-sheet.json"),
  JSON.stringify({
    format: "holdfast-sheet",
    version: 1,
    shot: { name: "hive_010" },
    parts: [
      {
        id: "cuff",
        name: "Cuff",
        kind: "costume",
        outlines: [
          {
            frame: 1,
            points: [
              [1, 1],
              [2, 2],
            ],
          },
        ],
      },
      {
        id: "arm",
        name: "Arm",
        kind: "limb",
        carrier: "torso",
        outlines: [
          {
            frame: 99,
            points: [
              [1, 1],
              [9, 2],
              [5, 8],
            ],
          },
        ],
      },
    ],
  }),
);
const two = path.join(scratch, "two");
mkdirSync(two);
for (const file of readdirSync(shot).filter((name) => /\.(jpg|png)$/.test(name))) {
  cpSync(path.join(shot, file), path.join(two, file));
  if (/000[1-5]\./.test(file)) cpSync(path.join(shot, file), path.join(two, `test_${file}`));
}

// The sample played six times over, so that a check lasts long enough to have its picture taken under way.
const long = path.join(scratch, "long");
mkdirSync(long);
const frames = readdirSync(shot)
  .filter((name) => /\.(jpg|png)$/.test(name))
  .sort();
for (let i = 0; i < frames.length * 6; i++) {
  const file = frames[i % frames.length];
  cpSync(path.join(shot, file), path.join(long, `hive_010_${String(i + 1).padStart(4, "0")}${path.extname(file)}`));
}
const sheet = JSON.parse(readFileSync(path.join(shot, "holdfast-sheet.json"), "utf8"));
for (const { intents } of [{ intents: sheet.camera ?? [] }, ...sheet.parts])
  for (const intent of intents ?? []) if (intent.to === frames.length) intent.to *= 6;
writeFileSync(path.join(long, "holdfast-sheet.json"), JSON.stringify(sheet));

const longFile = path.join(scratch, "hive_020.report.json");
writeFileSync(longFile, JSON.stringify(longReport()));

const served = await serve({ folder: dist, port: 0 });
const browser = await chromium.launch({
  executablePath: ensureChromium(),
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"],
});

const give = async (page, key, files) => {
  const chooser = page.waitForEvent("filechooser");
  await page.keyboard.press(key);
  await (await chooser).setFiles(files);
};
const checked = (page) =>
  page.waitForFunction(
    () => document.querySelector(".side h1")?.textContent && !document.querySelector("[role=progressbar]"),
    null,
    { timeout: 240_000 },
  );

/** A third of the way through. */
const underWay = (page) =>
  page.waitForFunction(
    () => {
      const bar = document.querySelector("[role=progressbar]");
      return bar !== null && Number(bar.getAttribute("aria-valuenow")) >= 33;
    },
    null,
    { timeout: 240_000 },
  );

/** The page as it prints, on both papers. */
const papers = async (page, name) => {
  for (const format of ["A4", "Letter"]) await page.pdf({ path: path.join(out, `${name}-${format}.pdf`), format });
};

/** The reports of a night run, taken on the bench. */
const takeNight = async (page) => {
  const night = path.join(scratch, "night");
  writeNight(night);
  await page.evaluate(() => {
    location.hash = "bench";
  });
  const chooser = page.waitForEvent("filechooser");
  await page.getByRole("button", { name: "Take report files" }).click();
  await (await chooser).setFiles(night);
  await page.getByText("10 reports of a night run").waitFor();
  await page.waitForTimeout(300);
};

const states = {
  empty: async () => {},
  checking: async (page) => {
    await give(page, "o", long);
    await page.waitForSelector("[role=progressbar]");
    await underWay(page);
  },
  flagged: async (page) => {
    await give(page, "o", shot);
    await checked(page);
    await page.waitForTimeout(500);
    for (const [key, name, wait] of [
      ["2", "flip", 300],
      ["3", "over", 900],
      ["4", "difference", 900],
      ["5", "arrows", 6000],
      ["6", "exaggerated", 2500],
      ["7", "held", 2500],
      ["Shift+X", "held-beside", 1500],
    ]) {
      await page.keyboard.press(key);
      await page.waitForTimeout(wait);
      await picture(page, name);
    }
    await page.keyboard.press("1");
    await page.keyboard.press("Shift+Q");
    await page.waitForTimeout(1200);
    await picture(page, "close-up");
    await page.keyboard.press("Shift+Q");
    const tracks = await page.locator(".timeline-tracks").first().boundingBox();
    await page.mouse.move(tracks.x + tracks.width * 0.55, tracks.y + 70);
    await page.waitForTimeout(300);
    await picture(page, "hover");
    await page.mouse.move(5, 5);
    await page.keyboard.press("Home");
    await page.waitForTimeout(400);
    await picture(page, "first-frame");
    await page.keyboard.press("End");
    await page.keyboard.press("b");
    await page.locator(".card-part").last().scrollIntoViewIfNeeded();
    await page.waitForTimeout(400);
    await picture(page, "easing");
    await page.keyboard.press("b");
    await page.locator("aside").evaluate((side) => {
      side.scrollTop = 1e6;
    });
    await page.waitForTimeout(300);
    await picture(page, "notes");
    await page.locator("aside").evaluate((side) => {
      side.scrollTop = 0;
    });
    await page.getByRole("button", { name: "Save" }).click();
    await page.waitForTimeout(300);
    await picture(page, "menu");
    await page.keyboard.press("Escape");
    await page.waitForTimeout(300);
  },
  tour: async (page) => {
    await give(page, "o", shot);
    await checked(page);
    await page.getByRole("button", { name: "Take the tour" }).click();
    for (let stop = 1; ; stop++) {
      await page.waitForTimeout(400);
      await picture(page, `tour-${stop}`);
      const done = page.getByRole("button", { name: "Done" });
      if ((await done.count()) > 0) break;
      await page.getByRole("button", { name: "Next", exact: true }).click();
    }
  },
  bench: async (page) => {
    await takeNight(page);
    await picture(page, "bench-often");
    await page.getByLabel("In the order of").selectOption("degrees");
    await page.getByRole("button", { name: "Log a repair" }).click();
    await page.getByLabel("What was done").fill("the new shoulder ball");
    await page.getByLabel("When, local time").fill("2026-03-09T18:00");
    await page.getByRole("button", { name: "Log it" }).click();
    await page.waitForTimeout(300);
    await page.locator(".row-detail").evaluate((place) => {
      place.scrollTop = 1e6;
    });
    await page.waitForTimeout(200);
    await picture(page, "bench-repaired");
    await page.getByRole("tab", { name: "Repairs" }).click();
    await picture(page, "bench-repairs");
    await page.getByRole("tab", { name: "Shots to come" }).click();
    await page
      .getByLabel("CSV: shot, day, puppets, note")
      .fill("hive_110,2026-03-16,oda\nhive_120,2026-03-17,oda A; bee");
    await page.getByRole("button", { name: "Add these" }).click();
    await page.waitForTimeout(200);
    await picture(page, "bench-coming");
    await page.getByRole("tab", { name: "Work list" }).click();
    await papers(page, "work-list");
    await page.getByRole("button", { name: /^Keep these/ }).click();
    await page.getByText("kept as shots").waitFor();
    await picture(page, "bench-kept");
  },
  dailies: async (page) => {
    await takeNight(page);
    await page.evaluate(() => {
      location.hash = "dailies";
    });
    await page.getByLabel("Shooting day").selectOption("2026-03-03");
    await page.waitForTimeout(500);
    await papers(page, "dailies");
  },
  workshop: async (page) => {
    await give(page, "o", shot);
    await checked(page);
    await page.waitForTimeout(300);
    await page.locator(".finding", { hasText: "sag" }).click();
    await page.getByRole("button", { name: "Causes and fixes" }).click();
    await page.waitForTimeout(300);
    await picture(page, "workshop-causes");
    await page.getByRole("button", { name: "Do the sum" }).click();
    await page.waitForTimeout(300);
    await picture(page, "workshop-load");
    const tabs = page.getByRole("tab");
    for (const [i, name] of [
      [2, "lining"],
      [3, "mix"],
      [4, "own"],
    ]) {
      await tabs.nth(i).click();
      await page.waitForTimeout(300);
      await picture(page, `workshop-${name}`);
    }
  },
  pages: async (page) => {
    await give(page, "o", shot);
    await checked(page);
    await page.keyboard.press("Shift+K");
    const chooser = page.waitForEvent("filechooser");
    await page.getByRole("button", { name: "Add plates" }).click();
    await (await chooser).setFiles([path.join(shot, frames[12])]);
    await page.waitForFunction(
      () => document.querySelector(".questions")?.textContent?.includes("against the last frame"),
      null,
      { timeout: 240_000 },
    );
    await picture(page, "strike");
    await page.pdf({ path: path.join(out, "strike.pdf"), format: "A4" });
    await page.keyboard.press("Shift+J");
    await page.waitForTimeout(300);
    await picture(page, "handover");
    await page.pdf({ path: path.join(out, "handover.pdf"), format: "A4" });
  },
  kept: async (page) => {
    await give(page, "o", shot);
    await checked(page);
    await page.waitForSelector(".judged");
    await page.waitForTimeout(400);
    await page.locator(".finding").first().click();
    await page.getByLabel("Who").fill("MB");
    await page.locator(".finding").first().click();
    await page.keyboard.press("Shift+L");
    await page.getByLabel("Note").fill("her sleeve hides it until she turns");
    await page.locator(".desk").scrollIntoViewIfNeeded();
    await page.waitForTimeout(1500);
    await picture(page, "verdict");
    // The input that stands in for the picker gives no way back to the folder.
    await page.reload();
    await page.waitForSelector(".frames-away");
    await page.waitForTimeout(400);
    await picture(page, "frames-away");
    await page.evaluate(() => sessionStorage.clear());
    await page.goto(served.address);
    await page.waitForSelector(".recent-shot img");
    await page.waitForTimeout(300);
    await picture(page, "recent");
    await page.keyboard.press("q");
    await page.waitForTimeout(400);
    await picture(page, "shots");
    await page.getByRole("button", { name: "Remove hive_010" }).click();
    await page.waitForTimeout(200);
  },
  prove: async (page) => {
    await give(page, "o", shot);
    await checked(page);
    await page.keyboard.press("y");
    await page.waitForTimeout(300);
    await picture(page, "prove-before");
    await page.getByRole("button", { name: "Prove it" }).click();
    await page.waitForTimeout(2500);
    await picture(page, "prove-under-way");
    await page.waitForSelector(".proof", { timeout: 400_000 });
    await page.waitForTimeout(300);
  },
  find: async (page) => {
    await give(page, "Shift+O", path.join(fixtures, "flagged.report.json"));
    await page.waitForSelector(".timeline");
    await page.waitForTimeout(300);
    await page.keyboard.press("/");
    await page.waitForTimeout(300);
    await picture(page, "find-all");
    await page.keyboard.type("left");
    await page.waitForTimeout(300);
  },
  parts: async (page) => {
    await give(page, "o", shot);
    await checked(page);
    await page.keyboard.press("e");
    await page.locator(".part-row", { hasText: "Left upper arm" }).click();
    await page.waitForTimeout(300);
    await picture(page, "parts-chosen");
    await page.locator("aside").evaluate((side) => {
      side.scrollTop = 700;
    });
    await page.waitForTimeout(200);
    await picture(page, "parts-form");
    await page.keyboard.press("Shift+C");
    for (const key of ["n", "n", "n"]) await page.keyboard.press(key);
    await page.waitForTimeout(300);
    await picture(page, "parts-corners");
    await page.keyboard.press("Escape");
    await page.keyboard.press("Escape");
    await page.keyboard.press("Shift+Q");
    const table = await page.locator(".table-canvas").boundingBox();
    await page.mouse.click(table.x + table.width * 0.4, table.y + table.height * 0.7);
    await page.mouse.click(table.x + table.width * 0.6, table.y + table.height * 0.7);
    await page.keyboard.type("85");
    await page.waitForTimeout(200);
    await picture(page, "parts-length");
    await page.keyboard.press("Escape");
    await page.locator(".tool", { hasText: "New part" }).click();
    for (const [x, y] of [
      [0.55, 0.3],
      [0.7, 0.3],
      [0.7, 0.5],
    ])
      await page.mouse.click(table.x + table.width * x, table.y + table.height * y);
    await page.mouse.move(table.x + table.width * 0.58, table.y + table.height * 0.55);
    await page.waitForTimeout(200);
    await picture(page, "parts-draw");
    await page.getByRole("button", { name: "Close", exact: true }).click();
    await page.keyboard.type("Wall");
    await page.keyboard.press("Enter");
    const tracks = await page.locator(".timeline-tracks").first().boundingBox();
    const name = await page.locator(".strip-name", { hasText: "Left upper arm" }).boundingBox();
    await page.mouse.move(tracks.x + tracks.width * 0.35, name.y + 12);
    await page.mouse.down();
    await page.mouse.move(tracks.x + tracks.width * 0.5, name.y + 12);
    await page.mouse.move(tracks.x + tracks.width * 0.7, name.y + 12);
    await page.mouse.up();
    await page.locator(".intent", { hasText: "Moves" }).click();
    await page.waitForTimeout(400);
    await picture(page, "parts-old");
    await page.keyboard.press("e");
    await page.waitForTimeout(300);
  },
  keys: async (page) => {
    await page.keyboard.press("?");
    await page.waitForTimeout(300);
  },
  choice: async (page) => {
    await give(page, "o", two);
    await page.waitForSelector("[role=dialog]");
    await page.waitForTimeout(300);
  },
  failed: async (page) => {
    await give(page, "o", wrongSheet);
    await page.waitForSelector("[role=alert]");
    await page.waitForTimeout(600);
  },
  cancelled: async (page) => {
    await give(page, "o", long);
    await page.waitForSelector("[role=progressbar]");
    await underWay(page);
    await page.keyboard.press("Escape");
    await page.waitForTimeout(500);
  },
  report: async (page) => {
    await give(page, "Shift+O", path.join(fixtures, "flagged.report.json"));
    await page.waitForSelector(".timeline");
    await page.waitForTimeout(400);
  },
  timeline: async (page) => {
    await give(page, "Shift+O", longFile);
    await page.waitForSelector(".timeline");
    await page.waitForTimeout(600);
    await picture(page, "timeline-whole");
    await page.keyboard.press("m");
    for (let i = 0; i < 3; i++) await page.keyboard.press("a");
    await page.waitForTimeout(300);
    await picture(page, "timeline-time");
    for (let i = 0; i < 2; i++) await page.keyboard.press("a");
    await page.keyboard.press("n");
    await page.keyboard.press("h");
    for (let i = 0; i < 8; i++) await page.keyboard.press(".");
    for (let i = 0; i < 6; i++) await page.keyboard.press("<");
    await page.waitForTimeout(300);
    await picture(page, "timeline-close");
    await page.keyboard.press("Shift+F");
    await page.waitForTimeout(300);
    await picture(page, "timeline-folded");
    await page.keyboard.press("Shift+F");
  },
  kinds: async (page) => {
    await give(page, "Shift+O", path.join(fixtures, "kinds.report.json"));
    await page.waitForSelector(".timeline");
    await page.waitForTimeout(400);
    await page.locator(".finding", { hasText: "crawl" }).click();
    await page.waitForTimeout(300);
    await picture(page, "kinds-crawl");
    await page.locator(".finding", { hasText: "stray" }).click();
    await page.waitForTimeout(300);
  },
  clean: async (page) => {
    await give(page, "Shift+O", path.join(fixtures, "clean.report.json"));
    await page.waitForSelector(".timeline");
    await page.waitForTimeout(400);
  },
  unmeasured: async (page) => {
    await give(page, "Shift+O", path.join(fixtures, "unmeasured.report.json"));
    await page.waitForSelector(".timeline");
    await page.waitForTimeout(400);
  },
  refused: async (page) => {
    await give(page, "Shift+O", path.join(root, "package.json"));
    await page.waitForSelector(".notice");
    await page.waitForTimeout(300);
  },
};

let ground = "";
let width = 0;
const picture = (page, name) => page.screenshot({ path: path.join(out, `${name}-${ground}-${width}.png`) });

const only = process.env["HOLDFAST_STATES"]?.split(",");
try {
  for (const [scheme, name] of [
    ["dark", "dim"],
    ["light", "bright"],
  ]) {
    for (const [w, height] of [
      [1440, 900],
      [1024, 768],
    ]) {
      [ground, width] = [name, w];
      if (process.env["HOLDFAST_ONLY"] && process.env["HOLDFAST_ONLY"] !== `${name}-${w}`) continue;
      for (const [state, reach] of Object.entries(states)) {
        if (only && !only.includes(state)) continue;
        const page = await browser.newPage({ viewport: { width: w, height }, colorScheme: scheme });
        page.on("console", (message) => console.log(`${state}: ${message.type()}: ${message.text()}`));
        page.on("pageerror", (error) => console.log(`${state}: ${error.stack}`));
        // The picker of folders can't be driven without a person; the input stands in.
        await page.addInitScript(() => {
          delete window.showDirectoryPicker;
        });
        // Asked for early: the browser needs a moment before it hands its dialogs over.
        page.on("filechooser", () => {});
        await page.goto(served.address);
        await page.waitForSelector("h1");
        await page.waitForTimeout(200);
        await reach(page);
        await picture(page, state);
        await page.close();
      }
    }
  }
} finally {
  await browser.close();
  await served.stop();
  rmSync(scratch, { recursive: true });
}
