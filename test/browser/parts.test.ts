import { copyFileSync, mkdirSync, readdirSync, rmSync } from "node:fs";
import path from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launch, openPage, sample, scratchFolder, writeArmShot } from "./support.ts";

let browser: Browser;
const scratch = scratchFolder();
/** The sample's frames without its sheet. */
const bare = path.join(scratch.path, "hive_010");
beforeAll(async () => {
  browser = await launch();
  mkdirSync(bare);
  for (const name of readdirSync(sample("hive_010")).filter((each) => each.endsWith(".jpg")))
    copyFileSync(path.join(sample("hive_010"), name), path.join(bare, name));
});
afterAll(async () => {
  await browser.close();
  scratch.remove();
});

/** Where places of the frame (1280 x 720 px) lie on the screen. */
async function screenOf(page: Page): Promise<(x: number, y: number) => readonly [number, number]> {
  const box = await page.locator(".table-canvas").boundingBox();
  if (!box) throw new Error("no table");
  const fit = Math.min((box.width - 32) / 1280, (box.height - 32) / 720);
  return (x, y) => [box.x + box.width / 2 + (x - 640) * fit, box.y + box.height / 2 + (y - 360) * fit];
}

const settled = (page: Page) =>
  page.waitForFunction(
    () => document.querySelector("[role=progressbar]") === null && document.querySelector(".old-results") === null,
    null,
    { timeout: 150_000 },
  );

test("a part is drawn from nothing with the pointer, checked, named, and taken back", async () => {
  const { page, give, finish } = await openPage(browser);
  await give("o", bare);
  await page.getByRole("link", { name: "Parts" }).click();
  await page.getByRole("heading", { name: "No parts yet" }).waitFor();
  await settled(page);
  await page.keyboard.press("Home");
  await page.keyboard.press("d");
  await page.getByText("Click corner by corner").waitFor();
  const at = await screenOf(page);
  // Round the window's right pane and the shed's wall: part of the set, which stands still.
  for (const [x, y] of [
    [860, 140],
    [1150, 140],
    [1150, 240],
    [860, 240],
  ])
    await page.mouse.click(...at(x, y));
  await page.mouse.click(...at(860, 140));
  // The name is asked for next.
  await page.keyboard.type("Window");
  await page.keyboard.press("Enter");
  await page.getByLabel("Kind").selectOption("set");
  await page.waitForTimeout(900);
  await settled(page);
  expect(await page.locator(".part-row").allTextContents()).toEqual([expect.stringContaining("Window")]);
  expect(await page.locator(".strip-name").allTextContents()).toContain("Window");
  await page.getByText("The shot: rate, scale").click();
  await page.keyboard.press("Shift+C");
  const axe = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"])
    .analyze();
  expect(axe.violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join()}`)).toEqual(
    [],
  );
  await page.keyboard.press("Escape");
  await page.getByLabel("Mass, g").fill("a lot");
  await page.keyboard.press("Enter");
  expect(await page.locator(".field-fault").textContent()).toBe(`part 'part': massGrams is "a lot", needs a number`);
  await page.keyboard.press("Escape");
  await page.locator(".tool", { hasText: "Choose" }).focus();
  for (const _ of ["kind", "name", "part"]) await page.keyboard.press("z");
  await page.getByRole("heading", { name: "No parts yet" }).waitFor();
  await page.keyboard.press("Control+Shift+Z");
  await page.getByRole("heading", { name: "1 part" }).waitFor();
  await finish();
});

test("a part is drawn by keys alone, told to hold, and its sag is flagged", async () => {
  /** Within the upper arm of the rendered puppet, px. */
  const upperArm = [
    [353, 143],
    [345, 175],
    [312, 168],
    [321, 133],
  ] as const;
  const folder = path.join(scratch.path, "arm");
  mkdirSync(folder);
  await writeArmShot(folder);
  rmSync(path.join(folder, "holdfast-sheet.json"));
  const { page, give, finish } = await openPage(browser);
  await give("o", folder);
  await page.locator(".strip-name").first().waitFor();
  await page.keyboard.press("e");
  await page.getByRole("heading", { name: "No parts yet" }).waitFor();
  await settled(page);
  await page.keyboard.press("Home");
  await page.keyboard.press("d");
  // The cross begins in the middle of the frame; Shift moves it by one pixel.
  await page.keyboard.press("Shift+ArrowRight");
  let [x, y] = [241, 180];
  const go = async (to: readonly [number, number]) => {
    const [dx, dy] = [Math.round(to[0] - x), Math.round(to[1] - y)];
    for (let i = 0; i < Math.abs(dx); i++) await page.keyboard.press(`Shift+Arrow${dx < 0 ? "Left" : "Right"}`);
    for (let i = 0; i < Math.abs(dy); i++) await page.keyboard.press(`Shift+Arrow${dy < 0 ? "Up" : "Down"}`);
    [x, y] = [x + dx, y + dy];
    await page.keyboard.press("Enter");
  };
  for (const point of upperArm) await go(point);
  await page.keyboard.press("Enter");
  await page.keyboard.type("Left arm");
  await page.keyboard.press("Enter");
  await page.locator(".part-row", { hasText: "Left arm" }).focus();
  await page.keyboard.press("Shift+V");
  await page.locator(".intent:focus", { hasText: "Moves" }).waitFor();
  await page.keyboard.press("ArrowRight");
  await page.locator(".intent:focus", { hasText: "Holds" }).waitFor();
  await page.keyboard.press("Enter");
  await page.locator('.intent[aria-pressed="true"]', { hasText: "Holds" }).waitFor();
  await page.waitForTimeout(900);
  await settled(page);
  await page.keyboard.press("e");
  await page.locator(".finding", { hasText: "Left arm" }).waitFor();
  expect(await page.locator(".finding", { hasText: "Left arm" }).textContent()).toContain("sag");
  await finish();
});
