import { beforeAll, expect, test } from "vitest";
import type { Plane } from "../../src/measure/plane.ts";
import type { Report, Track } from "../../src/model/index.ts";
import { checkShot, type MemoryOptions } from "../support/check-shot.ts";
import { type Layer, roundedBox } from "../support/scene.ts";
import { shotOf, surfaceOf } from "../support/shot.ts";
import { sheetOf } from "../support/sheet.ts";
import type { Point } from "../support/similarity.ts";
import { inShort, pictures, tracksOf } from "./check-rendered.ts";

// What must come out the same, or the other way round, when a shot is told in another way.

const [WIDTH, HEIGHT, COUNT] = [320, 240, 14];

const sleeve: Layer = {
  id: "sleeve",
  outline: roundedBox([100.3, 118.7], 80, 80),
  ...surfaceOf("woven", 3, 0.3),
  motion: (frame) => ({ turn: 0.0008 * (frame - 1), pivot: [60.3, 118.7] }),
  part: {
    name: "Left sleeve",
    kind: "limb",
    joints: [{ id: "shoulder-left", name: "Left shoulder", at: [60.3, 118.7] }],
  },
};
const jar: Layer = {
  id: "jar",
  outline: roundedBox([232.6, 121.2], 70, 80),
  ...surfaceOf("skin", 4, 0.28),
  part: { name: "Honey jar", kind: "prop" },
};
const shot = shotOf(
  { width: WIDTH, height: HEIGHT, frames: COUNT, jpeg: null, background: "speckle" },
  [sleeve, jar],
  () => [],
);

type Sheet = ReturnType<typeof sheetOf>;
interface Placed {
  readonly outlines: readonly { readonly points: readonly Point[] }[];
  readonly joints: readonly { readonly at: Point }[];
}

const check = (
  frames: ReadonlyMap<number, Plane>,
  sheet: unknown = shot.sheet,
  options?: MemoryOptions,
): Promise<Report> => checkShot({ name: "hive_010", frames, sheet }, options);

const partsIn = (sheet: Sheet): Placed[] => sheet["parts"] as Placed[];

let frames: Map<number, Plane>;
let plain: Report;
beforeAll(async () => {
  frames = await pictures(shot);
  plain = await check(frames);
}, 60_000);

const mapped = (change: (plane: Plane, frame: number) => Plane): Map<number, Plane> =>
  new Map([...frames].map(([frame, plane]) => [frame, change(plane, frame)] as const));

/** Largest distance, px, between two tracks of a part, frame by frame, one of them changed on the way. */
function apart(report: Report, part: string, change: (track: Track) => readonly [number, number]): number {
  const others = new Map(tracksOf(report, part).map((track) => [track.frame, track] as const));
  const own = tracksOf(plain, part);
  expect(others.size).toBe(own.length);
  return Math.max(
    ...own.map((track) => {
      const [dx, dy] = change(others.get(track.frame)!);
      return Math.hypot(track.dx! - dx, track.dy! - dy);
    }),
  );
}

test("the shot as it is: the sleeve sags about its shoulder, the jar stands still", () => {
  expect(inShort(plain)).toEqual([expect.stringMatching(/^sag sleeve/)]);
  expect(plain.flags[0].joint).toBe("shoulder-left");
  for (const { dx, dy, sigmaDx, sigmaDy } of tracksOf(plain, "jar")) {
    expect(Math.abs(dx!)).toBeLessThan(4 * sigmaDx!);
    expect(Math.abs(dy!)).toBeLessThan(4 * sigmaDy!);
  }
});

test("another order of the parts changes no track, to the bit", async () => {
  const other = await check(frames, { ...shot.sheet, parts: partsIn(shot.sheet).toReversed() });
  for (const part of ["sleeve", "jar"]) expect(tracksOf(other, part)).toEqual(tracksOf(plain, part));
  expect(other.frames).toEqual(plain.frames);
  expect(other.flags).toEqual(plain.flags);
});

test("another number of workers changes nothing at all", async () => {
  expect(await check(frames, shot.sheet, { workers: 3 })).toEqual(plain);
});

test("an added still part changes no other track, to the bit", async () => {
  const shelf: Layer = {
    ...jar,
    id: "shelf",
    outline: roundedBox([160, 210], 120, 40),
    part: { name: "Shelf", kind: "set" },
  };
  const added = sheetOf({ ...shot.scene, layers: [shelf, ...shot.scene.layers] }, COUNT);
  const other = await check(frames, added);
  for (const part of ["sleeve", "jar"]) expect(tracksOf(other, part)).toEqual(tracksOf(plain, part));
  expect(other.frames).toEqual(plain.frames);
  expect(inShort(other)).toEqual(inShort(plain));
  expect(tracksOf(other, "shelf")).toHaveLength(COUNT - 1);
});

