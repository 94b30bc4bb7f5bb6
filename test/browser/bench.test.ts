import path from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, test } from "vitest";
import { writeNight } from "./fixtures/night.mjs";
import { launch, openPage, scratchFolder } from "./support.ts";

// The bench and the notes over the reports of a night run: ten shots of Oda, whose left arm sagged until it was mended.

let browser: Browser;
const scratch = scratchFolder();
const night = path.join(scratch.path, "night");
beforeAll(async () => {
  writeNight(night);
  browser = await launch();
});
afterAll(async () => {
  await browser.close();
  scratch.remove();
});

async function faults(page: Page): Promise<readonly string[]> {
  const result = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"])
    .analyze();
  return result.violations.map((each) => `${each.id}: ${each.nodes.map(({ html }) => html.slice(0, 160)).join(" | ")}`);
}

const takeNight = async (page: Page): Promise<void> => {
  await page.getByRole("link", { name: "Bench" }).click();
  const chooser = page.waitForEvent("filechooser");
  await page.getByRole("button", { name: "Take report files" }).click();
  await (await chooser).setFiles(night);
  await page.getByText("10 reports of a night run").waitFor();
};
const tab = (page: Page, name: string) => page.getByRole("tab", { name, exact: true }).click();

test("a night run's reports rank the arm first; a repair is logged, compared and kept; shots to come say whom to send", async () => {
  const { page, finish } = await openPage(browser, { viewport: { width: 1440, height: 900 } });
  await takeNight(page);
  const first = page.locator(".drift").first();
  expect(await first.textContent()).toContain("Left upper arm");
  expect(await first.textContent()).toContain("4 of 7 holds (25 to 84 %)");
  await page.getByLabel("In the order of").selectOption("degrees");
  expect(await page.locator(".drift").first().textContent()).toContain("Left upper arm");
  await page.getByLabel("List by").selectOption("joint");
  expect(await page.locator(".drift").first().textContent()).toMatch(/shoulder left/u);
  await page.getByLabel("List by").selectOption("part");
  expect(await faults(page)).toEqual([]);

  // Before it is mended the arm is on the work list, and the other copy is sent.
  await tab(page, "Shots to come");
  await page
    .getByLabel("CSV: shot, day, puppets, note")
    .fill("shot,day,puppets\nhive_110,2026-03-16,oda\nhive_120,soon,oda");
  await page.getByRole("button", { name: "Add these" }).click();
  await page.getByText('Not taken: line 3: "soon" is no day like 2026-03-09.').waitFor();
  expect(await page.locator(".coming").textContent()).toContain("Send Oda, copy B");
  expect(await page.locator(".coming").textContent()).toContain("to mend first: Left upper arm");
  await tab(page, "Work list");
  expect(await page.locator(".work-item").allTextContents()).toEqual([expect.stringContaining("Left upper arm")]);
  expect(await faults(page)).toEqual([]);

  await tab(page, "What drifts");
  await page.getByRole("button", { name: "Log a repair" }).click();
  await page.getByRole("button", { name: "Log it" }).click();
  expect(await page.getByRole("alert").textContent()).toBe("Say what was done, or choose a fix.");
  await page.getByLabel("What was done").fill("the new shoulder ball");
  await page.getByLabel("When, local time").fill("2026-03-09T18:00");
  await page.getByLabel("Initials").fill("AB");
  expect(await faults(page)).toEqual([]);
  await page.getByRole("button", { name: "Log it" }).click();
  const story = page.locator(".story-sentence");
  await story.waitFor();
  expect(await story.textContent()).toMatch(
    /^After the new shoulder ball: 0\.7\d → 0\.02\d degrees an hour over 3 holds; it held$/u,
  );
  await tab(page, "Work list");
  expect(await page.locator(".work").textContent()).toContain("Nothing has to go to the bench.");

  // What was entered is there after the page is loaded again; the reports are files and are taken again.
  await page.waitForTimeout(1200);
  await page.reload();
  await takeNight(page);
  await tab(page, "Repairs");
  await story.waitFor();
  expect(await story.textContent()).toContain("it held");
  expect(await faults(page)).toEqual([]);
  await page.getByRole("button", { name: "Remove this entry" }).click();
  await page.getByText("None is logged.").waitFor();
  await finish();
});

