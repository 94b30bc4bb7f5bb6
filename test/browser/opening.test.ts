import { copyFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import type { Browser, Page } from "playwright";
import sharp from "sharp";
import { afterAll, beforeAll, beforeEach, expect, test } from "vitest";
import { fixture, launch, openPage, scratchFolder, writeArmShot } from "./support.ts";

const scratch = scratchFolder();
const shot = path.join(scratch.path, "hive_010");
let browser: Browser;
let count = 0;
/** A folder of its own for each test. */
let folder = "";

beforeAll(async () => {
  browser = await launch();
  await writeArmShot(shot);
});
afterAll(async () => {
  await browser.close();
  scratch.remove();
});
beforeEach(() => {
  count += 1;
  folder = path.join(scratch.path, `case-${count}`);
  mkdirSync(folder);
});

const stills = () => readdirSync(shot).filter((name) => name.endsWith(".jpg"));
const copyStills = (rename = (name: string) => name) => {
  for (const name of stills()) copyFileSync(path.join(shot, name), path.join(folder, rename(name)));
};
const notice = (page: Page) => page.locator(".notice").first().textContent();

test("a directory handle, as the browser's own picker gives it, opens the shot with the sheet beside it", async () => {
  const { page, answer, finish } = await openPage(browser);
  // The picker can't be driven without a person: a folder of the origin's private file system stands in.
  for (const name of readdirSync(shot)) {
    const bytes = readFileSync(path.join(shot, name)).toString("base64");
    await page.evaluate(
      async ([file, text]) => {
        const home = await navigator.storage.getDirectory();
        const directory = await home.getDirectoryHandle("hive_010", { create: true });
        const handle = await directory.getFileHandle(file, { create: true });
        const writable = await handle.createWritable();
        await writable.write(Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)));
        await writable.close();
      },
      [name, bytes],
    );
  }
  await page.evaluate(() => {
    Object.assign(window, {
      showDirectoryPicker: async () => (await navigator.storage.getDirectory()).getDirectoryHandle("hive_010"),
    });
  });
  await page.getByRole("button", { name: /Open a folder/ }).click();
  expect(await answer()).toMatch(/drifted$/);
  expect(await page.locator(".strip-name").allTextContents()).toContain("Left arm");
  await finish();
});

test("a folder from the plain input opens the same way", async () => {
  const { page, give, answer, finish } = await openPage(browser);
  await give("o", shot);
  expect(await answer()).toMatch(/drifted$/);
  expect(await page.locator(".shot-name").textContent()).toBe("hive_010");
  await finish();
});

test("frames that are dropped are checked, and a sheet that is dropped later is used", async () => {
  const { page, answer, finish } = await openPage(browser);
  const drop = (names: readonly string[]) =>
    page.evaluate(
      (files) => {
        const transfer = new DataTransfer();
        for (const [name, text] of files) {
          const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
          transfer.items.add(new File([bytes], name));
        }
        document.body.dispatchEvent(new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer: transfer }));
      },
      names.map((name) => [name, readFileSync(path.join(shot, name)).toString("base64")] as const),
    );
  await drop(stills());
  await answer();
  expect(await page.locator(".strip-name").allTextContents()).not.toContain("Left forearm");
  await drop(["holdfast-sheet.json"]);
  await page.getByRole("progressbar").waitFor();
  await answer();
  expect(await page.locator(".strip-name").allTextContents()).toContain("Left forearm");
  await finish();
});

test("a folder of several sequences asks which one, the longest first", async () => {
  copyStills();
  for (const name of stills().slice(0, 4)) copyFileSync(path.join(shot, name), path.join(folder, `test_${name}`));
  const { page, give, answer, finish } = await openPage(browser);
  await give("o", folder);
  await page.getByRole("dialog").waitFor();
  expect(await page.getByRole("radio", { name: /^hive_010/ }).isChecked()).toBe(true);
  await page.getByRole("radio", { name: /^test_hive_010/ }).check({ force: true });
  await page.getByRole("button", { name: "Check it" }).click();
  await answer();
  expect(await page.locator(".shot-name").textContent()).toBe("test_hive_010");
  await finish();
});

test("a folder without frames says so, and what was open stays", async () => {
  writeFileSync(path.join(folder, "notes.txt"), "nothing to see");
  const { page, give, finish } = await openPage(browser);
  await give("Shift+O", fixture("flagged.report.json"));
  await page.locator(".timeline").waitFor();
  await give("o", folder);
  expect(await notice(page)).toContain("No numbered frames");
  expect(await page.locator(".side h1").textContent()).toBe("2 things drifted");
  await finish();
});