test("a mirrored shot negates dx and turns, and nothing else", async () => {
  const turned = mapped((plane) => {
    const data = new Float32Array(plane.data.length);
    for (let y = 0; y < HEIGHT; y++)
      for (let x = 0; x < WIDTH; x++) data[y * WIDTH + x] = plane.data[y * WIDTH + WIDTH - 1 - x];
    return { ...plane, data };
  });
  const flip = ([x, y]: Point): Point => [WIDTH - x, y];
  const parts = partsIn(shot.sheet).map((part) => ({
    ...part,
    outlines: part.outlines.map((outline) => ({ ...outline, points: outline.points.map(flip) })),
    joints: part.joints.map((joint) => ({ ...joint, at: flip(joint.at) })),
  }));
  const other = await check(turned, { ...shot.sheet, parts });
  for (const part of ["sleeve", "jar"]) {
    expect(apart(other, part, ({ dx, dy }) => [0 - dx!, dy!])).toBeLessThan(0.01);
    const turns = tracksOf(other, part).map(({ turn }, i) => Math.abs(turn! + tracksOf(plain, part)[i].turn!));
    // A hundredth of a pixel at the part's corner.
    expect(Math.max(...turns)).toBeLessThan(0.01 / 56);
  }
  expect(inShort(other)).toEqual(inShort(plain));
  expect(other.flags[0].joint).toBe("shoulder-left");
});

test("two frames swapped negate the motion between them", async () => {
  const pair = (first: number, second: number): Map<number, Plane> =>
    new Map([
      [1, frames.get(first)!],
      [2, frames.get(second)!],
    ]);
  const sheet = sheetOf(shot.scene, 2);
  const [there, back] = [await check(pair(1, COUNT), sheet), await check(pair(COUNT, 1), sheet)];
  expect(tracksOf(there, "sleeve")[0].dy).toBeGreaterThan(0.3);
  for (const part of ["sleeve", "jar"]) {
    const [one, other] = [tracksOf(there, part)[0], tracksOf(back, part)[0]];
    expect(Math.abs(one.dx! + other.dx!)).toBeLessThan(0.01);
    expect(Math.abs(one.dy! + other.dy!)).toBeLessThan(0.01);
    expect(Math.abs(one.turn! + other.turn!)).toBeLessThan(0.01 / 56);
  }
});

test("reversed frames turn a sag into its opposite", async () => {
  const reversed = new Map([...frames].map(([frame, plane]) => [COUNT + 1 - frame, plane] as const));
  const other = await check(reversed);
  const [sag] = plain.flags;
  expect(inShort(other)).toEqual([expect.stringMatching(/^spring-back sleeve/)]);
  const [opposite] = other.flags;
  expect(Math.abs(opposite.px! - sag.px!)).toBeLessThan(0.02);
  expect(opposite.joint).toBe("shoulder-left");
  expect(opposite.direction![1]).toBeLessThan(-0.9);
  const [first, last] = [tracksOf(plain, "sleeve").at(-1)!, tracksOf(other, "sleeve").at(-1)!];
  expect(Math.abs(first.dy! + last.dy!)).toBeLessThan(0.01);
});

test("a gain of all frames changes nothing, not even the light told against the first frame", async () => {
  const other = await check(mapped((plane) => ({ ...plane, data: plane.data.map((value) => 0.8 * value) })));
  for (const part of ["sleeve", "jar"]) expect(apart(other, part, ({ dx, dy }) => [dx!, dy!])).toBeLessThan(0.01);
  expect(inShort(other)).toEqual(inShort(plain));
  other.frames.forEach(({ lightStops }, i) =>
    expect(Math.abs(lightStops! - plain.frames[i].lightStops!)).toBeLessThan(1e-3),
  );
});

test("a gain of all frames but the first changes nothing but the light", async () => {
  const dimmed = mapped((plane, frame) =>
    frame === 1 ? plane : { ...plane, data: plane.data.map((value) => 0.8 * value) },
  );
  const other = await check(dimmed);
  for (const part of ["sleeve", "jar"]) expect(apart(other, part, ({ dx, dy }) => [dx!, dy!])).toBeLessThan(0.01);
  expect(inShort(other).filter((flag) => !flag.startsWith("light"))).toEqual(inShort(plain));
  for (const { lightStops } of other.frames.slice(1)) expect(lightStops!).toBeCloseTo(Math.log2(0.8), 2);
});