test("the notes tell each day's findings, filtered, and are saved in every form", async () => {
  const { page, finish } = await openPage(browser, { viewport: { width: 1024, height: 768 }, colorScheme: "light" });
  await takeNight(page);
  await page.getByRole("link", { name: "Dailies" }).click();
  const headline = page.locator(".dailies-headline");
  await headline.waitFor();
  await page.getByLabel("Shooting day").selectOption("all");
  await expect
    .poll(() => headline.textContent())
    .toBe("7 findings in 10 shots: 7 open. Only what lies inside the cut is listed.");
  expect(await faults(page)).toEqual([]);
  await page.locator(".dailies-tick", { hasText: "costume" }).click();
  await expect.poll(() => headline.textContent()).toContain("5 findings");
  await page.locator(".dailies-tick", { hasText: "costume" }).click();
  await page.getByLabel("Shooting day").selectOption("2026-03-03");
  await expect.poll(() => page.locator(".daily-note").count()).toBe(3);
  expect(await page.locator(".daily-note").first().textContent()).toContain("01:00:00:04 to");
  await page.getByRole("switch", { name: "Outside the cut too" }).press(" ");
  await expect.poll(() => headline.textContent()).toContain("Shots are told whole.");

  const save = async (label: string): Promise<readonly [string, string]> => {
    const download = page.waitForEvent("download");
    await page.getByRole("button", { name: "Save as" }).click();
    await page.getByRole("menuitem", { name: label }).click();
    const file = await download;
    const stream = await file.createReadStream();
    let text = "";
    for await (const chunk of stream) text += String(chunk);
    return [file.suggestedFilename(), text];
  };
  const [htmlName, html] = await save("Page with pictures (HTML)");
  expect(htmlName).toBe("dailies-2026-03-03.html");
  expect(html).toContain("drawn 10 times as large as it is");
  const [, otio] = await save("Markers (OpenTimelineIO)");
  expect(JSON.parse(otio).tracks.children[0].children).toHaveLength(2);
  expect((await save("Edit list (EDL)"))[1]).toMatch(/^TITLE: DAILIES\r\nFCM: NON-DROP FRAME/u);
  expect((await save("Findings as CSV"))[1].split("\r\n")).toHaveLength(5);
  expect((await save("Corrections for compositing (CSV)"))[1]).toContain("apply_dx_px_right");
  expect((await save("Markdown"))[1]).toContain("## 2026-03-03, Tuesday");
  await finish();
});

test("a night's reports are kept as shots, take notes and verdicts, move to another production by keys, and a second run changes only what is new", async () => {
  const { page, answer, finish } = await openPage(browser, { viewport: { width: 1024, height: 768 } });
  await takeNight(page);
  await page.getByRole("button", { name: "Keep these 10", exact: true }).click();
  await page.getByText("10 reports kept as shots.").waitFor();
  expect(await faults(page)).toEqual([]);
  await page.reload();
  await page.getByRole("link", { name: "Bench" }).click();
  expect(await page.locator(".drift").first().textContent()).toContain("4 of 7 holds (25 to 84 %)");

  // A note and a verdict on one of them, and both stay with it.
  await page.getByRole("link", { name: "Dailies" }).click();
  await page.getByLabel("Shooting day").selectOption("2026-03-04");
  await page.getByRole("heading", { name: "2026-03-04" }).waitFor();
  await page.getByRole("button", { name: "Add a note" }).click();
  await page.getByLabel("Note", { exact: true }).fill("smoke in the background");
  await page.getByRole("button", { name: "Keep it" }).click();
  await page.getByText("smoke in the background").waitFor();
  await page.getByRole("button", { name: "Open hive_040" }).click();
  await answer();
  await page.locator(".finding").first().click();
  await page.keyboard.press("Shift+B");
  await page.waitForTimeout(1200);
  await page.getByRole("link", { name: "Dailies" }).click();
  await page.locator(".verdict-word", { hasText: "to the bench" }).waitFor();

  // The next night's run of the same shots: taken and kept again, nothing that was decided is lost.
  await takeNight(page);
  await page.getByRole("button", { name: "Keep these 10", exact: true }).click();
  await page.getByText("10 reports kept as shots.").waitFor();
  await page.getByRole("link", { name: "Dailies" }).click();
  await page.locator(".verdict-word", { hasText: "to the bench" }).waitFor();
  await page.getByText("smoke in the background").waitFor();

  // By the keyboard alone into a production of its own, and by the pointer back.
  await page.getByRole("link", { name: "Shot", exact: true }).click();
  await page.keyboard.press("q");
  await page.getByRole("button", { name: "Move hive_040 to another production" }).focus();
  await page.keyboard.press("Enter");
  await page.getByRole("menuitem", { name: "A new production" }).waitFor();
  await page.keyboard.press("End");
  await page.keyboard.press("Enter");
  const group = page.locator(".shots-group", { hasText: "New production" });
  await group.getByText("hive_040").waitFor();
  expect(await page.locator(".shots-group", { hasText: "First production" }).locator(".shots-row").count()).toBe(9);
  expect(await faults(page)).toEqual([]);
  await page.getByRole("button", { name: "Move hive_040 to another production" }).click();
  await page.getByRole("menuitem", { name: "First production" }).click();
  await expect
    .poll(() => page.locator(".shots-group", { hasText: "First production" }).locator(".shots-row").count())
    .toBe(10);
  await finish();
}, 420_000);
