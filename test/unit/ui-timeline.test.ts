// @vitest-environment happy-dom
import { beforeEach, expect, test } from "vitest";
import {
  fitLane,
  keepInSight,
  lane,
  scaleNow,
  scrollLane,
  showFrames,
  wholeLane,
  zoomLane,
} from "../../src/ui/state/lane.ts";
import { dropRange, moveRangeEnd, rangeOfFlag, setRange, widenRange } from "../../src/ui/state/range.ts";
import { session } from "../../src/ui/state/session.ts";
import { view } from "../../src/ui/state/view.ts";
import { groupsOf } from "../../src/ui/strips/groups.ts";
import { stripsOf } from "../../src/ui/strips/strips.ts";
import { happeningsOf } from "../../src/ui/timeline/happenings.ts";
import { longReading, reachWords, shortReading } from "../../src/ui/timeline/readout.ts";
import { rowPlan, rowsBetween } from "../../src/ui/timeline/row-plan.ts";
import { frameScale, SCALE_ROOM } from "../../src/ui/timeline/scale.ts";
import { thinOut } from "../../src/ui/timeline/thin-out.ts";
import { axisWords, dayWords } from "../../src/ui/words/axis-words.ts";
import { createPart, createSheet } from "../../src/model/index.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { flagOf, partOf, reportOf, rowOf, square } from "../support/ui-report.ts";

const frames = Array.from({ length: 1000 }, (_, i) => i + 1);

beforeEach(() => {
  session.set({ strips: null, files: null, report: null });
  view.set({ frame: 1, range: null, flag: null, strip: null });
  fitLane(frames, 872);
  wholeLane();
});

test("a single frame that is out is never lost, however many frames share a column of the screen", () => {
  const random = createRandom(71).next;
  for (const perColumn of [2, 3, 7, 40]) {
    const value = Float64Array.from(frames, () => random() * 0.01);
    const pop = Math.floor(random() * value.length);
    const dip = Math.floor(random() * value.length);
    value[pop] = 5;
    value[dip] = -5;
    const kept = thinOut(
      value,
      0,
      value.length - 1,
      (i) => Math.floor(i / perColumn),
      () => 0,
    );
    expect(kept).toContain(pop);
    expect(kept).toContain(dip);
    expect(kept.length).toBeLessThanOrEqual(4 * Math.ceil(value.length / perColumn));
    expect([...kept]).toEqual([...new Set(kept)].sort((a, b) => a - b));
  }
});

test("a thinned-out line keeps the lowest and the highest of every column, its gaps, and frames of another colour", () => {
  const random = createRandom(72).next;
  const value = Float64Array.from({ length: 300 }, (_, i) => (i % 41 === 7 ? Number.NaN : random()));
  const column = (i: number) => Math.floor(i / 5);
  const flagged = (i: number) => Number(i === 123);
  const kept = thinOut(value, 0, 299, column, flagged);
  expect(kept).toContain(123);
  for (let c = 0; c < 60; c++) {
    const all = [...value.slice(c * 5, c * 5 + 5)].filter((each) => !Number.isNaN(each));
    const drawn = kept.filter((i) => column(i) === c && !Number.isNaN(value[i]!)).map((i) => value[i]!);
    expect(Math.min(...drawn)).toBe(Math.min(...all));
    expect(Math.max(...drawn)).toBe(Math.max(...all));
    if (all.length < 5) expect(kept.some((i) => column(i) === c && Number.isNaN(value[i]!))).toBe(true);
  }
});

test("zooming keeps the frame under the pointer where it is, and stays within the shot", () => {
  const place = SCALE_ROOM + 300;
  const frame = scaleNow().at(place);
  for (const factor of [1.5, 2, 3, 0.8]) {
    zoomLane(factor, place);
    expect(Math.abs(scaleNow().x(frame) - place)).toBeLessThan(scaleNow().cell + 1);
  }
  scrollLane(1e9);
  expect(scaleNow().inSight[1]).toBe(999);
  scrollLane(-1e9);
  expect(scaleNow().inSight[0]).toBe(0);
  zoomLane(1e-9, place);
  expect(lane.get()).toMatchObject({ zoom: 1, from: 0 });
  zoomLane(1e9, place);
  expect(scaleNow().cell).toBeLessThanOrEqual(64.001);
});

