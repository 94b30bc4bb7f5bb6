import { expect, test } from "vitest";
import type { Flag, Verdict } from "../../src/model/index.ts";
import { handover } from "../../src/reports/handover.ts";
import { farthest, missingFrames, safeToStrike } from "../../src/reports/safe-to-strike.ts";
import { frameNumber, px, radians, stops } from "../../src/units/index.ts";
import { flagOf, partOf, reportOf, rowOf } from "../support/ui-report.ts";

const decided = (flag: Flag, choice: Verdict["choice"]): Verdict => ({
  id: "v1",
  shot: "s1",
  flag: {
    id: flag.id,
    kind: flag.kind,
    part: flag.part,
    from: flag.from,
    to: flag.to,
    px: flag.px,
    sigma: flag.sigma,
    stops: null,
  },
  choice,
  who: "mk",
  note: "nobody looks there",
  untilFrame: null,
  made: "2026-03-02T10:00:00Z",
  changed: "2026-03-02T10:00:00Z",
});
const none = { verdictOf: () => null, passes: [], plates: [], cameraMoves: false };
const standings = (strike: ReturnType<typeof safeToStrike>) =>
  Object.fromEntries(strike.lines.map((line) => [line.id, line.standing]));

const focused = (frames: readonly number[], loss: number, last: Partial<{ dx: number; light: number }> = {}) => {
  const report = reportOf(frames);
  return {
    ...report,
    frames: report.frames.map((row, i) => {
      const isLast = i === frames.length - 1;
      return {
        ...row,
        lightStops: stops(isLast ? (last.light ?? 0) : 0),
        camera: row.camera && { ...row.camera, dx: px(isLast ? (last.dx ?? 0) : 0) },
        focus: { loss: isLast ? loss : 0, sigma: 0.004 },
      };
    }),
  };
};

test("frames that are missing are told by the shot's own step, on twos as well", () => {
  expect(missingFrames([1, 2, 3, 6, 7])).toEqual([4, 5]);
  expect(missingFrames([2, 4, 6, 10, 12])).toEqual([8]);
  expect(missingFrames([7])).toEqual([]);
});

test("a turn of the camera counts where it is largest, in the corners", () => {
  // A turn by 0.001 about the middle of 4000 x 3000 px moves a corner, 2500 px away, by 2 sin(0.0005) 2500 = 2.5 px.
  const camera = { dx: px(0), dy: px(0), turn: radians(0.001), scale: 1, sigma: px(0.002) };
  expect(farthest(camera, 4000, 3000)).toBeCloseTo(2.5, 5);
  // A zoom by 0.1 % moves it by as much.
  expect(farthest({ ...camera, turn: radians(0), scale: 1.001 }, 4000, 3000)).toBeCloseTo(2.5, 5);
});

test("what was never shown is a question, not a yes", () => {
  const strike = safeToStrike({ report: focused([1, 2, 3], 0.01), ...none });
  expect(strike.ready).toBe(false);
  expect(standings(strike)).toMatchObject({
    frames: "yes",
    camera: "yes",
    light: "yes",
    focus: "yes",
    verdicts: "yes",
    passes: "unknown",
    plates: "unknown",
  });
  expect(strike.answer).toContain("2 questions can't be answered");
});

test("a shot with its passes and a plate that matches may be struck", () => {
  const strike = safeToStrike({
    report: focused([1, 2, 3], 0.01),
    ...none,
    passes: [{ name: "matte", frames: [1, 2, 3] }],
    plates: [
      {
        file: "plate_0001.jpg",
        camera: { dx: px(0.01), dy: px(0), turn: radians(0), scale: 1, sigma: px(0.002) },
        lightStops: 0.01,
        focus: { loss: 0.01, sigma: 0.004 },
      },
    ],
  });
  expect(strike.lines.filter((line) => line.standing !== "yes")).toEqual([]);
  expect(strike.ready).toBe(true);
});

test("each thing that is out of order gives its own no, with its size and its limit", () => {
  const report = { ...focused([1, 2, 4, 5], 0.08, { dx: 0.5, light: 0.2 }), flags: [flagOf({ id: "sag-arm" })] };
  const strike = safeToStrike({
    report,
    ...none,
    passes: [{ name: "matte", frames: [1, 2, 5] }],
    plates: [{ file: "plate.jpg", camera: null, lightStops: null, focus: null }],
  });
  expect(standings(strike)).toEqual({
    frames: "no",
    camera: "no",
    light: "no",
    focus: "no",
    verdicts: "no",
    passes: "no",
    plates: "unknown",
    measured: "yes",
  });
  const words = strike.lines.flatMap((line) => [line.answer, ...line.details]).join("\n");
  expect(words).toContain("Missing: frame 3.");
  expect(words).toContain("0.500 ± 0.002 px anywhere in the picture; 0.10 px allowed");
  expect(words).toContain("0.200 stops (14.9 %) brighter");
  expect(words).toContain("matte lacks frame 4.");
});

test("a verdict closes a finding, unless it is to be shot again", () => {
  const flag = flagOf({ id: "sag-arm" });
  const report = { ...focused([1, 2, 3], 0), flags: [flag] };
  const standing = (choice: Verdict["choice"]) =>
    standings(safeToStrike({ report, ...none, verdictOf: (each) => decided(each, choice) }))["verdicts"];
  expect(standing("paint-out")).toBe("yes");
  expect(standing("reshoot")).toBe("no");
});

test("a camera that is meant to move is asked for its path, not for its place", () => {
  const report = focused([1, 2, 3], 0, { dx: 40 });
  expect(standings(safeToStrike({ report, ...none }))["camera"]).toBe("no");
  expect(standings(safeToStrike({ report, ...none, cameraMoves: true }))["camera"]).toBe("yes");
});

test("a handover tells each hold with its anchor, the joint that gave, and what was decided", () => {
  const flag = flagOf({
    id: "sag-arm",
    part: "arm",
    joint: "shoulder",
    perMinutePx: px(0.05),
    perMinuteSigma: px(0.01),
  });
  const report = {
    ...reportOf([1, 2, 3]),
    parts: [
      partOf("arm", {
        name: "Left arm",
        intents: [{ from: frameNumber(1), to: frameNumber(3), intent: "holds", wears: null }],
      }),
      partOf("hand", {
        name: "Right hand",
        intents: [{ from: frameNumber(1), to: frameNumber(3), intent: "moves", wears: null }],
      }),
    ],
    tracks: [rowOf("arm", 3, { dx: px(0.3), dy: px(0.4), sigmaDx: px(0.003), sigmaDy: px(0.004) })],
    flags: [flag],
  };
  const page = handover({
    report,
    verdictOf: (each) => decided(each, "live-with-it"),
    scaleOf: () => 2,
    jointName: (id) => `the ${id}`,
  });
  expect(page.lastFrame).toBe(3);
  expect(page.moving).toEqual(["Right hand"]);
  expect(page.holds).toEqual([
    expect.objectContaining({
      name: "Left arm",
      anchor: 1,
      drift: "0.50 ± 0.01 px (0.250 ± 0.003 mm)",
      flagged: true,
    }),
  ]);
  expect(page.joints).toEqual([
    { joint: "the shoulder", words: "Left arm: sag of 1.00 ± 0.01 px since frame 2, 0.050 ± 0.010 px a minute" },
  ]);
  expect(page.open[0].verdict).toBe("live with it, mk, nobody looks there");
});
