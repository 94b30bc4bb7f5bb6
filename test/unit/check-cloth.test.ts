import { expect, test } from "vitest";
import { parseReport, serialiseReport } from "../../src/model/index.ts";
import { boilingCloth, crawlingCloth, sleeveOnArm, turningHead } from "../support/material-shots.ts";
import { checked, inShort, tracksOf } from "./check-rendered.ts";

// Cloth and skin over what they ride on, on rendered shots with exact truth: noise 2, JPEG 92, no band.

const open = { bandPx: 0 };

test("a jacket that creeps 0.03 px a frame over a held torso is one crawl, as far as it went", async () => {
  const shot = crawlingCloth({ crawlPerFrame: 0.03, noise: 2 });
  const report = await checked(shot, open);
  expect(report.flags.map(({ kind, part }) => [kind, part])).toEqual([["crawl", "jacket"]]);
  const [flag] = report.flags;
  const truth = shot.expected[0].px ?? Number.NaN;
  expect(Math.abs((flag.px ?? 0) - truth)).toBeLessThan(Math.max(0.2 * truth, 2 * (flag.sigma ?? 0)));
  expect(flag.direction?.[0]).toBeGreaterThan(0.9);
  expect(flag.region?.length).toBeGreaterThanOrEqual(4);
  const surface = report.surfaces?.find(({ part }) => part === "jacket");
  const farthest = Math.max(...(surface?.nodes ?? []).map(([, , dx, dy]) => Math.hypot(dx, dy)));
  expect(Math.abs(farthest - truth)).toBeLessThan(0.3);
  const text = serialiseReport(report);
  const read = parseReport(text, "report.json");
  expect("report" in read && read.report.surfaces?.length).toBe(report.surfaces?.length);
});

test("a jacket that lies still on its torso is quiet", async () => {
  const report = await checked(crawlingCloth({ crawlPerFrame: 0, noise: 2, seed: 3, frames: 12 }), open);
  expect(inShort(report)).toEqual([]);
  expect(tracksOf(report, "jacket").every(({ crawlPx }) => crawlPx !== null && crawlPx < 0.3)).toBe(true);
});

test("cloth that is touched in every frame boils, and does not creep", async () => {
  const shot = boilingCloth({ noise: 2, jitter: 0.3, frames: 8, size: 110 });
  const report = await checked(shot, open);
  expect(inShort(report)).toEqual(["boil jacket 2-8"]);
  const truth = shot.expected[0].px ?? Number.NaN;
  expect(Math.abs((report.flags[0].px ?? 0) - truth)).toBeLessThan(0.2 * truth);
});

test("a patch of skin that shifts over a turning head and stays is told with its frame and its place", async () => {
  const shift = { frame: 8, at: [0, 0.2] as const, radius: 28, by: [0.3, 0] as const };
  const report = await checked(turningHead({ noise: 2, texture: "woven", shift, frames: 14 }), open);
  expect(inShort(report)).toEqual(["skin-shift head 8-14"]);
  const [flag] = report.flags;
  expect(Math.abs((flag.px ?? 0) - 0.3)).toBeLessThan(Math.max(0.06, 2 * (flag.sigma ?? 0)));
});

test("a head that turns about the upright is quiet", async () => {
  const report = await checked(turningHead({ noise: 1, texture: "woven", degreesPerFrame: 0.3, frames: 14 }), open);
  expect(inShort(report)).toEqual([]);
});

test("a sleeve that follows its animated arm is quiet", async () => {
  const report = await checked(sleeveOnArm({ noise: 2, frames: 12 }), open);
  expect(inShort(report)).toEqual([]);
});

test("a sleeve that slips 0.6 px along its animated arm in one frame creeps in that frame", async () => {
  const slipped = (frame: number): number => (frame < 6 ? 0 : 0.6);
  const report = await checked(sleeveOnArm({ noise: 2, frames: 12, slipped }), open);
  expect(inShort(report)).toEqual(["crawl sleeve 6-12"]);
  const [flag] = report.flags;
  expect(Math.abs((flag.px ?? 0) - 0.6)).toBeLessThan(Math.max(0.12, 2 * (flag.sigma ?? 0)));
});