test("a frame is brought into sight, a range fills the strips, and every frame in sight has its place there", () => {
  zoomLane(8, SCALE_ROOM);
  for (const frame of [1, 500, 520, 999, 3]) {
    keepInSight(frame);
    const scale = scaleNow();
    expect(scale.x(frame)).toBeGreaterThanOrEqual(SCALE_ROOM);
    expect(scale.x(frame)).toBeLessThanOrEqual(scale.width);
    expect(scale.inSight[0]).toBeLessThanOrEqual(frame - 1);
    expect(scale.inSight[1]).toBeGreaterThanOrEqual(frame - 1);
  }
  showFrames(400, 450);
  const scale = scaleNow();
  expect(scale.x(400)).toBeGreaterThan(SCALE_ROOM);
  expect(scale.x(450)).toBeLessThan(scale.width);
  expect(scale.x(450) - scale.x(400)).toBeGreaterThan(0.8 * (scale.width - SCALE_ROOM));
  for (const tick of scale.ticks()) {
    expect(scale.x(tick)).toBeGreaterThanOrEqual(SCALE_ROOM);
    expect(scale.x(tick)).toBeLessThanOrEqual(scale.width);
  }
});

test("what lies to the left of what is in sight is a whole number of the screen's own px", () => {
  for (const ratio of [1, 1.25, 2]) {
    const { offset } = frameScale(frames, 872, { zoom: 7.3, from: 0.317 }, ratio);
    expect(offset * ratio).toBeCloseTo(Math.round(offset * ratio), 9);
  }
});

test("a range is widened by the end that the playhead is on, from a frame on or back", () => {
  const report = reportOf([1, 2, 3, 4, 5, 6], { flags: [flagOf({ id: "f" })] });
  session.set({ report, strips: stripsOf(report, null), files: null });
  view.set({ frame: 3 });
  widenRange(1);
  expect(view.get().range).toEqual({ from: 3, to: 4 });
  widenRange(1);
  widenRange(-1);
  expect(view.get().range).toEqual({ from: 3, to: 4 });
  widenRange(-1);
  widenRange(-1);
  expect(view.get().range).toEqual({ from: 2, to: 3 });
  moveRangeEnd("to", 1);
  expect(view.get().range).toEqual({ from: 1, to: 2 });
  setRange(5, 4);
  expect(view.get().range).toEqual({ from: 4, to: 5 });
  view.set({ flag: "f" });
  rangeOfFlag();
  expect(view.get()).toMatchObject({ range: { from: 2, to: 4 }, frame: 2 });
  dropRange();
  expect(view.get().range).toBeNull();
});

test("strips stand under the name of their puppet, with what it carries, and the set for itself", () => {
  const report = reportOf([1, 2], {
    parts: [
      partOf("torso", { puppet: "oda", copy: "A" }),
      partOf("spoon", { puppet: null, kind: "prop", carrier: "torso" }),
      partOf("shelf", { puppet: null, kind: "set" }),
      partOf("crow", { puppet: "old_crow" }),
    ],
  });
  const groups = groupsOf(stripsOf(report, null).strips.filter((strip) => strip.kind === "part"));
  expect(groups.map(({ name, strips }) => [name, strips.map(({ id }) => id).toSorted()])).toEqual([
    ["Oda, copy A", ["spoon", "torso"]],
    ["Old crow", ["crow"]],
    ["Set and props", ["shelf"]],
  ]);
  const plan = rowPlan(groups, new Set(), 26);
  expect(plan.rows.map(({ kind }) => kind)).toEqual(["head", "strip", "strip", "head", "strip", "head", "strip"]);
  // Rows lie on each other without a gap, and those between two heights are found.
  for (const [i, row] of plan.rows.entries())
    expect(row.top).toBe(plan.rows.slice(0, i).reduce((sum, each) => sum + each.height, 0));
  expect(rowsBetween(plan, 30, 60)).toEqual([1, 3]);
  const folded = rowPlan(groups, new Set([groups[0]!.id]), 26);
  expect(folded.rowOf.get("spoon")).toBe(folded.rows[0]);
  expect(folded.rows).toHaveLength(5);
  // One group alone needs no heading.
  expect(rowPlan(groups.slice(0, 1), new Set(), 26).rows.map(({ kind }) => kind)).toEqual(["strip", "strip"]);
});