test("one frame alone can't be compared, and the page says so", async () => {
  copyFileSync(path.join(shot, stills()[0]), path.join(folder, stills()[0]));
  const { page, give, answer, finish } = await openPage(browser);
  await give("o", folder);
  await answer();
  expect(await page.locator(".side").textContent()).toMatch(/frame/);
  expect(await page.locator(".side h1").textContent()).not.toMatch(/Nothing drifted/);
  await finish();
});

test("frames that can't be read are named with the reason, and the rest is checked", async () => {
  copyStills();
  const [, , third, fourth, fifth, sixth] = stills();
  const whole = readFileSync(path.join(folder, third));
  writeFileSync(path.join(folder, third), whole.subarray(0, whole.length >> 1));
  writeFileSync(path.join(folder, fourth), "");
  writeFileSync(path.join(folder, fifth), "this is no picture");
  await sharp(whole).resize(200, 150).jpeg().toFile(path.join(folder, sixth));
  copyFileSync(path.join(shot, "holdfast-sheet.json"), path.join(folder, "holdfast-sheet.json"));
  const { page, give, answer, finish } = await openPage(browser);
  await give("o", folder);
  expect(await answer()).toMatch(/drifted/);
  const told = await page.locator(".side").textContent();
  for (const name of [third, fourth, fifth, sixth]) expect(told).toContain(name);
  await finish();
});

test("a wrong sheet is refused whole with every reason, and the shot can be checked without it", async () => {
  copyStills();
  writeFileSync(
    path.join(folder, "holdfast-sheet.json"),
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
  const { page, give, answer, finish } = await openPage(browser);
  await give("o", folder);
  expect(await answer()).toBe("The sheet is refused");
  const reasons = await page.locator(".side .reasons").textContent();
  expect(reasons).toContain("part 'cuff': outline 1 has 2 points, needs at least 3");
  expect(reasons).toContain("99");
  await page.getByRole("button", { name: "Check without the sheet" }).click();
  await page.getByRole("progressbar").waitFor();
  expect(await answer()).not.toBe("The sheet is refused");
  await finish();
});

test("a report opens without its frames, with flags, strips and traces", async () => {
  const { page, give, finish } = await openPage(browser);
  await give("Shift+O", fixture("flagged.report.json"));
  await page.locator(".timeline").waitFor();
  expect(await page.locator(".side h1").textContent()).toBe("2 things drifted");
  expect(await page.locator(".flag-mark").count()).toBe(2);
  expect(await page.locator(".table-words").textContent()).toContain("Opened without its frames");
  expect(await page.getByRole("radio", { name: /Flip/ }).count()).toBe(0);
  expect(await page.locator(".frame-names").textContent()).toContain("01:00:01:00");
  expect(await page.locator(".frame-names").textContent()).toContain("1+08");
  await finish();
});

test("a report in which nothing drifted opens on what could not be measured", async () => {
  const { page, give, finish } = await openPage(browser);
  await give("Shift+O", fixture("unmeasured.report.json"));
  await page.locator(".timeline").waitFor();
  expect(await page.locator(".strip-name[aria-pressed=true]").textContent()).toBe("Head");
  expect(await page.locator(".playhead-number").textContent()).toBe("7");
  expect(await page.locator(".strip-reading").first().textContent()).toBe("not measured");
  await finish();
});

test("a page says why the set may not be struck yet, and another what to hand over", async () => {
  const { page, give, finish } = await openPage(browser);
  await give("Shift+O", fixture("flagged.report.json"));
  await page.locator(".timeline").waitFor();
  await page.getByRole("link", { name: "Safe to strike?" }).click();
  expect(await page.locator(".paper-answer").textContent()).toMatch(/^Not yet: \d questions? of 8/u);
  expect(await page.locator(".question.no").first().textContent()).toContain("no verdict yet");
  // The frames aren't there: no plate can be measured beside them.
  expect(await page.getByRole("button", { name: "Add plates" }).count()).toBe(0);
  await page.keyboard.press("Shift+J");
  expect(await page.locator(".paper-table tbody tr").count()).toBeGreaterThan(2);
  expect(await page.locator(".handover-finding").count()).toBe(
    await page.locator(".handover-finding", { hasText: "no verdict yet" }).count(),
  );
  await finish();
});

test("a report of a later version is refused with its name and the reason", async () => {
  const report = JSON.parse(readFileSync(fixture("clean.report.json"), "utf8")) as { version: number };
  report.version = 9;
  const file = path.join(folder, "later.json");
  writeFileSync(file, JSON.stringify(report));
  const { page, give, finish } = await openPage(browser);
  await give("Shift+O", file);
  const told = await notice(page);
  expect(told).toContain("later.json");
  expect(told).toContain("version 9");
  await finish();
});
