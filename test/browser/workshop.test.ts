import { readFileSync } from "node:fs";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { builtIn } from "../../src/workshop/built-in.ts";
import { parseWorkshop } from "../../src/workshop/workshop-file.ts";
import { fixture, launch, openPage } from "./support.ts";

let browser: Browser;
beforeAll(async () => {
  browser = await launch();
});
afterAll(() => browser.close());

async function faults(page: Page): Promise<readonly string[]> {
  const result = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"])
    .analyze();
  return result.violations.map(
    (each) => `${each.id}: ${each.nodes.map((node) => node.html.slice(0, 160)).join(" | ")}`,
  );
}

const toTab = async (page: Page, name: string) => {
  await page.getByRole("tab", { name }).click();
  await page.getByRole("tabpanel", { name }).waitFor();
};
const title = (page: Page) => page.locator(".sum-result h1");
const newtonMm = async (page: Page) => Number(/bears ([\d.]+)/u.exec((await title(page).textContent()) ?? "")?.[1]);

test("a sag on the sample opens a card that names the joint, ranks its causes with reasons, and shows the joint's load, which a heavier hand raises", async () => {
  const { page, answer, finish } = await openPage(browser, { viewport: { width: 1440, height: 900 } });
  await page.getByRole("button", { name: "Check the sample shot" }).click();
  await answer();
  await page.locator(".finding", { hasText: "sag" }).click();
  expect(await page.locator(".flag-causes").textContent()).toContain("the ball turns in its socket");
  await page.getByRole("button", { name: "Causes and fixes" }).click();

  const card = page.locator(".causes-card");
  expect(await card.locator("h1").textContent()).toContain("left shoulder");
  expect(await card.locator(".joint-line").textContent()).toMatch(/left shoulder bears [\d.]+ \u00b1 [\d.]+ N mm/);
  const first = card.locator(".cause").first();
  expect(await first.locator("h2").textContent()).toContain("The ball turns in its socket");
  expect(await first.locator(".cause-reasons li").allTextContents()).toContainEqual(
    expect.stringMatching(/\+3 for it.*turned about the left shoulder/),
  );
  expect(await card.locator(".cause").count()).toBeGreaterThan(4);

  // What the sheet knows rules out: there is no wire in a ball-jointed arm.
  const out = card.locator(".ruled-out li", { hasText: "wire is tired" });
  expect(await out.textContent()).toContain("the sheet says that this part has ball joints");
  expect(await first.locator(".cautions").textContent()).toContain("come before this card");

  await card.getByRole("button", { name: "Do the sum" }).click();
  const before = await newtonMm(page);
  expect(before).toBeGreaterThan(10);
  expect(await page.locator(".sum-result").textContent()).toMatch(
    /turned 0\.\d+\u00b0 in 1\.\d+ h under .* 0\.\d+ \u00b1 [\d.]+\u00b0 an hour/,
  );
  expect(await page.locator(".chain").getAttribute("aria-label")).toContain("Left shoulder");
  const hand = page.getByRole("group", { name: "Left hand" });
  await hand.getByLabel("Mass", { exact: true }).fill("40");
  await expect.poll(() => newtonMm(page)).toBeGreaterThan(before * 1.3);
  await hand.getByLabel("Mass", { exact: true }).fill("-4");
  await expect
    .poll(() => hand.locator(".field-fault").textContent())
    .toBe("The mass of Left hand is \u22124 g; it can't be less than 0 g.");
  await hand.getByLabel("Mass", { exact: true }).fill("11");

  // The other units show the same load.
  const metric = await newtonMm(page);
  await page.getByRole("switch", { name: "Ounces and inches" }).press(" ");
  expect(await title(page).textContent()).toContain("ozf in");
  expect(Math.abs((await newtonMm(page)) * 7.0616 - metric)).toBeLessThan(1);
  expect(await hand.getByLabel("Mass", { exact: true }).inputValue()).toMatch(/^0\.388/);

  await page.keyboard.press("w");
  expect(await page.locator(".side h1").textContent()).toBe("2 things drifted");
  await finish();
});

