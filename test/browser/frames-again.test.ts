import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, inject, test } from "vitest";
import { launch, openPage, scratchFolder, writeArmShot } from "./support.ts";

// A shot is kept with the way to its frames. The folder moves, the browser forgets that it may read it, somebody points at
// another shot, and two tabs change one thing. The picker can't be driven without a person: folders of the origin's private
// file system stand in, whose handles are the browser's own.

let browser: Browser;
const scratch = scratchFolder();
const own = path.join(scratch.path, "hive_010");
const other = path.join(scratch.path, "hive_020");
beforeAll(async () => {
  browser = await launch();
  await writeArmShot(own, { frames: 8 });
  await writeArmShot(other, { frames: 8, seed: 9 });
});
afterAll(async () => {
  await browser.close();
  scratch.remove();
});

/** Puts a folder of this machine into the page's own file system, at a place like "hive_010" or "drive/hive_010". */
async function bringIn(page: Page, from: string, to: string): Promise<void> {
  for (const name of readdirSync(from)) {
    await page.evaluate(
      async ([place, file, text]) => {
        let folder = await navigator.storage.getDirectory();
        for (const step of place.split("/")) folder = await folder.getDirectoryHandle(step, { create: true });
        const writable = await (await folder.getFileHandle(file, { create: true })).createWritable();
        await writable.write(Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)));
        await writable.close();
      },
      [to, name, readFileSync(path.join(from, name)).toString("base64")] as const,
    );
  }
}

/** What whoever uses the page picks when it asks for a folder the next time. */
const willPick = (page: Page, place: string) =>
  page.evaluate((steps) => {
    Object.assign(window, {
      showDirectoryPicker: async () => {
        let folder = await navigator.storage.getDirectory();
        for (const step of steps) folder = await folder.getDirectoryHandle(step);
        return folder;
      },
    });
  }, place.split("/"));

const away = (page: Page) => page.locator(".frames-away");
/** A new tab, with the one shot that is kept open in it. */
async function openAgain(page: Page, prepare?: (page: Page) => Promise<unknown>): Promise<Page> {
  const next = await page.context().newPage();
  await prepare?.(next);
  await next.goto(inject("address"));
  await next.locator(".recent-shot").first().click();
  await next.locator(".timeline").waitFor();
  return next;
}
const hasFrames = (page: Page) =>
  page.waitForFunction(() => document.querySelector(".table-words p")?.textContent?.includes(".jpg"));

test("frames are found again where they were, asked for where the browser forgot, and pointed at where they moved; another shot's are refused", async () => {
  const { page, answer, finish } = await openPage(browser);
  await bringIn(page, own, "hive_010");
  await willPick(page, "hive_010");
  await page.getByRole("button", { name: /Open a folder/ }).click();
  await answer();
  await page.waitForTimeout(1200);

  // Where they were: by themselves.
  const found = await openAgain(page);
  await hasFrames(found);
  expect(await away(found).count()).toBe(0);
  await found.close();

  // The browser asks anew after it was closed. No to its question leaves the report, and the question can be asked again.
  const asked = await openAgain(page, async (next) => {
    await next.addInitScript(() => {
      let answers: PermissionState[] = ["denied", "granted"];
      Object.assign(FileSystemHandle.prototype, {
        queryPermission: () => Promise.resolve("prompt"),
        requestPermission: () => {
          const [first, ...rest] = answers;
          answers = rest;
          return Promise.resolve(first);
        },
      });
    });
  });
  await away(asked).getByText("The browser asks before it reads them again.").waitFor();
  await asked.getByRole("button", { name: "Show the frames" }).click();
  await away(asked).getByText("The browser was told not to read").waitFor();
  expect(await asked.locator(".finding").count()).toBeGreaterThan(0);
  await asked.getByRole("button", { name: "Show the frames" }).click();
  await hasFrames(asked);
  await asked.close();

  // Moved: it says so, refuses another shot by name and reason, and takes the right one wherever it is.
  await bringIn(page, own, "drive/hive_010");
  await bringIn(page, other, "drive/hive_020");
  await page.evaluate(async () =>
    (await navigator.storage.getDirectory()).removeEntry("hive_010", { recursive: true }),
  );
  const moved = await openAgain(page);
  await away(moved).getByText("isn't where it was").waitFor();
  await willPick(moved, "drive/hive_020");
  await moved.getByRole("button", { name: "Show the folder" }).click();
  const refused = moved.locator(".notice", { hasText: "These are not the frames of hive_010" });
  expect(await refused.textContent()).toContain("The first frame in hive_020 is another picture");
  expect(await away(moved).count()).toBe(1);
  await willPick(moved, "drive/hive_010");
  await moved.getByRole("button", { name: "Show the folder" }).click();
  await hasFrames(moved);
  expect(await away(moved).count()).toBe(0);
  await moved.waitForTimeout(1200);
  await moved.close();

  // The new way is kept.
  const later = await openAgain(page);
  await hasFrames(later);
  expect(await away(later).count()).toBe(0);
  await finish();
}, 420_000);

test("two tabs that change one verdict before they hear of each other: the second is asked, and either answer is what both show", async () => {
  const { page, answer, give, finish } = await openPage(browser);
  await give("o", own);
  await answer();
  await page.locator(".finding").first().click();
  await page.keyboard.press("Shift+L");
  await page.waitForTimeout(1200);
  const chosen = (on: Page) => on.locator(".verdict-choice[aria-pressed=true]").allTextContents();
  // A tab that hears nothing: as if both had written in the same moment.
  const deaf = await openAgain(page, (next) =>
    next.addInitScript(() => {
      Object.assign(window, {
        BroadcastChannel: class extends EventTarget {
          postMessage(): void {}
          close(): void {}
        },
      });
    }),
  );
  await deaf.locator(".finding").first().click();
  const dialog = deaf.getByRole("alertdialog", { name: "Changed in two tabs" });
  const kept = async () => {
    const next = await openAgain(page);
    await next.locator(".finding").first().click();
    const told = await chosen(next);
    await next.close();
    return told;
  };
  await page.keyboard.press("Shift+N");
  await page.waitForTimeout(1200);
  await deaf.keyboard.press("Shift+P");
  await dialog.waitFor();
  expect(await kept()).toEqual(["Shift Nreshoot"]);
  await dialog.getByRole("button", { name: "Mine, from here" }).click();
  await deaf.waitForTimeout(1200);
  expect(await kept()).toEqual(["Shift Ppaint out"]);

  await page.reload();
  await page.locator(".finding").first().click();
  await page.keyboard.press("Shift+M");
  await page.waitForTimeout(1200);
  await deaf.keyboard.press("Shift+E");
  await dialog.waitFor();
  await dialog.getByRole("button", { name: "The other tab's" }).click();
  await deaf.waitForFunction(() =>
    document.querySelector(".verdict-choice[aria-pressed=true]")?.textContent?.includes("meant"),
  );
  expect(await chosen(deaf)).toEqual(await chosen(page));
  expect(await kept()).toEqual(await chosen(page));
  await finish();
}, 420_000);
