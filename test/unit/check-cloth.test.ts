import { expect, test } from "vitest";
import { parseReport, serialiseReport } from "../../src/model/index.ts";
import { boilingCloth, crawlingCloth, sleeveOnArm, turningHead } from "../support/material-shots.ts";
import { capsule, type Layer } from "../support/scene.ts";
import { sheetOf } from "../support/sheet.ts";
import { type Shot, surfaceOf } from "../support/shot.ts";
import type { Motion } from "../support/similarity.ts";
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

const held = { crawlPerFrame: 0, noise: 2, frames: 10, size: 110 } as const;

/** The still jacket on its torso, both moved alike. */
function carriedBy(motion: (frame: number) => Motion, intent: "alive" | "holds"): Shot {
  const still = crawlingCloth(held);
  const layers = still.scene.layers.map((layer): Layer => {
    if (layer.id !== "torso" || layer.part === undefined) return { ...layer, motion };
    return { ...layer, motion, part: { ...layer.part, intents: [{ from: 1, to: still.frames, intent }] } };
  });
  const scene = { ...still.scene, layers };
  return { ...still, scene, sheet: sheetOf(scene, still.frames) };
}

test.each(["woven", "plaster"] as const)(
  "a shadow's wide soft edge that stays on faint %s is no crawl",
  async (texture) => {
    const still = crawlingCloth({ noise: 1, frames: 14, texture, contrast: 0.3, crawlPerFrame: 0 });
    const light = (frame: number) => ({
      shadow: { across: [0.8, 0.6], softness: 160, depth: 0.35, edge: frame < 7 ? -200 : 230 } as const,
    });
    const report = await checked({ ...still, scene: { ...still.scene, light } }, open);
    expect(report.flags.filter(({ part }) => part === "jacket")).toEqual([]);
  },
);

test("cloth under a shadow that sweeps over it, and under light that drifts and flickers, is quiet", async () => {
  const still = crawlingCloth({ ...held, flickerStops: 0.012, lightDriftStops: 0.02 });
  const { light } = still.scene;
  const swept = (frame: number) => ({
    ...light?.(frame),
    shadow: { across: [1, 0], softness: 50, depth: 0.3, edge: 30 * frame } as const,
  });
  const report = await checked({ ...still, scene: { ...still.scene, light: swept } }, open);
  expect(report.flags.filter(({ kind }) => kind !== "light")).toEqual([]);
});

test("cloth that an arm passes over and covers in part is quiet", async () => {
  const still = crawlingCloth(held);
  const arm: Layer = {
    id: "passing",
    outline: capsule([360, 130], [420, -60], 20, 24),
    ...surfaceOf("woven", 7, 0.4),
    motion: (frame) => ({ dx: -42 * (frame - 1) }),
  };
  const layers = [...still.scene.layers, arm];
  const report = await checked({ ...still, scene: { ...still.scene, layers } }, open);
  expect(inShort(report)).toEqual([]);
});

test("cloth that rides on what breathes is quiet", async () => {
  const breath = (frame: number) => ({ dy: 0.8 * Math.sin(0.8 * (frame - 1)) });
  const report = await checked(carriedBy(breath, "alive"), open);
  expect(inShort(report)).toEqual([]);
});

test("cloth that rides on a carrier that sags is quiet: the sag is the carrier's, once", async () => {
  const report = await checked(
    carriedBy((frame) => ({ dy: 0.05 * (frame - 1) }), "holds"),
    open,
  );
  expect(report.flags.map(({ kind, part }) => [kind, part])).toEqual([["sag", "torso"]]);
});

test("a jacket without a carrier that creeps at its middle in one pair of frames is one crawl, no knock of the whole", async () => {
  const still = crawlingCloth({ ...held, noise: 1, texture: "herringbone", crawlPerFrame: 0.3, onset: 6 });
  const layers = still.scene.layers.flatMap((layer): Layer[] => {
    if (layer.crawl === undefined || layer.part === undefined) return [];
    const { carrier: _, intents: __, ...part } = layer.part;
    return [{ ...layer, part, crawl: (u, v, frame) => layer.crawl!(u, v, Math.min(frame, 6)) }];
  });
  const scene = { ...still.scene, layers };
  const report = await checked({ ...still, scene, sheet: sheetOf(scene, still.frames) }, open);
  expect(report.flags.map(({ kind, part, from }) => [kind, part, from])).toEqual([["crawl", "jacket", 6]]);
  expect(Math.abs((report.flags[0].px ?? 0) - 0.3)).toBeLessThan(0.06);
});
