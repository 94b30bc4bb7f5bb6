import { expect, test } from "vitest";
import { CellHistory } from "../../src/analysis/cell-history.ts";
import { foundPieces, placeInWords } from "../../src/analysis/found-parts.ts";
import { FrameCache } from "../../src/analysis/frame-cache.ts";
import { fitCamera } from "../../src/analysis/camera.ts";
import { PartPath } from "../../src/analysis/part-path.ts";
import { allSegments, holdPlan, needsTemplate, TEMPLATE_FRAMES } from "../../src/analysis/shot-series.ts";
import type { AnalysedPart } from "../../src/analysis/shot-tracker.ts";
import { polygonCentroid } from "../../src/measure/mask.ts";
import { createPlane } from "../../src/measure/plane.ts";
import type { Part } from "../../src/model/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import type { Motion } from "../support/similarity.ts";
import { box, framesFrom, gridOf, inBox, partOf, type Point } from "./analysis-grids.ts";

// Segments of parts that ride on one another

const frames = framesFrom(1, 12);

const analysed = (part: Part): AnalysedPart => ({
  part,
  path: new PartPath([{ frame: frameNumber(1), outline: box(0, 0, 50, 50), holes: [] }]),
  moves: frames.map(() => false),
  joints: [],
});

const inShort = (parts: readonly Part[]): Record<string, string[]> =>
  Object.fromEntries(
    [...allSegments(parts.map(analysed), frames, [])].map(([id, segments]) => [
      id,
      segments.map(
        (segment) => `${segment.afterMove ? "> " : ""}${segment.intent} ${segment.frames[0]}-${segment.frames.at(-1)}`,
      ),
    ]),
  );

const arm = partOf("arm", {
  intents: [
    [1, 4, "holds"],
    [5, 8, "moves"],
    [9, 12, "holds"],
  ],
});
const sleeve = partOf("sleeve", { kind: "costume", carrier: "arm", intents: [[1, 12, "rides"]] });
const button = partOf("button", { kind: "costume", carrier: "sleeve", intents: [[1, 12, "rides"]] });

test("what rides is cut where its carrier changes between holding and moving, and so is what rides on that", () => {
  const cut = ["rides 1-4", "rides 5-8", "> rides 9-12"];
  // Whatever the order in which the sheet lists them.
  for (const parts of [
    [arm, sleeve, button],
    [button, sleeve, arm],
  ])
    expect(inShort(parts)).toEqual({
      arm: ["holds 1-4", "moves 5-8", "> holds 9-12"],
      sleeve: cut,
      button: cut,
    });
});

test("what is held by itself is not cut by its carrier", () => {
  const jacket = partOf("jacket", { kind: "costume", carrier: "arm", intents: [[1, 12, "holds"]] });
  expect(inShort([arm, jacket])["jacket"]).toEqual(["holds 1-12"]);
});

test("a template is needed where something is held over more than one frame, and its carrier too", () => {
  const all = allSegments([arm, sleeve, button].map(analysed), frames, []);
  const needed = (id: string): boolean[] => all.get(id)!.map((segment) => needsTemplate(segment, all));
  expect(needed("arm")).toEqual([true, false, true]);
  expect(needed("sleeve")).toEqual([true, false, true]);
  expect(needed("button")).toEqual([true, false, true]);
  const short = partOf("short", {
    intents: [
      [1, 1, "holds"],
      [2, 12, "hidden"],
    ],
  });
  const alone = allSegments([analysed(short)], frames, []);
  expect(alone.get("short")!.map((segment) => needsTemplate(segment, alone))).toEqual([false, false]);
});

test("a hold is planned from its first frame on, with the four first frames for its template", () => {
  const segments = allSegments([analysed(arm)], frames, []).get("arm")!;
  const shape = { outline: box(10, 10, 30, 50), holes: [] };
  expect(TEMPLATE_FRAMES).toBe(4);
  expect(holdPlan(segments[2], shape)).toEqual({
    id: "arm@9",
    part: "arm",
    anchor: 9,
    templateFrames: [9, 10, 11, 12],
    from: 10,
    to: 12,
    outline: shape.outline,
    holes: [],
    centroid: [20, 30],
  });
});

// What nobody outlined

const [width, height] = [464, 336];
const still: Motion = {};

/** A shot as grids alone: something in a box does what `motion` says, frame by frame. */
function found(
  seed: number,
  things: readonly { readonly place: readonly Point[]; readonly motion: (frame: number) => Motion }[],
  count = 16,
) {
  const random = createRandom(seed);
  const history = new CellHistory();
  const motionAt =
    (frame: number) =>
    (x: number, y: number): Motion =>
      things.find(({ place }) => inBox(place)(x, y))?.motion(frame) ?? still;
  const grids = Array.from({ length: count }, (_, i) => {
    const frame = i + 1;
    const grid = gridOf(random, motionAt(frame), { sigma: 0.02 });
    const step = (x: number, y: number): Motion => {
      const [now, before] = [motionAt(frame)(x, y), motionAt(Math.max(1, frame - 1))(x, y)];
      return { dx: (now.dx ?? 0) - (before.dx ?? 0), dy: (now.dy ?? 0) - (before.dy ?? 0) };
    };
    const pair = gridOf(random, step, { sigma: 0.02, step: 16, cols: 27, rows: 19 });
    if (frame > 1) history.take(grid, pair);
    return {
      grid,
      camera: fitCamera(
        grid,
        () => false,
        () => false,
        width,
        height,
      ),
    };
  });
  return foundPieces(history, grids, width, height);
}