test("sums refuse what can't be in a sentence at the field, and answer at once", async () => {
  const { page, finish } = await openPage(browser);
  await page.getByRole("link", { name: "Workshop" }).click();
  await toTab(page, "Silicone mix");
  await page.getByLabel("From").first().selectOption("base");
  await page.getByRole("textbox", { name: "A + B" }).fill("200");
  expect(await page.locator(".weights").textContent()).toContain("6.0 g");
  const deadener = page.getByRole("group", { name: "Deadener" });
  await deadener.getByLabel("Share").fill("130");
  expect(await deadener.locator(".field-fault").textContent()).toBe(
    "The share of Deadener is 130 %; it can't be more than 100 %.",
  );
  await deadener.getByLabel("Share").fill("0");
  const pigment = page.getByRole("group", { name: "Pigment" });
  await pigment.getByLabel("Percent").selectOption("whole");
  expect(await page.locator(".weights").textContent()).toContain("6.19 g");

  await toTab(page, "Joint load");
  await page.getByRole("group", { name: "Upper arm" }).getByLabel("Hangs on").selectOption("hand-3");
  expect(await page.locator(".sum-result").textContent()).toContain("The chain goes in a circle");

  await toTab(page, "Lining");
  const limb = page.getByRole("group", { name: "The bend" }).getByLabel("Thickness of the limb");
  await limb.fill("30");
  expect(await page.locator(".sum-result").textContent()).toContain("47.1 mm of cloth have to fold");
  await page.getByLabel("Overhang of the real cloth").fill("wide");
  expect(await title(page).textContent()).toBe("These figures can't be");

  // What was typed is there again after the page was closed; it is kept within a second.
  await page.waitForTimeout(1000);
  await page.reload();
  await toTab(page, "Lining");
  expect(await limb.inputValue()).toBe("30");
  await finish();
});

test("the workshop's own order, causes and outcomes reorder the cards and are saved as a file", async () => {
  const { page, finish } = await openPage(browser);
  await page.getByRole("link", { name: "Workshop" }).click();
  await page.getByLabel("How it is built").selectOption("ball");
  const titles = () => page.locator(".cause-head h2").allTextContents();
  const [one, two] = await titles();
  await page.locator(".cause").nth(1).getByRole("button", { name: "Look earlier" }).click();
  expect((await titles()).slice(0, 2).map((text) => text.slice(1))).toEqual([two, one].map((text) => text.slice(1)));
  await page.locator(".cause-head h2 button[aria-expanded=false]").first().click();
  await page.getByRole("button", { name: "Degrease ball and plates: it stopped the drift" }).first().click();
  expect(await page.locator(".record", { hasText: "1 of 1 times (counts as 67 %)" }).count()).toBeGreaterThan(0);

  await toTab(page, "Own knowledge");
  const form = page.getByRole("group", { name: "A cause" });
  await form.getByRole("button", { name: "Add the cause" }).click();
  expect(await form.getByRole("alert").textContent()).toContain("Please fill in everything");
  for (const [label, words] of [
    ["Title", "The felt bee is too heavy"],
    ["What happens", "It pulls the hand down."],
    ["Bench test, a step a line", "Take the bee off\nWait"],
    ["It is this if", "The hand stays."],
    ["For the set, until then", "Bear the bee from above."],
    ["So that it stays away", "Hollow bees."],
  ]) {
    await form.getByLabel(label, { exact: true }).fill(words);
  }
  await form.getByRole("button", { name: "Add the cause" }).click();
  const download = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save the workshop file" }).click();
  const read = parseWorkshop(readFileSync(await (await download).path(), "utf8"), "saved.json", builtIn);
  if (!("workshop" in read)) throw new Error(read.refusals.join("\n"));
  expect(read.workshop.causes.map(({ id }) => id)).toEqual(["the-felt-bee-is-too-heavy"]);
  expect(read.workshop.outcomes).toHaveLength(1);
  await toTab(page, "Causes and fixes");
  expect((await titles()).join()).toContain("The felt bee is too heavy");
  await finish();
});

test("keys of the shot rest while the workshop is up", async () => {
  const { page, give, finish } = await openPage(browser);
  await give("Shift+O", fixture("flagged.report.json"));
  await page.locator(".timeline").waitFor();
  await page.keyboard.press("n");
  await page.keyboard.press("w");
  await page.locator(".workshop").waitFor();
  await page.keyboard.press("Home");
  await page.keyboard.press("w");
  expect(await page.locator(".playhead-number").textContent()).toBe("24");
  await finish();
});

describe.each(["dark", "light"] as const)(
  "axe finds nothing to complain of in the workshop on a %s system",
  (colorScheme) => {
    test("every panel, with a finding and with faults", async () => {
      const { page, give, finish } = await openPage(browser, { colorScheme, viewport: { width: 1024, height: 768 } });
      await give("Shift+O", fixture("flagged.report.json"));
      await page.locator(".timeline").waitFor();
      await page.keyboard.press("n");
      expect(await faults(page)).toEqual([]);
      await page.keyboard.press("w");
      for (const name of ["Causes and fixes", "Joint load", "Lining", "Silicone mix", "Own knowledge"]) {
        await toTab(page, name);
        expect(await faults(page), name).toEqual([]);
      }
      await toTab(page, "Silicone mix");
      await page.getByRole("group", { name: "Deadener" }).getByLabel("Share").fill("130");
      expect(await faults(page)).toEqual([]);
      await finish();
    });
  },
);
