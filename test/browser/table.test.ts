import { readFileSync } from "node:fs";
import { decode } from "fast-png";
import { unzipSync } from "fflate";
import type { Browser, Page } from "playwright";
import { afterAll, beforeAll, expect, test } from "vitest";
import { centroidOf, parseReport } from "../../src/model/index.ts";
import { launch, type OpenedPage, openPage, sample } from "./support.ts";

// The table on the sample shot, looked at through its own canvas: large enough that the frame lies on it pixel for pixel.

let browser: Browser;
let opened: OpenedPage;
let page: Page;
let dx: number;
let dy: number;
let turn: number;
/** The hand's middle in the last frame, px. */
let hand: readonly [number, number];
/** Left top corner of the patch that is looked at. */
let corner: readonly [number, number];

beforeAll(async () => {
  browser = await launch();
  opened = await openPage(browser, { viewport: { width: 1960, height: 1360 } });
  page = opened.page;
  await opened.give("o", sample("hive_010"));
  await opened.answer();
  const download = page.waitForEvent("download");
  await page.keyboard.press("s");
  const read = parseReport(readFileSync(await (await download).path(), "utf8"), "saved.json");
  if (!("report" in read)) throw new Error(read.refusals.join("\n"));
  const part = read.report.parts.find(({ id }) => id === "hand-left")!;
  const row = read.report.tracks.find((each) => each.part === part.id && each.frame === 24)!;
  const [x, y] = centroidOf({ points: part.outline, holes: [] });
  hand = [x + row.rawDx!, y + row.rawDy!];
  corner = [Math.round(hand[0] - PATCH / 2), Math.round(hand[1] - PATCH / 2)];
  [dx, dy, turn] = [row.dx!, row.dy!, row.turn!];
  await page.keyboard.press("End");
  await page.keyboard.press("9");
  // Outlines would be measured too.
  await page.keyboard.press("u");
  await page.evaluate(() => {
    const copy = document.createElement("canvas");
    const context = copy.getContext("2d", { willReadFrequently: true })!;
    Object.assign(window, {
      greys: (x: number, y: number, width: number, height: number) => {
        const table = document.querySelector<HTMLCanvasElement>(".table-canvas")!;
        const [left, top] = [table.clientWidth / 2 - 640, table.clientHeight / 2 - 360];
        [copy.width, copy.height] = [width, height];
        context.drawImage(table, -(left + x), -(top + y));
        const { data } = context.getImageData(0, 0, width, height);
        return Array.from({ length: width * height }, (_, i) => data[4 * i] + data[4 * i + 1] + data[4 * i + 2]);
      },
    });
  });
}, 240_000);
afterAll(async () => {
  await opened?.finish();
  await browser.close();
});

const PATCH = 36;
const greysAt = (x: number, y: number, size: number): Promise<number[]> =>
  page.evaluate(
    ([left, top, side]) =>
      (window as unknown as { greys(x: number, y: number, w: number, h: number): number[] }).greys(
        left,
        top,
        side,
        side,
      ),
    [x, y, size] as const,
  );

/**
 * How far the picture about the hand lies from where `times` its measured drift would bring it, px: by squared
 * differences, to a fraction by a parabola. The frame itself has the drift once; the turn goes with it, so that a thumb
 * above the middle isn't taken for a way to the side.
 */
async function offBy(plain: readonly number[], times: number, reach = 44): Promise<number> {
  const [x0, y0] = corner;
  const side = PATCH + 2 * reach;
  const after = await greysAt(x0 - reach, y0 - reach, side);
  const at = (x: number, y: number): number => {
    const [i, j] = [Math.floor(x), Math.floor(y)];
    const [f, g] = [x - i, y - j];
    const k = j * side + i;
    return (
      (1 - g) * ((1 - f) * after[k] + f * after[k + 1]) + g * ((1 - f) * after[k + side] + f * after[k + side + 1])
    );
  };
  const cost = (u: number, v: number) => {
    let sum = 0;
    for (let y = 0; y < PATCH; y++)
      for (let x = 0; x < PATCH; x++) {
        const [ax, ay] = [x0 + x + 0.5 - hand[0], y0 + y + 0.5 - hand[1]];
        const bx = x + reach + (times - 1) * (dx - turn * ay) + u;
        const by = y + reach + (times - 1) * (dy + turn * ax) + v;
        sum += (plain[y * PATCH + x] - at(bx, by)) ** 2;
      }
    return sum;
  };
  let best = { u: 0, v: 0, cost: Number.POSITIVE_INFINITY };
  for (let v = -6; v <= 6; v++)
    for (let u = -6; u <= 6; u++) if (cost(u, v) < best.cost) best = { u, v, cost: cost(u, v) };
  const { u, v } = best;
  const peak = (a: number, b: number, c: number) => (0.5 * (a - c)) / (a - 2 * b + c);
  return Math.hypot(
    u + peak(cost(u - 1, v), best.cost, cost(u + 1, v)),
    v + peak(cost(u, v - 1), best.cost, cost(u, v + 1)),
  );
}

const words = () => page.locator(".table-words p").textContent();
const settled = (text: RegExp) => expect.poll(words, { timeout: 20_000 }).toMatch(text);

