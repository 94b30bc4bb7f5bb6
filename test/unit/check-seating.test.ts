import { expect, test } from "vitest";
import type { Report } from "../../src/model/index.ts";
import { checkShot } from "../support/check-shot.ts";
import { type Layer, roundedBox, type SceneIntent } from "../support/scene.ts";
import { type Shot, shotOf, surfaceOf } from "../support/shot.ts";
import type { Motion } from "../support/similarity.ts";
import { inShort, pictures, tracksOf } from "./check-rendered.ts";

// Replacement mouths on Oda's head: each piece against the last time that it was worn, head and camera taken out.

const [width, height, frames] = [360, 260, 16];
const wearings = [
  [1, 4, "mouth-1"],
  [5, 8, "mouth-3"],
  [9, 12, "mouth-1"],
  [13, 16, "mouth-3"],
] as const;
const wornAt = (frame: number): string => wearings.find(([from, to]) => from <= frame && frame <= to)![2];

interface Options {
  /** Where a piece sits on the head, by frame. */
  readonly seat: (frame: number) => Motion;
  readonly head?: (frame: number) => Motion;
  readonly headDoes?: SceneIntent["intent"];
  readonly camera?: (frame: number) => Motion;
}

const mouth = roundedBox([180.4, 150.3], 84, 52);

function faceShot({ seat, head = () => ({}), headDoes = "holds", camera }: Options): Shot {
  const onHead = (frame: number): Motion => {
    const [carried, own] = [head(frame), seat(frame)];
    return { dx: (carried.dx ?? 0) + (own.dx ?? 0), dy: (carried.dy ?? 0) + (own.dy ?? 0) };
  };
  const pieceLayer = (piece: string, seed: number): Layer => ({
    id: piece === "mouth-1" ? "mouth" : piece,
    outline: mouth,
    ...surfaceOf("speckle", seed, 0.36),
    motion: onHead,
    shown: (frame) => wornAt(frame) === piece,
    ...(piece === "mouth-1"
      ? {
          part: {
            name: "Mouth",
            kind: "face",
            carrier: "head",
            intents: wearings.map(([from, to, wears]) => ({ from, to, intent: "swapped" as const, wears })),
          },
        }
      : {}),
  });
  const skull: Layer = {
    id: "head",
    outline: roundedBox([180, 125], 170, 160),
    ...surfaceOf("skin", 5, 0.3),
    motion: head,
    part: { name: "Head", kind: "head", intents: [{ from: 1, to: frames, intent: headDoes }] },
  };
  return shotOf(
    { width, height, frames, jpeg: null, background: "speckle", ...(camera === undefined ? {} : { camera }) },
    [skull, pieceLayer("mouth-1", 21), pieceLayer("mouth-3", 22)],
    () => [],
  );
}

const check = async (options: Options): Promise<Report> => {
  const shot = faceShot(options);
  return checkShot({ name: "hive_010", frames: await pictures(shot), sheet: shot.sheet });
};

test("a piece that sits elsewhere than the last time is told with its shift, and no other piece", async () => {
  const report = await check({ seat: (frame) => (frame >= 9 && frame <= 12 ? { dx: 0.5, dy: 0.7 } : {}) });
  expect(inShort(report)).toEqual(["seating mouth 9-12"]);
  const [flag] = report.flags;
  expect(Math.abs(flag.px! - Math.hypot(0.5, 0.7))).toBeLessThan(0.15);
  expect(flag.direction![1]).toBeGreaterThan(0.6);
  expect(flag.message).toContain("mouth-1");
  expect(flag.message).toContain("frame 4");
  // Tracks tell the seating: against the last frame with the same piece.
  const anchors = tracksOf(report, "mouth").map(({ frame, anchor }) => `${frame} ${anchor}`);
  expect(anchors.filter((pair) => / (?:4|8)$/u.test(pair))).toEqual([
    "9 4",
    "10 4",
    "11 4",
    "12 4",
    "13 8",
    "14 8",
    "15 8",
    "16 8",
  ]);
  for (const { frame, dx, dy } of tracksOf(report, "mouth")) {
    const [x, y] = frame >= 9 && frame <= 12 ? [0.5, 0.7] : [0, 0];
    expect(Math.hypot(dx! - x, dy! - y)).toBeLessThan(0.12);
  }
});

test("pieces that follow a head that sags, or a camera that was knocked, sit where they sat", async () => {
  const sag = await check({ seat: () => ({}), head: (frame) => ({ dy: 0.06 * (frame - 1) }) });
  expect(inShort(sag)).toEqual([expect.stringMatching(/^sag head/)]);
  expect(sag.flags[0].carries).toEqual(["mouth"]);
  const knocked = await check({ seat: () => ({}), camera: (frame) => (frame >= 9 ? { dx: 0.9, dy: 0.3 } : {}) });
  expect(inShort(knocked)).toEqual([expect.stringMatching(/^camera-shift - 9/)]);
});

test("on a head that is animated the seating has the head's own uncertainty in it, and nothing false is flagged", async () => {
  const report = await check({ seat: () => ({}), head: (frame) => ({ dx: 1.3 * (frame - 1) }), headDoes: "moves" });
  expect(inShort(report)).toEqual([]);
  const late = tracksOf(report, "mouth").filter(({ frame }) => frame >= 9);
  expect(late.length).toBe(8);
  for (const { dx, dy, sigmaDx } of late) {
    expect(Math.hypot(dx!, dy!)).toBeLessThan(0.6);
    expect(sigmaDx!).toBeGreaterThan(0.2);
  }
});
