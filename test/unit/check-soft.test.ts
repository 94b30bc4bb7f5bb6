import { expect, test } from "vitest";
import type { FrameRow } from "../../src/analysis/series.ts";
import { frameNumber } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import type { Shot } from "../support/shot.ts";
import * as shots from "../support/shots.ts";
import { checked, inShort } from "./check-rendered.ts";
import { framesOf, judge, numbers, shot } from "./judge-series.ts";

// Focus in whole rendered shots: the lens's blur is 0.7 px, and what is told is the contrast of waves of 3 px.

const small = { width: 320, height: 240, parts: 3, frames: 14 };
const blurred = (made: Shot, blur: (frame: number) => number): Shot => ({ ...made, scene: { ...made.scene, blur } });

/** Share of the contrast that waves of 3 px lose when the blur's sigma goes from `a` to `b`, to first order. */
const lossOf = (a: number, b: number): number => (3 * (b * b - a * a)) / 2;

test.each([
  ["grows by 5 % and stays so", 1, (frame: number) => (frame >= 8 ? 0.735 : 0.7), [8, 14], 0.735],
  ["falls by 5 % and stays so", 1, (frame: number) => (frame >= 8 ? 0.665 : 0.7), [8, 14], 0.665],
  ["grows by 5 % in noise of 2", 2, (frame: number) => (frame >= 8 ? 0.735 : 0.7), [8, 14], 0.735],
  ["grows by 5 % for one frame", 1, (frame: number) => (frame === 8 ? 0.735 : 0.7), [8, 8], 0.735],
] as const)("blur that %s is told", async (_, noise, blur, [from, to], after) => {
  const report = await checked(blurred(shots.cleanShot({ ...small, noise }), blur));
  expect(inShort(report)).toEqual([`soft - ${from}-${to}`]);
  const [flag] = report.flags;
  expect(flag).toMatchObject({ px: null, stops: null, region: null });
  const told = Number(/(\d+) ± \d+ %/.exec(flag.message)?.[1]) / 100;
  expect(Math.abs(told - Math.abs(lossOf(0.7, after)))).toBeLessThan(0.025);
  expect(flag.message).toContain(after > 0.7 ? "lost" : "gained");
});

test("a focus that creeps is one flag, of what it lost in all", async () => {
  const report = await checked(blurred(shots.cleanShot(small), (frame) => 0.7 + (0.06 * (frame - 1)) / 13));
  expect(report.flags.map(({ kind, to }) => [kind, to])).toEqual([["soft", 14]]);
  expect(report.flags[0].message).toMatch(/^The picture lost 1[1-5] ± 1 % of its sharpness from frame \d to 14\.$/);
});

test.each([
  [
    "a camera that is knocked by half a pixel each way",
    () => shots.knockedCamera({ ...small, knock: { dx: 0.5, dy: 0.5 } }),
  ],
  [
    "a camera that creeps",
    () => shots.cleanShot({ ...small, camera: (frame) => ({ dx: 0.05 * frame, dy: 0.03 * frame }) }),
  ],
  ["a deep shadow that sweeps", () => shots.movingShadow({ ...small, size: 160, depth: 0.5, background: "woven" })],
  ["a lamp that drops by a fifth", () => shots.lampDrop({ ...small, drop: 0.2 })],
  [
    "an arm that nobody listed, passing by",
    () => shots.passingArm({ ...small, size: 100, listed: false, background: "woven" }),
  ],
  ["an animated figure", () => shots.armSag({ frames: 14, width: 400, height: 300 })],
  [
    "a large part that sags, on a sheet that says it holds",
    () =>
      shots.heldPart({
        seed: 31,
        size: 150,
        frames: 14,
        about: "turn",
        drift: (frame) => 0.09 * Math.max(0, frame - 4),
      }),
  ],
  ["strong noise and strong compression", () => shots.cleanShot({ ...small, noise: 3, jpeg: 75 })],
])("%s is not soft", async (_, make) => {
  const report = await checked(make());
  expect(report.flags.filter(({ kind }) => kind === "soft").map(({ message }) => message)).toEqual([]);
});

const focused = (seed: number, loss: (frame: number, region: number) => number): readonly FrameRow[] => {
  const random = createRandom(seed, 0x666f);
  return framesOf(createRandom(seed), numbers(1, 24), {}).map((row) => {
    if (row.frame === 1) return row;
    const regions = Array.from({ length: 12 }, (_, region) => loss(row.frame, region) + 0.006 * random.normal());
    const mean = regions.reduce((sum, value) => sum + value, 0) / 12;
    return { ...row, focus: { loss: mean, sigma: 0.002, regions, regionSigmas: regions.map(() => 0.006) } };
  });
};