test("the hand is drawn as many times as far from its anchor as was measured, to half a pixel on the canvas", async () => {
  await page.keyboard.press("1");
  await page.waitForTimeout(1500);
  const plain = await greysAt(...corner, PATCH);
  await page.keyboard.press("6");
  for (const times of [10, 20]) {
    await settled(new RegExp(`Drift ${times} times as large`, "u"));
    await page.waitForTimeout(1000);
    expect(await offBy(plain, times), `${times} times`).toBeLessThan(0.5);
    await page.keyboard.press("]");
  }
  await page.keyboard.press("7");
  await settled(/As if it had held/u);
  await page.waitForTimeout(1000);
  expect(await offBy(plain, 0), "held still").toBeLessThan(0.1);
  await page.keyboard.press("1");
}, 120_000);

test("any frame can be compared with, and shows as long as a key is held down", async () => {
  await page.keyboard.press("Home");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Shift+W");
  await page.keyboard.press("End");
  await page.keyboard.press("4");
  await settled(/^Frame 24 minus Picked, frame 2,/u);
  await page.waitForTimeout(1500);
  const difference = await greysAt(600, 300, 64);
  await page.keyboard.down("Shift");
  await page.keyboard.down("A");
  await settled(/Held down: Picked, frame 2/u);
  await page.waitForTimeout(800);
  expect(await greysAt(600, 300, 64)).not.toEqual(difference);
  await page.keyboard.up("A");
  await page.keyboard.up("Shift");
  await settled(/minus Picked/u);
  await page.waitForTimeout(300);
  expect(await greysAt(600, 300, 64)).toEqual(difference);
  await page.keyboard.press("Shift+W");
  await settled(/minus Anchor, frame 1,/u);
  await page.keyboard.press("1");
}, 60_000);

test("after the first pass no frame is late in playing, at any rate, within the range", async () => {
  await page.keyboard.press("Shift+Y");
  expect(await page.locator(".rate").textContent()).toBe("12 fps");
  for (let i = 0; i < 2; i++) await page.keyboard.press("Shift+Y");
  expect(await page.locator(".rate").textContent()).toBe("30 fps");
  // The machine may be slow; once all frames are there none is late.
  const lateIn = async () => {
    await page.keyboard.press(" ");
    await page.waitForTimeout(1800);
    const text = await page.locator(".rate").textContent();
    await page.keyboard.press(" ");
    return text;
  };
  await lateIn();
  await expect.poll(lateIn, { timeout: 30_000 }).toBe("30 fps");
  await page.keyboard.press("Shift+Y");
  // By holds: the sheet has one from the first frame to the last.
  await page.keyboard.press("PageUp");
  expect(await page.locator(".frame-names dd").first().textContent()).toContain("1 /");
}, 60_000);

test("the close-up keeps the part still where its motion is taken out", async () => {
  await page.keyboard.press("Shift+U");
  await page.locator(".finding", { hasText: "sag" }).first().click();
  const looks = () =>
    page.evaluate(() => {
      const source = document.querySelector<HTMLCanvasElement>(".close-up-canvas")!;
      const copy = document.createElement("canvas");
      [copy.width, copy.height] = [source.width, source.height];
      const context = copy.getContext("2d", { willReadFrequently: true })!;
      context.drawImage(source, 0, 0);
      const { data } = context.getImageData(0, 0, copy.width, copy.height);
      let sum = 0;
      for (let i = 0; i < data.length; i += 4) sum += data[i];
      return sum / (data.length / 4);
    });
  await expect.poll(looks, { timeout: 30_000 }).toBeGreaterThan(20);
  const left = await looks();
  await page.keyboard.press("t");
  expect(await page.locator(".close-up-words").textContent()).toContain("its motion taken out");
  await page.waitForTimeout(500);
  expect(await looks()).not.toBe(left);
  await page.getByRole("button", { name: "Close the close-up" }).click();
  expect(await page.locator(".close-up").count()).toBe(0);
}, 60_000);

test("what is held still is saved as layers with alpha, of the frame's own size, in one zip", async () => {
  // Nobody is there to choose a file; the download stands in, which other browsers use anyway.
  await page.evaluate(() => Reflect.deleteProperty(window, "showSaveFilePicker"));
  await page.locator(".finding", { hasText: "sag" }).first().click();
  await page.keyboard.press("7");
  const download = page.waitForEvent("download", { timeout: 150_000 });
  await page.getByRole("button", { name: "Layers" }).click();
  await page.getByRole("button", { name: "Save 18 layers as a zip" }).click();
  const files = unzipSync(new Uint8Array(readFileSync(await (await download).path())));
  expect(Object.keys(files).length).toBe(19);
  expect(new TextDecoder().decode(files["held-still.txt"])).toContain("Left upper arm, Left forearm, Left hand");
  const { width, height, channels, data } = decode(files["hive_010_held_0024.png"]!);
  expect([width, height, channels]).toEqual([1280, 720, 4]);
  const alphaAt = (x: number, y: number) => data[(Math.round(y) * width + Math.round(x)) * 4 + 3];
  expect(alphaAt(hand[0], hand[1])).toBe(255);
  expect(alphaAt(100, 100)).toBe(0);
  // Something in between, softly, around the part.
  expect(data.some((value, i) => i % 4 === 3 && value > 0 && value < 255)).toBe(true);
  expect(await page.locator(".held-dialog [role=status]").textContent()).toMatch(/^18 layers saved/u);
}, 180_000);
