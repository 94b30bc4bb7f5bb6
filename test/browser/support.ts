import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright";
import { expect, inject } from "vitest";
import { armSag, type ArmSagOptions } from "../support/shots.ts";
import { renderShot } from "../support/render.ts";
import { timesFrom, writeShot } from "../support/write.ts";

export const root = path.resolve(import.meta.dirname, "../..");
export const fixture = (name: string): string => path.join(import.meta.dirname, "fixtures", name);
export const sample = (name: string): string => path.join(root, "sample-frames", name);

/** A folder that is gone after the test. */
export function scratchFolder(): { readonly path: string; readonly remove: () => void } {
  const folder = mkdtempSync(path.join(os.tmpdir(), "holdfast-page-"));
  return { path: folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

/** A small rendered shot of a puppet whose left arm sags, with its sheet, as files. */
export async function writeArmShot(folder: string, options: ArmSagOptions = {}): Promise<readonly string[]> {
  const shot = armSag({ width: 480, height: 360, frames: 12, sagPerFrame: 0.1, seed: 5, ...options });
  const rendered = renderShot(shot.scene, shot.frames);
  return writeShot(rendered, folder, { sheet: shot.sheet, exifTimes: timesFrom("2026-03-02T09:10:00", 141) });
}

export const launch = (): Promise<Browser> =>
  chromium.launch({
    executablePath: inject("chromium"),
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });

export interface OpenedPage {
  readonly page: Page;
  /** Gives files or a folder to the dialog that a key opens. */
  give(key: string, files: string | string[]): Promise<void>;
  /** Waits until a check is over, and tells the answer. */
  answer(): Promise<string>;
  /** Closes the page; fails where it said an error or asked another origin for anything. */
  finish(): Promise<void>;
}

/** The built page, fresh, with everything it complains of or asks for written down. */
export async function openPage(browser: Browser, options: BrowserContextOptions = {}): Promise<OpenedPage> {
  const address = inject("address");
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, ...options });
  const page = await context.newPage();
  const complaints: string[] = [];
  const strangers: string[] = [];
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(String(error.stack)));
  context.on("request", (request) => {
    const asked = request.url();
    if (!asked.startsWith(address) && !asked.startsWith("blob:") && !asked.startsWith("data:")) strangers.push(asked);
  });
  // Asked for early: the browser needs a moment before it hands its dialogs over.
  page.on("filechooser", () => {});
  // A headless browser has nobody to pick a folder; the input stands in, which other browsers use anyway.
  await page.addInitScript(() => {
    Reflect.deleteProperty(window, "showDirectoryPicker");
  });
  await page.goto(address);
  await page.getByRole("heading", { level: 1 }).waitFor();
  return {
    page,
    async give(key, files) {
      const chooser = page.waitForEvent("filechooser");
      await page.keyboard.press(key);
      await (await chooser).setFiles(files);
    },
    async answer() {
      await page.waitForFunction(
        () =>
          document.querySelector(".side h1")?.textContent !== "" &&
          document.querySelector(".side h1") !== null &&
          document.querySelector("[role=progressbar]") === null,
        null,
        { timeout: 150_000 },
      );
      return (await page.locator(".side h1").textContent()) ?? "";
    },
    async finish() {
      await context.close();
      expect(complaints, "what the page complained of").toEqual([]);
      expect(strangers, "what the page asked other origins for").toEqual([]);
    },
  };
}

/** The built command line on a folder: its exit code and the report. */
export function checkByCommand(folder: string, json: string): number | null {
  const run = spawnSync(
    process.execPath,
    [
      path.join(process.env["HOLDFAST_DIST"] ?? path.join(root, "dist"), "cli", "holdfast.js"),
      "check",
      folder,
      "--json",
      json,
      "--quiet",
    ],
    { encoding: "utf8", timeout: 150_000 },
  );
  return run.status;
}
