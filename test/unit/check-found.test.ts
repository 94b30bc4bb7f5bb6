import { expect, test } from "vitest";
import { parseSheet, proposeSheet, type Report, serialiseSheet } from "../../src/model/index.ts";
import { checkShot } from "../support/check-shot.ts";
import { capsule, type Layer, roundedBox } from "../support/scene.ts";
import { type Shot, type ShotOptions, shotOf, surfaceOf } from "../support/shot.ts";
import { heldPart, knockedCamera, knockedPart, poppedPart } from "../support/shots.ts";
import { pictures } from "./check-rendered.ts";

// Shots without a sheet: what drifted is found in the pictures, and named by its place.

const [width, height, frames] = [400, 300, 16];

const jarAt = (x: number, y: number, motion?: Layer["motion"]): Layer => ({
  id: "jar",
  outline: roundedBox([x, y], 110, 110),
  ...surfaceOf("woven", 8, 0.3),
  ...(motion === undefined ? {} : { motion }),
});

/** An arm that swings in the right half of the picture, in every frame. */
const arm: Layer = {
  id: "arm",
  outline: capsule([330, 60], [330, 200], 30),
  ...surfaceOf("skin", 9, 0.34),
  motion: (frame) => ({ turn: 0.02 * (frame - 1), pivot: [330, 40] }),
};

const shotWith = (...layers: readonly Layer[]): Shot => shotOf({ width, height, frames }, layers, () => []);

const checkBare = async (shot: Shot, bandPx: number | null = null): Promise<Report> =>
  checkShot({ name: "hive_010", frames: await pictures(shot), sheet: null }, { bandPx });

test("a thing that droops is found and named by its place", async () => {
  const report = await checkBare(shotWith(jarAt(90.4, 151.7, (frame) => ({ dy: 0.06 * (frame - 1) }))));
  expect(report.flags.map(({ message }) => message)).toHaveLength(1);
  const [flag] = report.flags;
  expect(["sag", "set-shift"]).toContain(flag.kind);
  expect(flag.message).toContain("left of centre");
  expect(Math.abs(flag.px! - 0.9)).toBeLessThan(0.12);
  expect(flag.direction![1]).toBeGreaterThan(0.95);
  expect(report.parts.map(({ name }) => name)).toEqual(["found-1: left of centre"]);
});

test("a thing that was knocked is found, beside an arm that is animated and no matter", async () => {
  const report = await checkBare(
    shotWith(
      jarAt(90.4, 151.7, (frame) => ({ dx: frame < 9 ? 0 : 0.8 })),
      arm,
    ),
  );
  expect(report.flags.map(({ kind, from, message }) => `${kind} ${from} ${message}`)).toHaveLength(1);
  const [flag] = report.flags;
  expect(["knock", "set-shift"]).toContain(flag.kind);
  expect(flag.from).toBe(9);
  expect(Math.abs(flag.px! - 0.8)).toBeLessThan(0.1);
  expect(flag.message).toContain("left of centre");
});

test("a still set with an animated arm has nothing to tell", async () => {
  const report = await checkBare(shotWith(jarAt(90.4, 151.7), arm));
  expect(report.flags.map(({ message }) => message)).toEqual([]);
});

test("a knocked camera is one event without a sheet too", async () => {
  const report = await checkBare(knockedCamera({ width, height, frames, size: 120, frame: 9 }));
  expect(report.flags.map(({ kind }) => kind)).toEqual(["camera-shift"]);
  expect(report.flags[0].from).toBe(9);
});

const small = { width: 384, height: 288, size: 80, frames: 24, seed: 12 } satisfies ShotOptions & { size: number };

test.each([
  { kind: "sag", shot: heldPart({ ...small, sagPerFrame: 0.02 }), from: 2, within: 3, px: 0.46 },
  { kind: "knock", shot: knockedPart({ ...small, px: 0.05 }), from: 13, within: 0, px: 0.05 },
  { kind: "pop", shot: poppedPart({ ...small, px: 0.1, noise: 1.5 }), from: 13, within: 0, px: 0.1 },
])("with the band opened a small $kind of a piece of 80 px is found in the pictures", async (one) => {
  const report = await checkBare(one.shot, 0);
  expect(report.flags.map(({ kind }) => kind)).toEqual([one.kind]);
  const [flag] = report.flags;
  expect(Math.abs(flag.from - one.from)).toBeLessThanOrEqual(one.within);
  expect(Math.abs(flag.px! - one.px)).toBeLessThan(0.035);
  expect(flag.message).toContain("centre");
});

