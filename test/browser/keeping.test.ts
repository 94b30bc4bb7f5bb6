import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launch, openPage } from "./support.ts";

let browser: Browser;
beforeAll(async () => {
  browser = await launch();
});
afterAll(() => browser.close());

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