test("what drifted is found as one piece, with an outline along its cells", () => {
  const pieces = found(1, [{ place: box(80, 80, 160, 200), motion: (frame) => ({ dy: 0.05 * (frame - 1) }) }]);
  expect(pieces).toHaveLength(1);
  // Cells every 32 px from 24 on: 88, 120, 152 across, 88 to 184 down, each with half a step about it.
  expect(pieces[0].cells).toHaveLength(12);
  const xs = pieces[0].outline.map(([x]) => x);
  const ys = pieces[0].outline.map(([, y]) => y);
  expect([Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]).toEqual([72, 168, 72, 200]);
  expect(pieces[0].outline).toHaveLength(4);
});

test("two things apart are two pieces, the larger one first", () => {
  const pieces = found(2, [
    { place: box(300, 40, 340, 100), motion: (frame) => ({ dx: frame < 9 ? 0 : 0.5 }) },
    { place: box(80, 80, 160, 200), motion: (frame) => ({ dy: 0.05 * (frame - 1) }) },
  ]);
  expect(pieces).toHaveLength(2);
  expect(pieces[0].cells.length).toBeGreaterThan(pieces[1].cells.length);
  const { x, y } = polygonCentroid(pieces[1].outline);
  expect(placeInWords(x, y, width, height)).toBe("upper right");
});

test("what is animated is no drift, nor is a single cell, nor noise", () => {
  expect(found(3, [{ place: box(80, 80, 160, 200), motion: (frame) => ({ dy: 0.8 * (frame - 1) }) }])).toEqual([]);
  expect(found(4, [{ place: box(110, 110, 130, 130), motion: (frame) => ({ dy: 0.1 * (frame - 1) }) }])).toEqual([]);
  for (const seed of [5, 6, 7]) expect(found(seed, [])).toEqual([]);
});

test("places have names as people say them", () => {
  const at = (x: number, y: number): string => placeInWords(x, y, 300, 300);
  expect([at(10, 10), at(150, 10), at(290, 10)]).toEqual(["upper left", "top centre", "upper right"]);
  expect([at(10, 150), at(150, 150), at(290, 150)]).toEqual(["left of centre", "centre", "right of centre"]);
  expect([at(10, 290), at(150, 290), at(290, 290)]).toEqual(["lower left", "bottom centre", "lower right"]);
});

// Frames in memory

test("however long the shot, a worker keeps a few frames, and opens each again only when it has to", async () => {
  const opened: number[] = [];
  const files = new Map(
    framesFrom(1, 40).map((frame) => [frame, { frame, file: `${frame}.png`, modified: null, source: null }] as const),
  );
  const cache = new FrameCache(
    ({ frame, file }) => {
      opened.push(frame);
      return Promise.resolve(frame === 7 ? { problem: `${file} is empty` } : createPlane(16, 12));
    },
    files,
    1920,
  );
  for (const frame of framesFrom(1, 40)) await cache.get(frame);
  expect(opened).toEqual(framesFrom(1, 40).map(Number));
  await cache.get(frameNumber(40));
  await cache.get(frameNumber(39));
  expect(opened).toHaveLength(40);
  await cache.get(frameNumber(2));
  expect(opened.at(-1)).toBe(2);
  // A frame that can't be read is not tried again; one that isn't there is a problem too.
  expect(await cache.get(frameNumber(7))).toEqual({ problem: "7.png is empty" });
  expect(opened.filter((frame) => frame === 7)).toHaveLength(1);
  expect(await cache.get(frameNumber(99))).toHaveProperty("problem");
});

test("a frame that is in use stays, and one that is to be kept stays for good", async () => {
  const opened: number[] = [];
  const files = new Map(
    framesFrom(1, 20).map((frame) => [frame, { frame, file: "", modified: null, source: null }] as const),
  );
  const cache = new FrameCache(
    ({ frame }) => {
      opened.push(frame);
      return Promise.resolve(createPlane(16, 12));
    },
    files,
    1920,
  );
  cache.keep(frameNumber(1));
  await cache.while(framesFrom(2, 2), async () => {
    for (const frame of framesFrom(1, 20)) await cache.get(frame);
    await cache.get(frameNumber(2));
  });
  await cache.get(frameNumber(1));
  expect(opened).toHaveLength(20);
  for (const frame of framesFrom(3, 8)) await cache.get(frame);
  await cache.get(frameNumber(2));
  expect(opened.filter((frame) => frame === 2)).toHaveLength(2);
  expect(opened.filter((frame) => frame === 1)).toHaveLength(1);
});
