import path from "node:path";
import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, inject, test } from "vitest";
import { writeNight } from "./fixtures/night.mjs";
import { storedRows } from "./stored-rows.ts";
import { launch, openPage, scratchFolder } from "./support.ts";

// The whole store goes out into one file and comes back, into a browser that has forgotten everything, and into one that
// has other things.

let browser: Browser;
const scratch = scratchFolder();
const night = path.join(scratch.path, "night");
beforeAll(async () => {
  writeNight(night);
  browser = await launch();
});
afterAll(async () => {
  scratch.remove();
  await browser.close();
});

const chosen = (page: Page) => page.locator(".verdict-choice[aria-pressed=true]").allTextContents();
/** Longer than the page may take to keep what was entered, s. */
const settle = (page: Page) => page.waitForTimeout(1200);
const goTo = (page: Page, screen: string) => page.getByRole("link", { name: screen, exact: true }).click();

async function exportAll(page: Page, file: string): Promise<void> {
  await page.getByRole("heading", { name: "Shots that are kept" }).waitFor();
  const download = page.waitForEvent("download");
  await page.getByRole("button", { name: "Export everything" }).click();
  await (await download).saveAs(file);
  await page.keyboard.press("Escape");
}

async function beginImport(page: Page, file: string): Promise<void> {
  const chooser = page.waitForEvent("filechooser");
  await page.getByRole("button", { name: "Import a file" }).click();
  await (await chooser).setFiles(file);
  await page.getByRole("dialog", { name: /^Import/u }).waitFor();
}

test("everything is entered, exported, forgotten by the browser, imported, and every row is the same; a clash is shown before it is settled", async () => {
  const { page, answer, give, finish } = await openPage(browser);
  await page.getByRole("button", { name: "Check the sample shot" }).click();
  await answer();
  await page.locator(".finding").first().click();
  await page.keyboard.press("Shift+B");
  await page.getByLabel("Note").fill("elbow, before Friday");
  await settle(page);

  await goTo(page, "Bench");
  await page.getByRole("tab", { name: "Repairs", exact: true }).click();
  await page.getByLabel("What was done").fill("the new elbow ball");
  await page.getByLabel("When, local time").fill("2026-03-09T18:00");
  await page.getByLabel("Initials").fill("AB");
  await page.getByRole("button", { name: "Log it" }).click();
  await page.getByRole("tab", { name: "Shots to come", exact: true }).click();
  await page.getByLabel("Shot", { exact: true }).fill("hive_050");
  await page.getByLabel("Puppets, with copies: Oda B; Bee").fill("oda B");
  await page.getByRole("button", { name: "Add the shot" }).click();
  await goTo(page, "Dailies");
  // Once the pictures are there nothing moves any more.
  await page
    .getByRole("button", { name: /^Frame \d+, the anchor/u })
    .nth(1)
    .waitFor();
  await page.getByRole("button", { name: "Add a note" }).first().click();
  await page.getByLabel("Note", { exact: true }).fill("lamp two was changed at lunch");
  await page.getByLabel("Frame, if any").fill("9");
  await page.getByRole("button", { name: "Keep it" }).click();
  await goTo(page, "Workshop");
  await page.getByRole("tab", { name: "Joint load" }).click();
  await page.getByLabel(/mass/iu).first().fill("31");
  // A second shot, of which there is a report alone.
  await goTo(page, "Shot");
  await give("Shift+O", path.join(night, "hive_020.report.json"));
  await page.locator(".shot-name", { hasText: "hive_020" }).waitFor();
  await page.locator(".finding").first().click();
  await page.keyboard.press("Shift+L");
  await settle(page);

  const before = await storedRows(page);
  for (const kind of ["production", "shot", "puppet", "sheet", "report", "holds", "verdict", "note", "repair"] as const)
    expect(before[kind].length, kind).toBeGreaterThan(0);
  expect(before["coming"]).toHaveLength(1);
  expect(before["thumbnail"].length).toBeGreaterThan(2);
  expect(before["workshop"]).toHaveLength(1);
  expect(before["shot"]).toHaveLength(2);

  await page.locator(".finding").first().click();
  await page.keyboard.press("q");
  const file = path.join(scratch.path, "everything.zip");
  await exportAll(page, file);

  // What "clear the data of this site" does in a browser.
  const session = await page.context().newCDPSession(page);
  await page.goto("about:blank");
  await session.send("Storage.clearDataForOrigin", {
    origin: inject("address").replace(/\/$/u, ""),
    storageTypes: "all",
  });
  await page.goto(inject("address"));
  await page.getByRole("button", { name: "Check the sample shot" }).waitFor();
  await page.keyboard.press("q");
  await page.getByText("None yet.").waitFor();
  await beginImport(page, file);
  await page.getByRole("row", { name: /^verdicts 2/u }).waitFor();
  await page.getByRole("button", { name: "Add it" }).click();
  await page.locator(".shots-row").nth(1).waitFor();
  await settle(page);
  const after = await storedRows(page);
  for (const kind of Object.keys(before)) expect(after[kind], kind).toEqual(before[kind]);

  // Now it is decided otherwise here, later than in the file, and something is here that the file has not.
  await page.getByRole("button", { name: "Open hive_010" }).first().click();
  await page.locator(".finding").first().click();
  expect(await chosen(page)).toEqual(["Shift Bto the bench"]);
  await page.keyboard.press("Shift+N");
  await page.locator(".finding").nth(1).click();
  await page.keyboard.press("Shift+M");
  await settle(page);
  const later = await storedRows(page);
  await page.locator(".finding").first().click();
  await page.keyboard.press("q");
  await beginImport(page, file);
  const plan = page.getByRole("dialog", { name: /^Import/u });
  expect(await plan.getByRole("row", { name: /^verdicts/u }).textContent()).toBe("verdicts011");
  expect(await plan.locator(".import-lines").textContent()).toContain("the one here is later and stays");
  // Replacing says what goes before it does.
  await plan.getByText("Put it in the place of everything here").click();
  expect(await plan.getByRole("columnheader").allTextContents()).toEqual(["What", "new", "replaced", "same", "goes"]);
  expect(await plan.getByRole("row", { name: /^verdicts/u }).textContent()).toBe("verdicts0111");
  expect(await storedRows(page)).toEqual(later);
  await plan.getByRole("button", { name: "Replace everything" }).click();
  await plan.waitFor({ state: "detached" });
  await settle(page);
  const replaced = await storedRows(page);
  expect(replaced["verdict"]).toEqual(before["verdict"]);
  expect(replaced["note"]).toEqual(before["note"]);
  await page.keyboard.press("Escape");
  await page.locator(".finding").first().click();
  expect(await chosen(page)).toEqual(["Shift Bto the bench"]);
  expect(await page.getByLabel("Note").inputValue()).toBe("elbow, before Friday");
  await finish();
}, 420_000);
