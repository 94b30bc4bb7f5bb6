import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, inject, test } from "vitest";
import { fixture, launch, openPage, scratchFolder } from "./support.ts";

let browser: Browser;
beforeAll(async () => {
  browser = await launch();
});
const scratch = scratchFolder();
afterAll(async () => {
  scratch.remove();
  await browser.close();
});

/** The verdict that is shown as chosen in the card. */
const chosen = (page: Page) => page.locator(".verdict-choice[aria-pressed=true]").allTextContents();

test("a verdict on the sample is still there after the page was loaded again, with report, sheet, frames and pictures", async () => {
  const { page, answer, finish } = await openPage(browser);
  await page.getByRole("button", { name: "Check the sample shot" }).click();
  const said = await answer();
  await page.locator(".finding").first().click();
  await page.getByLabel("Who").fill("MB");
  await page.locator(".finding").first().click();
  await page.keyboard.press("Shift+L");
  expect(await chosen(page)).toEqual(["Shift Llive with it"]);
  expect(await page.locator(".judged").textContent()).toContain("1 of 2 judged");
  await page.getByLabel("Note").fill("her sleeve hides it");
  await page.waitForTimeout(1000);

  await page.reload();
  expect(await answer()).toBe(said);
  await page.locator(".finding").first().click();
  expect(await chosen(page)).toEqual(["Shift Llive with it"]);
  expect(await page.getByLabel("Note").inputValue()).toBe("her sleeve hides it");
  expect(await page.getByLabel("Who").inputValue()).toBe("MB");
  expect(await page.locator(".finding").first().textContent()).toContain("live with it");
  // The frames of the sample come by themselves; the check can be done again with its sheet.
  await page.waitForFunction(() => document.querySelector(".table-words p")?.textContent?.includes(".jpg"));
  expect(await page.locator(".frames-away").count()).toBe(0);

  // A new tab is asked nothing and told nothing: the shot is one click away, with its picture.
  const other = await page.context().newPage();
  await other.goto(page.url());
  await other.getByRole("button", { name: /hive_010.*1 of 2 findings open/u }).waitFor();
  await other.locator(".recent-shot img").waitFor();
  await other.getByRole("button", { name: /hive_010.*1 of 2 findings open/u }).click();
  await other.locator(".finding").first().click();
  expect(await chosen(other)).toEqual(["Shift Llive with it"]);

  // What one tab decides the other shows.
  await other.keyboard.press("v");
  await other.keyboard.press("Shift+N");
  await page.waitForFunction(() => document.querySelector(".verdict-choice.chosen")?.textContent === "Shift Nreshoot");
  await page.keyboard.press("k");
  await other.waitForFunction(() =>
    document.querySelector(".verdict-choice.chosen")?.textContent?.startsWith("KI know"),
  );
  await finish();
});

/** Gives the page a file by the button that asks for one. */
const bring = async (page: Page, button: string, file: string) => {
  const chooser = page.waitForEvent("filechooser");
  await page.getByRole("button", { name: button }).click();
  await (await chooser).setFiles(file);
};

const checkSample = async (page: Page) => {
  await page.getByRole("button", { name: "Check the sample shot" }).click();
  await page.locator(".judged").waitFor({ timeout: 150_000 });
  await page.locator(".finding").first().click();
};

test("a tab that is killed in the middle of an edit loses nothing that is older than a second", async () => {
  const { page, finish } = await openPage(browser);
  await checkSample(page);
  await page.keyboard.press("Shift+B");
  const note = page.getByLabel("Note");
  await note.fill("elbow");
  await page.waitForTimeout(1000);
  await note.pressSequentially(" is loo");
  // No page of the browser gets to say goodbye.
  const context = page.context();
  const session = await context.newCDPSession(page);
  const crashed = page.waitForEvent("crash");
  void session.send("Page.crash").catch(() => {});
  await crashed;
  const next = await context.newPage();
  await next.goto(inject("address"));
  await next.locator(".recent-shot").first().click();
  await next.locator(".finding").first().click();
  expect(await chosen(next)).toEqual(["Shift Bto the bench"]);
  expect(await next.getByLabel("Note").inputValue()).toMatch(/^elbow/u);
  await finish();
});

test("a full disk is said while nothing is lost, and what was entered is kept as soon as there is room", async () => {
  const { page, finish } = await openPage(browser);
  await checkSample(page);
  await page.waitForTimeout(1500);
  // The disk of the machine that tests can't be filled: the browser's own refusal is raised in its place.
  await page.evaluate(() => {
    const { put } = IDBObjectStore.prototype;
    IDBObjectStore.prototype.put = function full(this: IDBObjectStore, ...args: Parameters<typeof put>) {
      if (document.body.dataset.disk === "full") throw new DOMException("no room", "QuotaExceededError");
      return put.apply(this, args);
    };
    document.body.dataset.disk = "full";
  });
  await page.keyboard.press("Shift+P");
  await page.locator(".notice", { hasText: "The disk is full: what you enter now isn't kept yet" }).waitFor();
  expect(await chosen(page)).toEqual(["Shift Ppaint out"]);
  await page.evaluate(() => {
    document.body.dataset.disk = "";
  });
  // It is tried again every few seconds.
  await page.waitForTimeout(6000);
  await page.reload();
  await page.locator(".finding").first().click();
  expect(await chosen(page)).toEqual(["Shift Ppaint out"]);
  await finish();
});

test("export, remove, import: the shot is as it was; removing asks first and says what goes", async () => {
  const { page, finish } = await openPage(browser);
  await checkSample(page);
  await page.keyboard.press("Shift+E");
  await page.getByLabel("Note").fill("over twelve frames");
  await page.waitForTimeout(1500);
  const record = () => page.locator(".shots-row").allTextContents();
  await page.locator(".finding").first().click();
  await page.keyboard.press("q");
  const before = await record();
  const download = page.waitForEvent("download");
  await page.getByRole("button", { name: "Export everything" }).click();
  const file = scratch.path.concat("/everything.zip");
  await (await download).saveAs(file);
  await page.getByRole("button", { name: "Remove hive_010" }).click();
  expect(await page.getByRole("alertdialog").textContent()).toContain("Its frames stay where they are");
  await page.getByRole("button", { name: "Remove it" }).click();
  await page.getByText("None yet.").waitFor();

  await bring(page, "Import a file", file);
  await page.getByRole("row", { name: /^verdicts 1/u }).waitFor();
  await page.getByRole("button", { name: "Add it" }).click();
  await page.locator(".shots-row").waitFor();
  expect(await record()).toEqual(before);
  await page.getByRole("button", { name: "Open hive_010" }).click();
  await page.locator(".finding").first().click();
  expect(await chosen(page)).toEqual(["Shift Eease back"]);
  expect(await page.getByLabel("Note").inputValue()).toBe("over twelve frames");
  // Once more there is nothing to do; what is no export is refused by its name.
  await page.locator(".finding").first().click();
  await page.keyboard.press("q");
  await bring(page, "Import a file", file);
  await page.getByRole("button", { name: "Nothing to do" }).waitFor();
  await page
    .getByRole("dialog", { name: /^Import/u })
    .getByRole("button", { name: "Not now" })
    .click();
  await bring(page, "Import a file", fixture("clean.report.json"));
  await page.locator(".notice", { hasText: "clean.report.json is no zip file, or its end is missing" }).waitFor();
  await finish();
});
