import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { fixture, launch, openPage, scratchFolder, writeArmShot } from "./support.ts";

const scratch = scratchFolder();
const shot = path.join(scratch.path, "hive_010");
const wrong = path.join(scratch.path, "wrong");
const two = path.join(scratch.path, "two");
let browser: Browser;

beforeAll(async () => {
  browser = await launch();
  await writeArmShot(shot);
  for (const folder of [wrong, two]) mkdirSync(folder);
  await writeArmShot(wrong, { frames: 3 });
  writeFileSync(path.join(wrong, "holdfast-sheet.json"), '{ "format": "holdfast-sheet", "version": 1 }');
  await writeArmShot(two, { frames: 3 });
  writeFileSync(path.join(two, "other_0001.jpg"), "");
});
afterAll(async () => {
  await browser.close();
  scratch.remove();
});

async function faults(page: Page): Promise<readonly string[]> {
  const result = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"])
    .analyze();
  return result.violations.map(
    (each) => `${each.id}: ${each.nodes.map((node) => node.html.slice(0, 160)).join(" | ")}`,
  );
}

describe.each(["dark", "light"] as const)("axe finds nothing to complain of on a %s system", (colorScheme) => {
  const open = () => openPage(browser, { colorScheme });

  test("empty, with the list of keys, and after something was refused", async () => {
    const { page, give, finish } = await open();
    expect(await faults(page)).toEqual([]);
    await page.keyboard.press("?");
    await page.getByRole("dialog").waitFor();
    expect(await faults(page)).toEqual([]);
    await page.keyboard.press("Escape");
    await give("Shift+O", path.join(wrong, "holdfast-sheet.json"));
    await page.locator(".notice").waitFor();
    expect(await faults(page)).toEqual([]);
    await finish();
  });

  test("checking, flagged, every view, and cancelled", async () => {
    const { page, give, answer, finish } = await open();
    await give("o", shot);
    await page.getByRole("progressbar").waitFor();
    expect(await faults(page)).toEqual([]);
    await answer();
    for (const key of ["n", "2", "3", "4", "5"]) {
      await page.keyboard.press(key);
      await page.waitForTimeout(300);
      expect(await faults(page)).toEqual([]);
    }
    await page.getByRole("button", { name: "Save" }).click();
    await page.getByRole("menu").waitFor();
    expect(await faults(page)).toEqual([]);
    await page.keyboard.press("Escape");
    await page.getByRole("menu").waitFor({ state: "detached" });
    await page.keyboard.press("c");
    await page.getByRole("progressbar").waitFor();
    await page.keyboard.press("Escape");
    await answer();
    expect(await faults(page)).toEqual([]);
    await finish();
  });

  test("failed, and a choice of sequences", async () => {
    const { page, give, answer, finish } = await open();
    await give("o", wrong);
    await answer();
    expect(await faults(page)).toEqual([]);
    await give("o", two);
    await page.getByRole("dialog").waitFor();
    expect(await faults(page)).toEqual([]);
    await finish();
  });

  test.each(["clean", "flagged", "unmeasured"])("a report without its frames: %s", async (name) => {
    const { page, give, finish } = await open();
    await give("Shift+O", fixture(`${name}.report.json`));
    await page.locator(".timeline").waitFor();
    await page.keyboard.press("ArrowDown");
    expect(await faults(page)).toEqual([]);
    for (const key of ["Shift+K", "Shift+J"]) {
      await page.keyboard.press(key);
      await page.locator(".paper").waitFor();
      expect(await faults(page)).toEqual([]);
    }
    await finish();
  });
});

test("keys go through frames, findings and parts, and a letter does nothing once letters are switched off", async () => {
  const { page, give, finish } = await openPage(browser);
  await give("Shift+O", fixture("flagged.report.json"));
  await page.locator(".timeline").waitFor();
  const frame = () => page.locator(".playhead-number").textContent();
  const pressed = (name: string) => page.locator(`${name}[aria-pressed=true]`).textContent();
  expect(await frame()).toBe("24");
  await page.keyboard.press("Home");
  expect(await frame()).toBe("1");
  await page.keyboard.press("ArrowRight");
  expect(await frame()).toBe("2");
  await page.keyboard.press("n");
  expect(await pressed(".finding")).toContain("Camera");
  expect(await pressed(".strip-name")).toBe("Camera");
  await page.keyboard.press("ArrowDown");
  expect(await pressed(".strip-name")).toBe("Light");
  await page.keyboard.press("ArrowDown");
  expect(await pressed(".strip-name")).toBe("Head");

  // The playhead is a slider of its own.
  await page.getByRole("slider", { name: "Playhead" }).focus();
  await page.keyboard.press("ArrowLeft");
  expect(await frame()).toBe("23");

  await page.keyboard.press("?");
  await page.getByRole("switch").press(" ");
  await page.keyboard.press("Escape");
  await page.getByRole("dialog").waitFor({ state: "detached" });
  await page.keyboard.press("n");
  expect(await pressed(".strip-name")).toBe("Head");
  await page.keyboard.press("ArrowUp");
  await finish();
});

test("the ground follows the system until a person says otherwise, and the choice is kept", async () => {
  const { page, finish } = await openPage(browser, { colorScheme: "light" });
  const ground = () => page.evaluate(() => document.documentElement.dataset.ground);
  expect(await ground()).toBe("bright");
  await page.emulateMedia({ colorScheme: "dark" });
  await expect.poll(ground).toBe("dim");
  await page.keyboard.press("g");
  expect(await ground()).toBe("bright");
  await page.reload();
  expect(await ground()).toBe("bright");
  await finish();
});

test("on the dim ground no text is brighter than 60 % of white", async () => {
  const { page, give, finish } = await openPage(browser, { colorScheme: "dark" });
  await give("Shift+O", fixture("flagged.report.json"));
  await page.locator(".timeline").waitFor();
  const brightest = await page.evaluate(() => {
    const linear = (value: number) => (value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4);
    let most = 0;
    for (const element of document.querySelectorAll("body *")) {
      const hasText = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent?.trim());
      const rgb = /rgb\((\d+), (\d+), (\d+)\)/.exec(getComputedStyle(element).color);
      if (!hasText || !rgb) continue;
      const [r, g, b] = rgb.slice(1).map((value) => linear(Number(value) / 255));
      most = Math.max(most, 0.2126 * r + 0.7152 * g + 0.0722 * b);
    }
    return most;
  });
  expect(brightest).toBeGreaterThan(0.3);
  expect(brightest).toBeLessThanOrEqual(0.6);
  await finish();
});
