import { expect, test } from "vitest";
import { createPart, createSheet } from "../../src/model/index.ts";
import { stripsOf } from "../../src/ui/strips/strips.ts";
import { cameraBetween, enlargementFor, partArrowsAt, scaleLength } from "../../src/ui/table/arrows.ts";
import { outlinesAt, outlineUnder } from "../../src/ui/table/outlines.ts";
import { outlineAt } from "../../src/model/followed-outlines.ts";
import { placeOf } from "../../src/ui/table/place.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";
import { flagOf, lostRow, partOf, reportOf, rowOf, square } from "../support/ui-report.ts";

const moving = (frame: number, dx: number, turn = 0) =>
  rowOf("arm", frame, { anchor: frameNumber(frame - 1), rawDx: px(dx), turn: radians(turn) });

test("the outline of a part that moves follows it from frame to frame, and waits where nothing was measured", () => {
  const report = reportOf([1, 2, 3, 4], {
    parts: [partOf("arm")],
    tracks: [moving(2, 5), lostRow("arm", 3, "too fast"), moving(4, 7)],
  });
  expect(outlineAt(report, null, "arm", 1)?.[0]).toEqual([105, 100]);
  expect(outlineAt(report, null, "arm", 2)?.[0]).toEqual([105, 100]);
  expect(outlineAt(report, null, "arm", 3)?.[0]).toEqual([112, 100]);
});

test("it turns about its own middle, from x towards y", () => {
  const report = reportOf([1, 2], { parts: [partOf("arm")], tracks: [moving(2, 0, Math.PI / 2)] });
  const [x, y] = outlineAt(report, null, "arm", 1)?.[0] ?? [];
  // The corner at the top left goes to the top right.
  expect(x).toBeCloseTo(120, 9);
  expect(y).toBeCloseTo(100, 9);
});

test("an outline that a person drew at a later frame counts from there on", () => {
  const report = reportOf([1, 2, 3], { parts: [partOf("arm")], tracks: [moving(2, 5), moving(3, 5)] });
  const outline = (frame: number, x: number) => ({ frame: frameNumber(frame), points: square(x, 100), holes: [] });
  const sheet = createSheet("hive_010", [
    createPart({ id: "arm", name: "Arm", kind: "limb", outlines: [outline(1, 100), outline(2, 200)] }),
  ]);
  expect(outlineAt(report, sheet, "arm", 1)?.[0]).toEqual([200, 100]);
  expect(outlineAt(report, sheet, "arm", 2)?.[0]).toEqual([205, 100]);
});

test("of two outlines under the pointer the smaller one is meant", () => {
  const report = reportOf([1, 2], {
    parts: [partOf("button", { outline: square(110, 110, 10) }), partOf("jacket", { outline: square(100, 100, 60) })],
  });
  const outlines = outlinesAt(report, null, stripsOf(report, null), 1);
  expect(outlineUnder(outlines, 115, 115)).toBe("button");
  expect(outlineUnder(outlines, 150, 150)).toBe("jacket");
  expect(outlineUnder(outlines, 10, 10)).toBeNull();
});

test("a part drifts on the table from the flag's first frame to its last, and takes along what it carries", () => {
  const report = reportOf([1, 2, 3, 4], {
    parts: [partOf("arm"), partOf("hand"), partOf("head")],
    flags: [flagOf({ from: frameNumber(2), to: frameNumber(3), carries: ["hand"] })],
  });
  const states = (frame: number) =>
    Object.fromEntries(outlinesAt(report, null, stripsOf(report, null), frame).map((each) => [each.id, each.state]));
  expect(states(1)).toEqual({ arm: "still", hand: "still", head: "still" });
  expect(states(2)).toEqual({ arm: "drifts", hand: "carried", head: "still" });
  expect(states(4)).toEqual({ arm: "still", hand: "still", head: "still" });
});

test("while flip shows the anchor, outlines lie where the parts are in it, and keep what they are at the current frame", () => {
  const report = reportOf([1, 2, 3], {
    parts: [partOf("arm")],
    tracks: [moving(2, 5), moving(3, 7)],
    flags: [flagOf({ from: frameNumber(3), to: frameNumber(3) })],
  });
  const [arm] = outlinesAt(report, null, stripsOf(report, null), 3, 2);
  expect(arm.points[0]).toEqual(outlineAt(report, null, "arm", 1)?.[0]);
  expect(arm.state).toBe("drifts");
});

test("arrows are enlarged by a round number, so that the longest stays within a twelfth of the frame", () => {
  const arrow = (length: number) => ({ at: [0, 0] as const, by: [length, 0] as const, drifts: false });
  expect(enlargementFor([arrow(2), arrow(0.1)], 1200)).toBe(50);
  expect(enlargementFor([arrow(30)], 1200)).toBe(2);
  expect(enlargementFor([], 1200)).toBe(200);
});

test("a part's arrow is as long as its strip says, and begins where that was told, without the camera", () => {
  const report = reportOf([1, 2], {
    parts: [partOf("arm")],
    tracks: [rowOf("arm", 2, { turn: radians(0.01), rawDx: px(5) })],
  });
  const strips = stripsOf(report, null);
  const [arrow] = partArrowsAt(report, strips, 2);
  expect(Math.hypot(...arrow.by)).toBeCloseTo(strips.strips[0].value[1], 9);
  expect(arrow.at).toEqual(strips.strips[0].at);
});

test("the camera's move between two frames is known at every point, its turn and its scale about the middle", () => {
  const report = reportOf([1, 2]);
  const [first, second] = report.frames;
  const moved = { dx: px(1), dy: px(0), turn: radians(Math.PI / 2), scale: 2, sigma: px(0) };
  const camera = cameraBetween({ ...report, frames: [first, { ...second, camera: moved }] }, 1, 2);
  // The frame is 400 by 300: a point 10 px right of the middle goes to 20 px below it, and 1 px right.
  const [x, y] = camera?.([210, 150]) ?? [];
  expect(x).toBeCloseTo(1 - 10, 9);
  expect(y).toBeCloseTo(20, 9);
  expect(cameraBetween({ ...report, frames: [first, { ...second, camera: null }] }, 1, 2)).toBeNull();
});

test("the scale of the arrows is a round number of px whose bar is well to be seen", () => {
  expect(scaleLength(25)).toBe(2);
  expect(scaleLength(60)).toBe(1);
  expect(scaleLength(4)).toBe(20);
});

test("the whole frame lies in the middle of the table, and its middle stays there when one looks closer", () => {
  const whole = placeOf({ scale: 1, x: 0.5, y: 0.5 }, 1280, 720, 1000, 1000);
  expect(whole.left + 640 * whole.scale).toBeCloseTo(500, 9);
  expect(whole.top + 360 * whole.scale).toBeCloseTo(500, 9);
  const close = placeOf({ scale: 4, x: 0.5, y: 0.5 }, 1280, 720, 1000, 1000);
  expect(close.scale).toBeCloseTo(4 * whole.scale, 9);
  expect(close.left + 640 * close.scale).toBeCloseTo(500, 9);
});
