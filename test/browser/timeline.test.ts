import { readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, test } from "vitest";
import { parseProof } from "../../src/model/index.ts";
import { longReport } from "./fixtures/long-report.mjs";
import { launch, openPage, scratchFolder, writeArmShot } from "./support.ts";

const scratch = scratchFolder();
const long = path.join(scratch.path, "hive_020.report.json");
const shot = path.join(scratch.path, "hive_010");
let browser: Browser;

beforeAll(async () => {
  browser = await launch();
  writeFileSync(long, JSON.stringify(longReport({ frames: 600, parts: 30 })));
  await writeArmShot(shot);
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

test("a long shot is zoomed and scrolled by keys and wheel, told in mm and by the clock, and a range is chosen and let go", async () => {
  const { page, give, finish } = await openPage(browser);
  await give("Shift+O", long);
  await page.locator(".timeline").waitFor();
  const playhead = () => page.locator(".playhead-number").textContent();
  const numbers = async () => (await page.locator(".tick:not(.scale-head)").allTextContents()).map(Number);
  // Only what is in sight stands in the page, whatever the number of parts.
  expect(await page.locator(".strip-name").count()).toBeLessThan(25);
  expect(await page.locator(".strip-head").first().textContent()).toBe("Oda, copy A");

  const whole = await numbers();
  for (let i = 0; i < 6; i++) await page.keyboard.press(".");
  const close = await numbers();
  expect(close[1]! - close[0]!).toBeLessThan((whole[2]! - whole[1]!) / 2);
  const frame = Number(await playhead());
  expect(close[0]! <= frame && frame <= close.at(-1)! + 100).toBe(true);
  const tracks = await page.locator(".timeline-tracks").first().boundingBox();
  if (!tracks) throw new Error("no strips");
  await page.mouse.move(tracks.x + 300, tracks.y + 60);
  await page.mouse.wheel(400, 0);
  await expect.poll(numbers).not.toEqual(close);
  const reading = await page.locator(".reading").textContent();
  expect(reading).toMatch(/±\s\d\.\d{3}\s(px|mm)/u);

  // Steps bring the playhead back into sight.
  await page.keyboard.press("Home");
  expect(await playhead()).toBe("1");
  await page.keyboard.press("m");
  // The first frame is the reference of all strips: the one after it has numbers.
  await page.keyboard.press("ArrowRight");
  expect(await page.locator(".strip-reading.number").first().textContent()).toMatch(/± \d\.\d{3} mm$/u);
  await page.keyboard.press(">");
  await page.keyboard.press(">");
  expect(await page.locator(".timeline-unit").textContent()).toBe("frames 2 to 4");
  await page.getByRole("slider", { name: "Last frame of the range" }).press("ArrowRight");
  expect(await page.locator(".timeline-unit").textContent()).toBe("frames 2 to 5");
  for (let i = 0; i < 3; i++) await page.keyboard.press("a");
  expect(await playhead()).toMatch(/^\d\d:\d\d$/u);
  expect(await faults(page)).toEqual([]);
  await page.getByRole("button", { name: "Let go of the range" }).click();
  expect(await page.locator(".timeline-unit").textContent()).toBe("at the playhead");
  await finish();
});

test("the search finds an action, a part, a finding and a frame, and does what was chosen", async () => {
  const { page, give, finish } = await openPage(browser);
  await give("Shift+O", long);
  await page.locator(".timeline").waitFor();
  const search = async (words: string) => {
    await page.keyboard.press("/");
    await page.getByRole("dialog").waitFor();
    await page.keyboard.type(words);
    await page.locator(".search-list [data-focused]").waitFor();
  };
  await search("1+08");
  await page.keyboard.press("Enter");
  await expect.poll(() => page.locator(".playhead-number").textContent()).toBe("24");
  await search("wing 14");
  expect(await faults(page)).toEqual([]);
  await page.keyboard.press("Enter");
  await expect.poll(() => page.locator(".strip-name[aria-pressed=true]").textContent()).toBe("Wing 14");
  await search("pop limb 3");
  await page.keyboard.press("Enter");
  await expect.poll(() => page.locator(".card h2").textContent()).toContain("Limb 3 was 1.20");
  await search("all keys");
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { name: "Keys" }).waitFor();
  await page.keyboard.press("Escape");
  // Uncertainties are one key away, and stay for the next finding.
  await page.getByRole("dialog").waitFor({ state: "detached" });
  await page.keyboard.press("i");
  expect(await page.locator(".card h2").textContent()).toContain("±");
  await page.keyboard.press("n");
  expect(await page.locator(".card h2").textContent()).toContain("±");
  await finish();
});

test("a known drift that is put into the shot's own frames comes back, can be cancelled, and is saved as a file", async () => {
  const { page, give, answer, finish } = await openPage(browser);
  await give("o", shot);
  await answer();
  await page.keyboard.press("y");
  await page.getByRole("button", { name: "Prove it" }).click();
  await page.getByRole("progressbar", { name: "Proof" }).waitFor();
  await page.getByRole("button", { name: "Cancel the proof" }).click();
  await page.getByText("nothing is proved yet").waitFor();
  await page.getByRole("button", { name: "Prove it" }).click();
  await page.locator(".proof").first().waitFor({ timeout: 150_000 });
  expect(await page.locator(".paper-answer").textContent()).toContain("came back as it was put in");
  expect(await faults(page)).toEqual([]);
  const download = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save the proof" }).click();
  const file = await download;
  expect(file.suggestedFilename()).toMatch(/\.proof\.json$/u);
  const read = parseProof(readFileSync(await file.path(), "utf8"), "proof.json");
  if (!("proof" in read)) throw new Error(read.refusals.join("\n"));
  expect(read.proof.parts.length).toBe(await page.locator(".proof").count());
  for (const { cameBack, put } of read.proof.parts)
    expect(Math.abs(cameBack.px - put.px)).toBeLessThan(Math.max(0.02, 3 * cameBack.sigma));
  await finish();
}, 240_000);
