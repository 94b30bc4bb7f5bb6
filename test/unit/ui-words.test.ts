import { expect, test } from "vitest";
import { answerOf, finenessOf, floorOf } from "../../src/ui/card/answer.ts";
import { stripsOf } from "../../src/ui/strips/strips.ts";
import { longReading, reachWords, shortReading } from "../../src/ui/timeline/readout.ts";
import { frameScale } from "../../src/ui/timeline/scale.ts";
import { together } from "../../src/ui/words/together.ts";
import { timeOfDay } from "../../src/ui/words/time-of-day.ts";
import { way } from "../../src/ui/words/way.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { flagOf, lostRow, partOf, reportOf, rowOf } from "../support/ui-report.ts";

const held = [2, 3, 4].map((frame) => rowOf("arm", frame));

test("the answer comes in words, and doesn't promise more than was measured", () => {
  const clean = reportOf([1, 2, 3, 4], { parts: [partOf("arm")], tracks: held });
  expect(answerOf(clean, "checked")).toBe("Nothing drifted in 4 frames");
  expect(answerOf(clean, "checking")).toBe("Nothing so far");
  expect(answerOf(clean, "cancelled")).toBe("Cancelled. Nothing drifted until then");
  const lost = [2, 3, 4].map((frame) => lostRow("arm", frame, "too little texture"));
  expect(answerOf({ ...clean, tracks: lost }, "checked")).toBe("Could not be measured");
  const two = [partOf("arm"), partOf("head")];
  const head = [2, 3, 4].map((frame) => rowOf("head", frame));
  expect(answerOf({ ...clean, parts: two, tracks: [...lost, ...head] }, "checked")).toBe(
    "Nothing drifted in 4 frames, as far as it could be measured",
  );
});

test("things that drift and things that stand out are counted apart", () => {
  const sag = flagOf();
  const light = flagOf({ id: "light", kind: "light", part: null });
  const told = (...flags: readonly ReturnType<typeof flagOf>[]) => answerOf(reportOf([1, 2], { flags }), "checked");
  expect(told(sag)).toBe("1 thing drifted");
  expect(told(sag, { ...sag, id: "other" })).toBe("2 things drifted");
  expect(told(light)).toBe("1 thing stands out");
  expect(told(sag, light)).toBe("1 thing drifted and 1 other stands out");
});

test("how fine the answer is comes from the usual part", () => {
  const tracks = [0.01, 0.02, 0.9].map((floor, i) => rowOf("arm", i + 2, { floorPx: px(floor) }));
  expect(floorOf(stripsOf(reportOf([1, 2, 3, 4], { parts: [partOf("arm")], tracks }), null))).toBe(0.02);
  expect(floorOf(stripsOf(reportOf([1, 2]), null))).toBeNull();
});

test("a strip reads as a number with unit and uncertainty, or as the reason why there is none", () => {
  const report = reportOf([1, 2, 3], {
    parts: [partOf("arm")],
    tracks: [rowOf("arm", 2, { dy: px(0.25) }), lostRow("arm", 3, "a shadow crosses it")],
  });
  const arm = stripsOf(report, null).strips[0];
  expect(shortReading(arm, 0).words).toBe("reference");
  expect(shortReading(arm, 1).words).toBe("0.250 ± 0.010 px");
  expect(shortReading(arm, 2).words).toBe("not measured");
  expect(longReading(arm, 2, 3).lines).toEqual(["No number: a shadow crosses it."]);
  expect(longReading(arm, 1, 2).lines.join("; ")).toContain("band ±0.30 px, against frame 1");
});