test("a focus that moved in depth softens some regions and sharpens others: one flag with its region", () => {
  for (let seed = 0; seed < 20; seed++) {
    const moved = (frame: number, region: number) => (frame < 10 ? 0 : region % 4 < 2 ? 0.08 : -0.08);
    const { flags } = judge(shot(focused(seed, moved), []));
    expect(flags.map(({ kind, from }) => [kind, from])).toEqual([["soft", 10]]);
    expect(flags[0].region).toHaveLength(4);
    expect(flags[0].message).toContain("Part of the picture");
  }
});

test("a creep that near and far go through unlike each other is one flag, of the region that lost most", () => {
  for (let seed = 0; seed < 20; seed++) {
    // Far: a slow loss. Middle: back and forth within noise. Near: one sharp frame as the focus passes.
    const crept = (frame: number, region: number) =>
      region < 4 ? 0.05 * Math.max(0, frame - 16) : region >= 8 && frame === 24 ? -0.1 : 0;
    const { flags } = judge(shot(focused(seed, crept), []));
    expect(flags.map(({ kind, to }) => [kind, to])).toEqual([["soft", 24]]);
    expect(Math.abs(flags[0].from - 17)).toBeLessThanOrEqual(3);
    expect(flags[0].message).toMatch(/^Part of the picture lost (3[5-9]|4[0-5]) ± \d+ %/);
  }
});

test("a lens that was touched amid a slow creep is a flag of its own", () => {
  for (let seed = 0; seed < 20; seed++) {
    const touched = (frame: number, region: number) =>
      (region < 2 ? 0.012 * (frame - 1) : 0) + (frame === 12 ? 0.1 : 0);
    const flags = judge(shot(focused(seed, touched), [])).flags.map(({ kind, from, to }) => `${kind} ${from} ${to}`);
    expect(flags).toContain("soft 12 12");
    expect(flags).toHaveLength(2);
  }
});

test("regions that scatter widely, as they do in a few strongly compressed frames, are not flagged", () => {
  let flagged = 0;
  for (let seed = 0; seed < 100; seed++) {
    const random = createRandom(seed, 0x7767);
    const rows = framesOf(createRandom(seed), numbers(1, 9), {}).map((row) => {
      if (row.frame === 1) return row;
      const regions = Array.from({ length: 12 }, () => 0.03 * random.normal());
      const mean = regions.reduce((sum, value) => sum + value, 0) / 12;
      return { ...row, focus: { loss: mean, sigma: 0.008, regions, regionSigmas: regions.map(() => 0.025) } };
    });
    flagged += judge(shot(rows, [], { bands: { soft: 0 } })).flags.length;
  }
  expect(flagged).toBe(0);
});

test("sharpness that only scatters is not flagged, nor is a change within the band", () => {
  for (let seed = 0; seed < 100; seed++) {
    expect(
      judge(
        shot(
          focused(seed, () => 0),
          [],
          { bands: { soft: 0.01 } },
        ),
      ).flags,
    ).toEqual([]);
    expect(
      judge(
        shot(
          focused(seed, (frame) => (frame > 12 ? 0.04 : 0)),
          [],
        ),
      ).flags,
    ).toEqual([]);
  }
});

/** A camera that moves in by 1.2 %, eased; its picture gains contrast at any wavelength as a texture does that is blurred by 1.3 px. */
const zoomed = (rows: readonly FrameRow[]): readonly FrameRow[] =>
  rows.map((row) => {
    const grown = 0.006 * (1 - Math.cos((Math.PI * (row.frame - 1)) / 23));
    const camera = row.camera === null ? null : { ...row.camera, scale: Math.exp(grown) };
    if (row.focus === undefined) return { ...row, camera };
    const { loss, regions } = row.focus;
    const focus = { ...row.focus, loss: loss - 5 * grown, regions: regions.map((one) => one - 5 * grown) };
    return { ...row, camera, focus };
  });

test("what a camera gains by moving in is not soft, and a focus that is touched on the way still is", () => {
  const meant = { cameraHolds: [], cameraMoves: [{ from: frameNumber(1), to: frameNumber(24) }] };
  const soft = (rows: readonly FrameRow[], more = {}): string[] =>
    judge(shot(zoomed(rows), [], more))
      .flags.filter(({ kind }) => kind === "soft")
      .map(({ from }) => String(from));
  for (let seed = 0; seed < 20; seed++) {
    const untouched = focused(seed, () => 0);
    expect(soft(untouched, meant)).toEqual([]);
    expect(soft(untouched)).toHaveLength(1);
    expect(
      soft(
        focused(seed, (frame) => (frame >= 12 ? 0.12 : 0)),
        meant,
      ),
    ).toEqual(["12"]);
  }
});
