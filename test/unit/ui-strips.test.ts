import { expect, test } from "vitest";
import { createPart, createSheet } from "../../src/model/index.ts";
import { inBodyOrder } from "../../src/ui/strips/body-order.ts";
import { stripsOf } from "../../src/ui/strips/strips.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";
import { flagOf, lostRow, partOf, reportOf, rowOf, square } from "../support/ui-report.ts";

test("strips stand in the order in which one reads a body: head, trunk, each limb to its tip, then props and set", () => {
  const parts = [
    partOf("hive", { kind: "set", puppet: null, outline: square(300, 10) }),
    partOf("hand-left", { kind: "hand", carrier: "arm-left", outline: square(180, 130) }),
    partOf("arm-right", { carrier: "torso", outline: square(60, 90) }),
    partOf("arm-left", { carrier: "torso", outline: square(140, 80) }),
    partOf("torso", { kind: "costume", outline: square(100, 100, 40) }),
    partOf("hat", { kind: "costume", carrier: "head", outline: square(100, 20) }),
    partOf("head", { kind: "head", carrier: "torso", outline: square(100, 40) }),
    partOf("smoker", { kind: "prop", puppet: null, outline: square(20, 150) }),
  ];
  expect(inBodyOrder(parts).map((part) => part.id)).toEqual([
    "head",
    "hat",
    "torso",
    "arm-left",
    "hand-left",
    "arm-right",
    "smoker",
    "hive",
  ]);
});

test("a loop of carriers in a report of somebody else's loses no part", () => {
  const parts = [partOf("a", { carrier: "b" }), partOf("b", { carrier: "a" })];
  expect(
    inBodyOrder(parts)
      .map((part) => part.id)
      .toSorted(),
  ).toEqual(["a", "b"]);
});

/** An arm whose middle is at (110, 110), and a hand whose far corner, at (310, 110), is 200 px off. */
const armAndHand = [
  partOf("arm"),
  partOf("hand", {
    carrier: "arm",
    outline: [
      [px(290), px(105)],
      [px(310), px(110)],
      [px(290), px(115)],
    ],
  }),
];
const turned = (frame: number, turn: number) => rowOf("arm", frame, { turn: radians(turn), sigmaTurn: radians(1e-4) });

test("a strip tells what its part itself did, at the corner of its own outline that moved most", () => {
  const report = reportOf([1, 2, 3], {
    parts: armAndHand,
    tracks: [turned(2, 0.01), turned(3, 0.02)],
    flags: [flagOf({ to: frameNumber(3), carries: ["hand"] })],
  });
  const arm = stripsOf(report, null).strips.find((strip) => strip.id === "arm");
  // The corners of a square of 20 px are 10 times the root of 2 from its middle.
  expect(arm?.value[0]).toBe(0);
  expect(arm?.reference[0]).toBe(true);
  expect(arm?.value[1]).toBeCloseTo(0.01 * Math.SQRT2 * 10, 9);
  expect(arm?.value[2]).toBeCloseTo(0.02 * Math.SQRT2 * 10, 9);
  // 0.01 px of the shift and that lever times 1e-4 of the turn, at right angles.
  expect(arm?.sigma[1]).toBeCloseTo(Math.hypot(0.01, Math.SQRT2 * 10 * 1e-4), 9);
});

test("a flag's trace follows the farthest point of what the part carries, by that part's own track", () => {
  const report = reportOf([1, 2, 3], {
    parts: armAndHand,
    tracks: [turned(2, 0.01), turned(3, 0.02), rowOf("hand", 2, { dy: px(2.1) }), rowOf("hand", 3, { dy: px(4.1) })],
    flags: [flagOf({ to: frameNumber(3), carries: ["hand"], px: px(4.08) })],
  });
  const { strips } = stripsOf(report, null);
  const [far] = strips.find((strip) => strip.id === "arm")?.far ?? [];
  expect([far?.part, far?.value[0], far?.value[1], far?.value[2]]).toEqual(["hand", 0, 2.1, 4.1]);
  // The hand's own strip says the same.
  expect(strips.find((strip) => strip.id === "hand")?.value[2]).toBe(4.1);
});

test("where what is carried did more than the flag says, the flag's part tells how far it took it", () => {
  const report = reportOf([1, 2, 3], {
    parts: armAndHand,
    // The arm's turn takes the hand's corner 4 px down; the hand went down by 9.
    tracks: [turned(2, 0.01), turned(3, 0.02), rowOf("hand", 2, { dy: px(4) }), rowOf("hand", 3, { dy: px(9) })],
    flags: [flagOf({ to: frameNumber(3), carries: ["hand"], px: px(4) })],
  });
  const [far] = stripsOf(report, null).strips.find((strip) => strip.id === "arm")?.far ?? [];
  expect(far?.part).toBe("hand");
  expect(far?.value[2]).toBeCloseTo(4, 9);
});

test("what a cancelled check did not get to is no gap in the measurement", () => {
  const report = reportOf([1, 2, 3], { parts: [partOf("arm")], tracks: [rowOf("arm", 2)] });
  const arm = stripsOf(report, null, true, 2).strips[0];
  expect(arm.ground.slice(0, 3)).toEqual(["holds", "holds", "stopped"]);
  expect(arm.why[2]).toBe("the check was stopped before this frame");
});

