import { expect, test } from "vitest";
import { exitCodeOf } from "../../src/cli/exit-code.ts";
import type { Track } from "../../src/model/index.ts";
import { summary } from "../../src/reports/summary.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { lamp, lost, report, sag, shotFrames, track } from "./cli-report.ts";

const frames = shotFrames.length;
const rows = (part: string, ...frameRows: readonly Track[]): Track[] =>
  shotFrames.slice(1).map((frame) => frameRows.find((row) => row.frame === frame) ?? track(part, frame));
const armWithout = (...missing: readonly number[]) =>
  report({ tracks: rows("arm-left", ...missing.map((frame) => lost("arm-left", frame, "too little texture"))) });

test("a clean shot is told in one sentence and ends with 0", () => {
  expect(summary(report())).toBe("Nothing drifted in 11 frames of hive_010.\n");
  expect(exitCodeOf(report(), frames)).toBe(0);
});

test("flags come after the answer, each with kind, frames, size with its uncertainty, joint and what it carries", () => {
  const flagged = report({ flags: [sag, lamp] });
  expect(summary(flagged)).toBe(`1 thing drifted and 1 other thing stands out in 11 frames of hive_010.

* Left arm sagged 1.93 px over 10 frames.
  sag; frames 2 to 11; 1.93 ± 0.01 px (0.460 ± 0.003 mm); 0.050 px a minute; joint shoulder-left; with Left cuff

* Frame 7 is 0.09 stops darker than its neighbours.
  light; frame 7; \u22120.089 ± 0.004 stops
`);
  expect(exitCodeOf(flagged, frames)).toBe(1);
});

test("the answer counts what drifted apart from what only stands out", () => {
  const first = (flags: readonly (typeof sag)[]) => summary(report({ flags: [...flags] })).split("\n")[0];
  expect(first([sag])).toBe("1 thing drifted in 11 frames of hive_010.");
  expect(first([sag, { ...sag, kind: "camera-shift", part: null }])).toBe("2 things drifted in 11 frames of hive_010.");
  expect(first([lamp])).toBe("1 thing stands out in 11 frames of hive_010.");
  expect(first([lamp, { ...lamp, kind: "soft" }])).toBe("2 things stand out in 11 frames of hive_010.");
});

test("both joints are named where two explain the drift", () => {
  expect(summary(report({ flags: [{ ...sag, alsoJoints: ["elbow-left"] }] }))).toContain(
    "joint shoulder-left or elbow-left",
  );
});

test("a part without a number in a tenth of its frames is told and passes; in more than that it ends with 3", () => {
  expect(exitCodeOf(armWithout(5), frames)).toBe(0);
  expect(summary(armWithout(5))).toBe(`Nothing drifted in 11 frames of hive_010.

Could not be measured:
* Left arm: no number in 1 of 10 frames (frame 5): too little texture
`);
  expect(exitCodeOf(armWithout(4, 5), frames)).toBe(3);
  expect(summary(armWithout(4, 5))).toContain(
    "Nothing drifted in 11 frames of hive_010, as far as it could be measured.\n",
  );
});

test("frames in which a part is hidden don't count against it", () => {
  const hidden = rows(
    "arm-left",
    ...[2, 3, 4, 5, 6].map((frame) => ({
      ...lost("arm-left", frame, "hidden by the sheet"),
      state: "hidden" as const,
    })),
  );
  expect(exitCodeOf(report({ tracks: hidden }), frames)).toBe(0);
  expect(summary(report({ tracks: hidden }))).not.toContain("Could not be measured");
});

test("frames that could not be read are named and end with 3, unless something is flagged", () => {
  const detail = "hive_010_0012.jpg is cut short: its 4096 bytes hold no end-of-image marker";
  const warnings = [{ code: "frame-unreadable", detail, frame: frameNumber(12) }];
  const cut = report({ warnings });
  expect(exitCodeOf(cut, 12)).toBe(3);
  expect(summary(cut)).toBe(`Nothing drifted in 11 frames of hive_010, as far as it could be measured.

Frames that could not be checked:
* ${detail}
`);
  expect(exitCodeOf(report({ warnings, flags: [sag] }), 12)).toBe(1);
  expect(exitCodeOf(report(), 12)).toBe(3);
});

test("other warnings come last, many of a kind cut short", () => {
  const gap = { code: "frame-gap", detail: "no frame 17" };
  const many = shotFrames.map((frame) => ({ code: "camera-unknown", detail: `frame ${frame}: no camera`, frame }));
  const text = summary(report({ warnings: [gap, ...many] }));
  expect(text).toContain("To know:\n* no frame 17\n* frame 1: no camera\n");
  expect(text).toContain("* frame 8: no camera\n  and 3 more like it\n");
  expect(text).not.toContain("frame 9: no camera");
});

test("what moved overnight, what is watched and what comes next stand in the summary", () => {
  const forecast = {
    law: null,
    by: null,
    crossings: [],
    rest: null,
    reason: "too few frames",
    message: "What comes next can't be told: too few frames.",
  };
  const text = summary(
    report({
      flags: [{ ...sag, perMinuteSigma: px(0.004), forecast }],
      breaks: [
        {
          from: frameNumber(5),
          to: frameNumber(6),
          minutes: 850,
          moved: [],
          message:
            "Overnight, 14 h 10 min, between frames 5 and 6: nothing was held across it, so nothing can be told.",
        },
      ],
      watched: [
        {
          part: "cuff-left",
          from: frameNumber(2),
          to: frameNumber(11),
          px: px(0.12),
          sigma: px(0.01),
          bandPx: px(0.3),
          forecast,
        },
      ],
    }),
  );
  expect(text).toContain("0.050 ± 0.004 px a minute");
  expect(text).toContain("What moved over the breaks:\n* Overnight, 14 h 10 min, between frames 5 and 6");
  expect(text).toContain(
    "* Left cuff: 0.12 ± 0.01 px, 0.30 px allowed. What comes next can't be told: too few frames.",
  );
});