test("an animated arm, a flickering light and a shadow that sweeps raise nothing, the band opened", async () => {
  const shot = shotOf(
    { width, height, frames, flickerStops: 0.02 },
    [jarAt(90.4, 151.7), arm],
    () => [],
    (frame) => ({ shadow: { across: [1, 0], edge: -60 + 18 * frame, softness: 60, depth: 0.3 } }),
  );
  const report = await checkBare(shot, 0);
  expect(report.flags.filter(({ kind }) => kind !== "light").map(({ message }) => message)).toEqual([]);
});

test("a thing that is out for one frame, twice, popped and is not animated", async () => {
  const report = await checkBare(
    shotWith(jarAt(90.4, 151.7, (frame) => ({ dx: frame === 6 || frame === 11 ? 1.6 : 0 }))),
  );
  expect(report.animated).toBeUndefined();
  expect(report.flags.map(({ kind, from }) => `${kind} ${from}`)).toEqual(["pop 6", "pop 11"]);
});

test("two things that were knocked in different frames are two flags with a place and an outline each", async () => {
  const knockedAt = (at: number) => (frame: number) => ({ dy: frame < at ? 0 : 0.7 });
  const report = await checkBare(
    shotWith(jarAt(90.4, 85.7, knockedAt(6)), { ...jarAt(300.2, 188.3, knockedAt(11)), id: "jar-2" }),
  );
  expect(report.flags.map(({ kind, from }) => `${kind} ${from}`)).toEqual(["knock 6", "knock 11"]);
  const parts = report.flags.map(({ part }) => report.parts.find(({ id }) => id === part)!);
  expect(parts.map(({ name }) => name.replace(/^found-\d: /, ""))).toEqual(["upper left", "right of centre"]);
  for (const [i, x] of [90, 300].entries()) {
    const xs = parts[i].outline.map(([px]) => px);
    // Half of a jar of 110 px on either side.
    expect(Math.abs(Math.min(...xs) - (x - 55))).toBeLessThan(12);
    expect(Math.abs(Math.max(...xs) - (x + 55))).toBeLessThan(12);
  }
});

test("the proposed sheet is a valid one, tells what moves when, and a check with it finds the same", async () => {
  const shot = shotWith(
    jarAt(90.4, 151.7, (frame) => ({ dx: frame < 9 ? 0 : 0.8 })),
    { ...arm, motion: (frame) => ({ turn: 0.02 * Math.min(9, frame - 1), pivot: [330, 40] }) },
  );
  const memory = { name: "hive_010", frames: await pictures(shot) };
  const bare = await checkShot({ ...memory, sheet: null });
  const proposed = proposeSheet(bare)!;
  const text = serialiseSheet(proposed);
  const parsed = parseSheet(text, "proposed.json", { frames: bare.shot.frames, width, height });
  if ("refusals" in parsed) throw new Error(parsed.refusals.join("\n"));
  expect(serialiseSheet(parsed.sheet)).toBe(text);
  expect(parsed.sheet.parts.map(({ name }) => name)).toEqual(["Held, left of centre", "Animated, right of centre"]);
  const [jar, swinging] = parsed.sheet.parts;
  expect(jar.intents.map(({ from, to, intent }) => `${intent} ${from}-${to}`)).toEqual([`holds 1-${frames}`]);
  expect(swinging.intents.map(({ from, to, intent }) => `${intent} ${from}-${to}`)).toEqual([
    "moves 1-10",
    `holds 11-${frames}`,
  ]);
  const again = await checkShot({ ...memory, sheet: JSON.parse(text) as unknown });
  const told = (report: Report): string[] => report.flags.map(({ kind, part, from }) => `${kind} ${part} ${from}`);
  expect(told(again)).toEqual(told(bare));
  expect(Math.abs(again.flags[0].px! - 0.8)).toBeLessThan(0.1);
});

test("nothing is proposed where nothing moved, nor where there was a sheet", async () => {
  expect(proposeSheet(await checkBare(shotWith(jarAt(90.4, 151.7))))).toBeNull();
  const shot = heldPart({ frames: 6, sagPerFrame: 0.1 });
  const report = await checkShot({ name: "hive_010", frames: await pictures(shot), sheet: shot.sheet });
  expect(proposeSheet({ ...report, made: { ...report.made, sheetSha256: "0".repeat(64) } })).toBeNull();
});
