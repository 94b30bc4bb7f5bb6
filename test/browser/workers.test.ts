import { readFileSync } from "node:fs";
import path from "node:path";
import { createServer } from "vite";
import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, test } from "vitest";
import { hashPlane } from "../../src/decode/hash.ts";
import { frameNumber } from "../../src/units/index.ts";
import { fileOpener } from "../../workers/node/opener.ts";
import { checkByCommand, launch, openPage, root, sample, scratchFolder, writeArmShot } from "./support.ts";

const scratch = scratchFolder();
const shot = path.join(scratch.path, "hive_010");
let browser: Browser;

beforeAll(async () => {
  browser = await launch();
  await writeArmShot(shot);
});
afterAll(async () => {
  await browser.close();
  scratch.remove();
});

async function savedReport(page: Page): Promise<unknown> {
  const download = page.waitForEvent("download");
  await page.keyboard.press("s");
  return JSON.parse(readFileSync(await (await download).path(), "utf8"));
}

/** Every place at which two reports differ by more than 1e-6, or at all where it is no number. */
function differences(a: unknown, b: unknown, place = "report"): string[] {
  if (typeof a === "number" && typeof b === "number") {
    return Math.abs(a - b) <= 1e-6 ? [] : [`${place}: ${a} and ${b}`];
  }
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) {
    return a === b ? [] : [`${place}: ${JSON.stringify(a)} and ${JSON.stringify(b)}`];
  }
  const [left, right] = [a as Record<string, unknown>, b as Record<string, unknown>];
  return [...new Set([...Object.keys(left), ...Object.keys(right)])].flatMap((key) =>
    differences(left[key], right[key], `${place}.${key}`),
  );
}

test("page and command line give the same report of the sample shot, to a millionth", async () => {
  const json = path.join(scratch.path, "sample.json");
  expect(checkByCommand(sample("hive_010"), json)).toBe(1);
  const { page, answer, finish } = await openPage(browser);
  await page.getByRole("button", { name: "Check the sample shot" }).click();
  await answer();
  const byPage = await savedReport(page);
  expect(differences(byPage, JSON.parse(readFileSync(json, "utf8"))).slice(0, 10)).toEqual([]);
  await finish();
});

test("page and command line reduce a frame to the same luma, bit for bit", async () => {
  const server = await createServer({
    configFile: false,
    root,
    cacheDir: path.join(scratch.path, "vite"),
    logLevel: "error",
    server: { host: "127.0.0.1", port: 5300, hmr: false },
  });
  await server.listen();
  const address = `${server.resolvedUrls?.local[0]}test/browser/luma-page/`;
  const page = await browser.newPage();
  try {
    for (const number of [1, 24]) {
      const name = `hive_010_${String(number).padStart(4, "0")}.jpg`;
      const file = path.join(sample("hive_010"), name);
      await page.goto(address);
      await page.locator("input").setInputFiles(file);
      await page.waitForFunction(() => document.body.dataset.hash !== undefined);
      const luma = await fileOpener().luma(
        { frame: frameNumber(number), file: name, modified: null, source: file },
        640,
      );
      if ("problem" in luma) throw new Error(luma.problem);
      expect(await page.evaluate(() => document.body.dataset.hash)).toBe(hashPlane(luma));
    }
  } finally {
    await page.close();
    await server.close();
  }
});

test("a worker that dies in the middle of a check is replaced, and the report is the same", async () => {
  const calm = await openPage(browser);
  await calm.give("o", shot);
  await calm.answer();
  const wanted = await savedReport(calm.page);
  await calm.finish();

  const { page, give, answer, finish } = await openPage(browser);
  const started: string[] = [];
  page.on("worker", (worker) => started.push(worker.url()));
  await give("o", shot);
  await page.waitForFunction(() =>
    /[1-9]\d* of \d+ frames measured/.test(document.querySelector(".side")?.textContent ?? ""),
  );
  const measuring = page.workers().filter((worker) => worker.url().includes("measure"));
  expect(measuring.length).toBeGreaterThan(0);
  for (const worker of measuring) {
    await worker.evaluate(() => {
      setTimeout(() => {
        throw new Error("this worker is killed by a test");
      });
    });
  }
  await answer();
  const began = started.filter((address) => address.includes("measure")).length;
  expect(began).toBeGreaterThan(measuring.length);
  expect(differences(await savedReport(page), wanted).slice(0, 10)).toEqual([]);
  await finish();
});

test("cancel ends the check at once, ends its workers, and what is there can be checked again", async () => {
  const { page, give, answer, finish } = await openPage(browser);
  await give("o", shot);
  await page.getByRole("progressbar").waitFor();
  await page.waitForFunction(() =>
    /[1-9]\d* of \d+ frames measured/.test(document.querySelector(".side")?.textContent ?? ""),
  );
  const asked = Date.now();
  await page.keyboard.press("Escape");
  expect(await answer()).toMatch(/^Cancelled/);
  expect(Date.now() - asked).toBeLessThan(1500);
  await page.waitForTimeout(200);
  const left = page.workers().map((worker) => path.basename(worker.url()));
  expect(left.filter((name) => /measure|judge/.test(name))).toEqual([]);
  await page.getByRole("button", { name: "Check again" }).click();
  await page.getByRole("progressbar").waitFor();
  expect(await answer()).toMatch(/drifted$/);
  await finish();
});

test("opencv.js is loaded by the arrows view alone", async () => {
  const { page, give, answer, finish } = await openPage(browser);
  const asked: string[] = [];
  page.context().on("request", (request) => asked.push(request.url()));
  await give("o", shot);
  await answer();
  for (const key of ["1", "2", "3", "4"]) await page.keyboard.press(key);
  await page.waitForTimeout(500);
  expect(asked.filter((address) => address.includes("opencv"))).toEqual([]);
  await page.keyboard.press("5");
  await expect
    .poll(() => page.workers().some((worker) => worker.url().includes("opencv")), { timeout: 20_000 })
    .toBe(true);
  await page.waitForFunction(() => !document.querySelector(".table-words")?.textContent?.includes("on its way"), null, {
    timeout: 60_000,
  });
  expect(await page.locator(".notice").count()).toBe(0);
  await finish();
});