test("a flagged part's reading names both its own drift and its far end's, which is the flag's", () => {
  const report = reportOf([1, 2, 3], {
    parts: [partOf("arm"), partOf("hand", { name: "Left hand" })],
    tracks: [1, 2].flatMap((i) => [
      rowOf("arm", i + 1, { dy: px(0.4 * i) }),
      rowOf("hand", i + 1, { dy: px(0.99 * i) }),
    ]),
    flags: [flagOf({ to: frameNumber(3), carries: ["hand"], px: px(1.97) })],
  });
  const arm = stripsOf(report, null).strips.find((strip) => strip.id === "arm");
  if (!arm) throw new Error("no strip of the arm");
  expect(shortReading(arm, 1).words).toBe("far end 0.990 ± 0.010 px");
  expect(shortReading(arm, 2).words).toBe("far end 1.970 ± 0.010 px");
  expect(longReading(arm, 2, 3).lines.slice(0, 2)).toEqual([
    "by itself 0.800 ± 0.010 px",
    "far end of the left hand: 1.970 ± 0.010 px",
  ]);
});

test("a strip says how far it reaches, the light's in stops and never tighter than twice its band", () => {
  const report = reportOf([1, 2, 3], { parts: [partOf("arm")], tracks: [rowOf("arm", 2), rowOf("arm", 3)] });
  const { strips } = stripsOf(report, null);
  expect(strips.map((strip) => reachWords(strip))).toEqual(["±0.3 px", "±0.1 px", "±0.06 stops"]);
  const sunk = { ...report, tracks: [rowOf("arm", 2), rowOf("arm", 3, { dy: px(1.98) })] };
  expect(reachWords(stripsOf(sunk, null).strips[0])).toBe("2.0 px");
});

test("how finely parts are told and from where on they are flagged are told apart", () => {
  const report = reportOf([1, 2, 3, 4], { parts: [partOf("arm")], tracks: held, flags: [flagOf()] });
  expect(finenessOf(report, stripsOf(report, null))).toBe(
    "Parts are told to about 0.03 px; a drift is flagged from 0.3 px.",
  );
  const clean = { ...report, flags: [] };
  expect(finenessOf(clean, stripsOf(clean, null))).toBe("Nothing drifted by more than its band (0.3 px for parts).");
});

test("while a check runs a frame without a number is not called unmeasured", () => {
  const report = reportOf([1, 2], {
    parts: [partOf("arm", { intents: [{ from: frameNumber(1), to: frameNumber(2), intent: "holds", wears: null }] })],
  });
  const arm = stripsOf(report, null, true).strips[0];
  expect(shortReading(arm, 1).words).toBe("");
  expect(longReading(arm, 1, 2).lines).toEqual(["Not measured yet."]);
});

test("directions are told as one sees them in the picture, y down", () => {
  expect(way([0, 1])).toBe("down");
  expect(way([1, 0])).toBe("right");
  expect(way([-0.7, -0.7])).toBe("up and left");
  expect(way([0.9, -0.4])).toBe("up and right");
});

test("the time of day is the camera's own, with its day of the week", () => {
  // 2 March 2026 is a Monday by any calendar.
  expect(timeOfDay("2026-03-02T15:52:10")).toBe("Monday 15:52");
  expect(timeOfDay(null)).toBeNull();
  expect(timeOfDay("yesterday")).toBeNull();
});

test("frames stand at the distance of their numbers, and a place on the strip finds its frame", () => {
  const scale = frameScale([10, 12, 14, 20], 600);
  expect(scale.x(14) - scale.x(12)).toBeCloseTo(scale.x(12) - scale.x(10), 9);
  expect(scale.x(20) - scale.x(14)).toBeCloseTo(3 * (scale.x(12) - scale.x(10)), 9);
  expect(scale.at(scale.x(14) + 1)).toBe(14);
  expect(scale.at(-50)).toBe(10);
  expect(scale.at(9999)).toBe(20);
});

test("a number, its uncertainty and its unit stay on one line", () => {
  expect(together("Left arm sagged 1.98 \u00b1 0.01 px (0.63 mm) in frame 7, by 2 %.")).toBe(
    "Left arm sagged 1.98\u00a0\u00b1\u00a00.01\u00a0px (0.63\u00a0mm) in frame 7, by 2\u00a0%.",
  );
});