test("sideways uncertainty follows the covariance of the two directions", () => {
  const report = reportOf([1, 2], {
    parts: [partOf("arm")],
    tracks: [rowOf("arm", 2, { dx: px(1), dy: px(1), sigmaDx: px(0.1), sigmaDy: px(0.1), rho: 0.5 })],
    flags: [flagOf({ to: frameNumber(2), direction: [Math.SQRT1_2, Math.SQRT1_2] })],
  });
  const arm = stripsOf(report, null).strips[0];
  expect(arm.value[1]).toBeCloseTo(Math.SQRT2, 9);
  // Along the diagonal the variance is sigma squared times (1 + rho).
  expect(arm.sigma[1]).toBeCloseTo(0.1 * Math.sqrt(1.5), 9);
});

test("a frame without a number says why, and one in which the part moves has no drift", () => {
  const report = reportOf([1, 2, 3, 4], {
    parts: [partOf("arm")],
    tracks: [
      rowOf("arm", 2, { dy: px(0.1) }),
      lostRow("arm", 3, "too little texture"),
      rowOf("arm", 4, { anchor: frameNumber(3) }),
    ],
  });
  const sheet = createSheet("hive_010", [
    createPart({
      id: "arm",
      name: "Arm",
      kind: "limb",
      outlines: [],
      intents: [
        { from: frameNumber(1), to: frameNumber(3), intent: "holds", wears: null },
        { from: frameNumber(4), to: frameNumber(4), intent: "moves", wears: null },
      ],
    }),
  ]);
  const arm = stripsOf(report, sheet).strips[0];
  expect([...arm.ground]).toEqual(["holds", "holds", "holds", "moves"]);
  expect(arm.value[1]).toBeCloseTo(0.1, 9);
  expect(arm.value[2]).toBeNaN();
  expect(arm.why[2]).toBe("too little texture");
  expect(arm.value[3]).toBeNaN();
});

test("without intents a part whose anchor is always the frame before is drawn as moving", () => {
  const report = reportOf([1, 2, 3, 4], {
    parts: [partOf("arm")],
    tracks: [2, 3, 4].map((frame) => rowOf("arm", frame, { anchor: frameNumber(frame - 1) })),
  });
  expect(stripsOf(report, null).strips[0].ground.slice(2)).toEqual(["moves", "moves"]);
});

test("a band of the sheet goes before the report's, and the light's two percent are drawn in stops", () => {
  const report = reportOf([1, 2], { parts: [partOf("arm")], tracks: [rowOf("arm", 2)] });
  const sheet = createSheet("hive_010", [
    createPart({ id: "arm", name: "Arm", kind: "limb", outlines: [], bandPx: px(0.7) }),
  ]);
  expect(stripsOf(report, null).strips[0].band).toBe(0.3);
  expect(stripsOf(report, sheet).strips[0].band).toBe(0.7);
  const light = stripsOf(report, null).strips.find((strip) => strip.id === "light");
  // log2(1.02), by any calculator.
  expect(light?.band).toBeCloseTo(0.0285691, 6);
});

test("a flag of the camera and one of the light stand on their own strips", () => {
  const report = reportOf([1, 2], {
    flags: [
      flagOf({ id: "light", kind: "light", part: null, px: null, direction: null }),
      flagOf({ id: "camera", kind: "camera-shift", part: null }),
    ],
  });
  const { strips } = stripsOf(report, null);
  expect(strips.map((strip) => [strip.id, strip.flags.map((flag) => flag.id)])).toEqual([
    ["camera", ["camera"]],
    ["light", ["light"]],
  ]);
});

test("what concerns the picture itself stands on a strip of its own, which is there only where something does", () => {
  const parts = [partOf("arm-left", { outline: square(140, 80) })];
  const still = reportOf([1, 2], { parts });
  expect(stripsOf(still, null).strips.map((strip) => strip.id)).toEqual(["arm-left", "camera", "light"]);
  const region = [...square(20, 20)];
  const flags = [
    flagOf({ id: "stray-2", kind: "stray", part: null, from: frameNumber(2), to: frameNumber(2), region }),
    flagOf({ id: "camera-shift-2", kind: "camera-shift", part: null, from: frameNumber(2), to: frameNumber(2) }),
  ];
  const { strips } = stripsOf(reportOf([1, 2], { parts, flags }), null);
  expect(strips.map((strip) => [strip.id, strip.flags.map((flag) => flag.id)])).toEqual([
    ["arm-left", []],
    ["picture", ["stray-2"]],
    ["camera", ["camera-shift-2"]],
    ["light", []],
  ]);
});

test("cloth that crept is told by what is left over on it, not by where the part went", () => {
  const parts = [partOf("jacket", { kind: "costume", outline: square(140, 80) })];
  const tracks = [2, 3].map((frame) => rowOf("jacket", frame, { crawlPx: px(0.1 * frame) }));
  const flags = [
    flagOf({ id: "crawl-jacket-2", kind: "crawl", part: "jacket", from: frameNumber(2), to: frameNumber(3) }),
  ];
  const [jacket] = stripsOf(reportOf([1, 2, 3], { parts, tracks, flags }), null).strips;
  expect(jacket!.told).toBe("left-over");
  expect([...jacket!.value].slice(1)).toEqual([0.2, 0.1 * 3]);
});