test("lengths are told in mm with their uncertainty where a scale is known, else in px, and that is said", () => {
  const report = reportOf([1, 2], {
    parts: [partOf("arm"), partOf("leg")],
    tracks: [rowOf("arm", 2, { dy: px(0.84) }), rowOf("leg", 2, { dy: px(0.2) })],
  });
  const sheet = createSheet("hive_010", [
    createPart({
      id: "arm",
      name: "Arm",
      kind: "limb",
      pxPerMm: 4.2,
      outlines: [{ frame: frameNumber(1), points: square(100, 100), holes: [] }],
    }),
  ]);
  const { strips } = stripsOf(report, sheet);
  const arm = strips.find(({ id }) => id === "arm")!;
  const leg = strips.find(({ id }) => id === "leg")!;
  expect(shortReading(arm, 1, "mm").words).toBe("0.200 ± 0.002 mm");
  expect(longReading(arm, 1, 2, "mm").lines).toContain("band ±0.071 mm, against frame 1");
  expect(shortReading(arm, 1).words).toBe("0.840 ± 0.010 px");
  expect(shortReading(leg, 1, "mm").words).toBe("0.200 ± 0.010 px");
  expect(longReading(leg, 1, 2, "mm").lines.at(-1)).toBe("in px: no scale is known here");
  expect(reachWords(arm, "mm")).toBe("0.2 mm");
  // Without a sheet the flag's own millimetres tell the scale.
  const flagged = { ...report, flags: [flagOf({ to: frameNumber(2), px: px(0.84), mm: 0.4 })] };
  expect(stripsOf(flagged, null).strips.find(({ id }) => id === "arm")?.pxPerMm).toBeCloseTo(2.1, 9);
});

test("what was done on set stands once, in the order of frames, a break between its two frames", () => {
  const report = reportOf([1, 2, 3, 4, 5], {
    parts: [partOf("arm", { name: "Left arm" })],
    breaks: [{ from: frameNumber(3), to: frameNumber(4), minutes: 48, moved: [], message: "Lunch: nothing moved." }],
  });
  const sheet = {
    ...createSheet("hive_010"),
    marks: [
      { frame: frameNumber(4), kind: "break" as const, part: null, note: "lunch" },
      { frame: frameNumber(2), kind: "reset" as const, part: "arm", note: "elbow re-tightened" },
      { frame: frameNumber(99), kind: "anchor" as const, part: null, note: "" },
    ],
  };
  expect(happeningsOf(report, sheet)).toEqual([
    { kind: "reset", frame: 2, before: null, part: "arm", length: "", words: "Reset, Left arm: elbow re-tightened" },
    { kind: "break", frame: 4, before: 3, part: null, length: "48 min", words: "Lunch: nothing moved." },
  ]);
});

test("a frame's place is told as number, timecode, feet and frames, or the camera's own time", () => {
  const clock = { fps: 24, timecodeStart: "01:00:00:00", timeOf: () => "2026-03-02T11:24:09" };
  expect(axisWords(24, "frames", clock)).toBe("24");
  expect(axisWords(24, "timecode", clock)).toBe("01:00:01:00");
  expect(axisWords(24, "feet", clock)).toBe("1+08");
  expect(axisWords(24, "time", clock)).toBe("11:24");
  expect(axisWords(24, "time", { ...clock, timeOf: () => null })).toBe("");
  expect(dayWords("2026-03-02T11:24:09")).toBe("Mon");
});
