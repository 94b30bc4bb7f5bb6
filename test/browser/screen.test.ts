import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launch, openPage, sample } from "./support.ts";

let browser: Browser;
beforeAll(async () => {
  browser = await launch();
});
afterAll(() => browser.close());

/** Which of these can't be seen and pressed as they stand: cut off, or with something over them. */
const outOfSight = (page: Page, selectors: readonly string[]) =>
  page.evaluate(
    (all) =>
      all.flatMap((selector) => {
        const found = [...document.querySelectorAll(selector)];
        if (found.length === 0) return [`${selector}: not there`];
        return found.flatMap((each) => {
          const box = each.getBoundingClientRect();
          const corners = [
            [box.left + 2, box.top + 2],
            [box.right - 2, box.bottom - 2],
          ] as const;
          return corners.every(([x, y]) => {
            const top = document.elementFromPoint(x, y);
            return top !== null && (each.contains(top) || top.contains(each));
          })
            ? []
            : [`${selector}: ${each.textContent}`];
        });
      }),
    selectors,
  );

test("sentence, verdicts and the next finding are in sight without scrolling, before and after a verdict, at every size", async () => {
  const { page, answer, finish } = await openPage(browser, { viewport: { width: 1440, height: 900 } });
  await page.getByRole("button", { name: "Check the sample shot" }).click();
  await answer();
  const needed = [".card h2", ".verdict-choice", ".neighbours .button", ".verdict-words input"];
  for (const [width, height] of [
    [1440, 900],
    [1024, 768],
    [720, 450],
  ] as const) {
    await page.setViewportSize({ width, height });
    for (const key of ["n", "Shift+L", "n", "k", "v", "v"]) {
      await page.keyboard.press(key);
      await expect.poll(() => outOfSight(page, needed), { message: `${width} x ${height} after ${key}` }).toEqual([]);
    }
  }
  await finish();
});

test("a part is dragged onto what it rides on, in the list and on the figure; a ring is refused with a sentence", async () => {
  const { page, give, finish } = await openPage(browser, { viewport: { width: 1440, height: 900 } });
  await give("o", sample("hive_010"));
  await page.locator(".figure-part").first().waitFor();
  await page.keyboard.press("e");
  const row = (name: string) => page.locator(".part-row", { hasText: name });
  const drag = async (from: ReturnType<typeof row>, to: ReturnType<typeof row>) => {
    await from.scrollIntoViewIfNeeded();
    await from.hover();
    await page.mouse.down();
    await page.mouse.move(700, 400);
    await to.scrollIntoViewIfNeeded();
    await to.hover();
    const words = await page.locator(".carry-ghost").textContent();
    await page.mouse.up();
    return words;
  };
  expect(await drag(row("Straw hat"), row("Neckerchief"))).toBe("Straw hat rides on neckerchief");
  await row("Straw hat").click();
  expect(await page.getByLabel("Rides on").locator("option:checked").textContent()).toBe("Neckerchief");
  const refusal = "Torso and jacket can't ride on Left hand: Left hand rides on Torso and jacket already";
  expect(await drag(row("Torso and jacket"), row("Left hand"))).toContain(refusal);
  expect(await page.locator(".field-fault").first().textContent()).toContain(refusal);
  // Escape gives it up.
  await row("Straw hat").hover();
  await page.mouse.down();
  await page.mouse.move(700, 400);
  await page.locator(".carry-ghost").waitFor();
  await page.keyboard.press("Escape");
  await page.locator(".carry-ghost").waitFor({ state: "detached" });
  await page.mouse.up();
  const figure = (id: string) => page.locator(`.figure-part[data-part="${id}"]`);
  expect(await drag(figure("hat"), figure("head"))).toBe("Straw hat rides on head");
  await page.locator(".parts-history button").first().click();
  await finish();
});
