import { readFileSync } from "node:fs";
import type { Browser } from "playwright";
import { afterAll, beforeAll, expect, test } from "vitest";
import { parseReport, parseSheet } from "../../src/model/index.ts";
import { launch, openPage, sample } from "./support.ts";

interface Truth {
  readonly expected: readonly { readonly kind: string; readonly part: string | null; readonly px: number }[];
}

let browser: Browser;
beforeAll(async () => {
  browser = await launch();
});
afterAll(() => browser.close());

test("the sample shot is one click away, checks itself, and its flags tell what was built into it", async () => {
  const truth = JSON.parse(readFileSync(`${sample("hive_010")}/truth.json`, "utf8")) as Truth;
  const { page, answer, finish } = await openPage(browser);
  await page.getByRole("button", { name: "Check the sample shot" }).click();
  expect(await answer()).toBe(`${truth.expected.length} things drifted`);
  const findings = page.locator(".finding");
  expect(await findings.count()).toBe(truth.expected.length);

  // A finding leads to its last frame, its sentence and its trace.
  await findings.first().click();
  // The strip at the playhead names the finding's own number.
  const size = Number.parseFloat((await findings.first().locator(".finding-size").textContent()) ?? "");
  const told = (await page.locator(".strip-reading.beyond").allTextContents()).find((words) =>
    words.startsWith("far end"),
  );
  expect(told).toMatch(/^far end \d\.\d{3} ± \d\.\d{3} px$/u);
  expect(Math.abs(Number.parseFloat(told?.slice(8) ?? "") - size)).toBeLessThan(0.0051);
  const sentence = await page.locator(".card h2").textContent();
  expect(sentence).toMatch(/px/);
  expect(await page.locator(".card .trace").getAttribute("aria-label")).toContain("Drift of");

  // What comes next, and the ghost to put it back by, drawn on the picture.
  expect(await page.locator(".card-part").allTextContents()).toEqual([
    expect.stringMatching(/^What comes next.*px at about frame \d+/u),
    expect.stringMatching(/^Easing it back.* over the next \d+ frames/u),
  ]);
  const inked = () => page.locator(".table-canvas").evaluate((canvas) => (canvas as HTMLCanvasElement).toDataURL());
  await page.waitForTimeout(400);
  const bare = await inked();
  await page.keyboard.press("b");
  await page.waitForTimeout(200);
  expect(await inked()).not.toBe(bare);
  await page.keyboard.press("b");
  await page.waitForTimeout(200);
  expect(await inked()).toBe(bare);

  const download = page.waitForEvent("download");
  await page.keyboard.press("s");
  const saved = readFileSync(await (await download).path(), "utf8");
  const read = parseReport(saved, "saved.json");
  if (!("report" in read)) throw new Error(read.refusals.join("\n"));
  expect(read.report.flags.map((flag) => flag.kind).toSorted()).toEqual(
    truth.expected.map((each) => each.kind).toSorted(),
  );
  for (const expected of truth.expected) {
    const flag = read.report.flags.find((each) => each.kind === expected.kind);
    expect(Math.abs((flag?.px ?? 0) - expected.px)).toBeLessThan(0.1);
  }

  const second = page.waitForEvent("download");
  await page.keyboard.press("Shift+S");
  const sheet = readFileSync(await (await second).path(), "utf8");
  expect(
    "sheet" in parseSheet(sheet, "sheet.json", { frames: read.report.shot.frames, width: null, height: null }),
  ).toBe(true);
  await finish();
});

test("the sample's twin, in which everything held, is told to be clean", async () => {
  const { page, answer, finish } = await openPage(browser);
  await page.getByRole("button", { name: /hive_010_true/ }).click();
  expect(await answer()).toBe("Nothing drifted in 24 frames");
  expect(await page.locator(".finding").count()).toBe(0);
  await finish();
});

test("a tour is offered once, stands at every stop, and can be left at any of them", async () => {
  const { page, answer, finish } = await openPage(browser);
  await page.getByRole("button", { name: /hive_010_true/ }).click();
  await answer();
  await page.getByRole("button", { name: "Take the tour" }).click();
  const stops: (string | null)[] = [];
  for (;;) {
    const stop = page.locator(".tour");
    await stop.waitFor();
    stops.push(await stop.locator("h2").textContent());
    const box = await stop.boundingBox();
    expect(box && box.x >= 0 && box.y >= 0).toBe(true);
    const done = page.getByRole("button", { name: "Done" });
    if ((await done.count()) > 0) break;
    await page.keyboard.press("Enter");
    await page.waitForFunction((title) => document.querySelector(".tour h2")?.textContent !== title, stops.at(-1));
  }
  // A clean shot has no finding to stop at.
  expect(stops).toEqual(["The answer", "The light table", "The strips", "The figure", "Ways to look", "All by keys"]);
  await page.keyboard.press("Escape");
  await page.locator(".tour").waitFor({ state: "detached" });
  expect(await page.getByRole("button", { name: "Take the tour" }).count()).toBe(0);
  await finish();
});

test("every view shows its own picture, and the picture never goes away in between", async () => {
  const { page, answer, finish } = await openPage(browser);
  await page.getByRole("button", { name: "Check the sample shot" }).click();
  await answer();
  await page.keyboard.press("End");
  await page.keyboard.press("u");
  // Looks at a small copy of the table: its own canvas is never read back, or the browser would make it slow.
  await page.evaluate(() => {
    const copy = document.createElement("canvas");
    [copy.width, copy.height] = [48, 27];
    const context = copy.getContext("2d", { willReadFrequently: true });
    const look = () => {
      const table = document.querySelector<HTMLCanvasElement>(".table-canvas");
      if (!table || !context) return new Uint8ClampedArray();
      context.clearRect(0, 0, copy.width, copy.height);
      context.drawImage(table, 0, 0, copy.width, copy.height);
      return context.getImageData(0, 0, copy.width, copy.height).data;
    };
    Object.assign(window, { lookAtTable: () => [...look()].join() });
    // Every screen frame while the views change: a cleared canvas would be see-through in the middle.
    const watch = () => {
      if (look()[4 * (13 * 48 + 24) + 3] === 0) document.body.dataset.flashed = "yes";
      requestAnimationFrame(watch);
    };
    watch();
  });
  const picture = () => page.evaluate(() => (window as unknown as { lookAtTable(): string }).lookAtTable());
  const seen = new Map<string, string>();
  for (const [key, view] of [
    ["1", "plain"],
    ["3", "over"],
    ["4", "difference"],
    ["5", "arrows"],
  ]) {
    await page.keyboard.press(key);
    await page.waitForTimeout(view === "arrows" ? 8000 : 1500);
    seen.set(view, await picture());
  }
  expect(new Set(seen.values()).size).toBe(4);
  await page.keyboard.press("2");
  await page.waitForTimeout(300);
  await page.keyboard.press("x");
  const one = await page.locator(".table-words p").textContent();
  await page.keyboard.press("x");
  const other = await page.locator(".table-words p").textContent();
  expect(new Set([one, other].map((words) => words?.split(",")[0]))).toEqual(new Set(["Anchor", "Current"]));
  for (const key of ["ArrowLeft", "ArrowLeft", "Home", "ArrowRight"]) await page.keyboard.press(key);
  await page.waitForTimeout(500);
  expect(await page.evaluate(() => document.body.dataset.flashed)).toBeUndefined();
  await finish();
});
