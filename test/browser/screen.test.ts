import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, test } from "vitest";
import { launch, openPage } from "./support.ts";

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
