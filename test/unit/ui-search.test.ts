// @vitest-environment happy-dom
import { beforeEach, expect, test } from "vitest";
import { actionList } from "../../src/ui/actions.ts";
import { find, frameNamed } from "../../src/ui/search/find.ts";
import { found } from "../../src/ui/search/findables.ts";
import { session } from "../../src/ui/state/session.ts";
import { view } from "../../src/ui/state/view.ts";
import { stripsOf } from "../../src/ui/strips/strips.ts";
import { frameNumber } from "../../src/units/index.ts";
import { flagOf, partOf, reportOf, rowOf } from "../support/ui-report.ts";

beforeEach(() => {
  const report = reportOf([1, 2, 3, 24], {
    parts: [partOf("arm", { name: "Left arm" }), partOf("tete", { name: "Tête" })],
    tracks: [2, 3, 24].map((frame) => rowOf("arm", frame)),
    flags: [flagOf({ id: "sag-arm", from: frameNumber(2), to: frameNumber(3) })],
  });
  session.set({ phase: "checked", report, strips: stripsOf(report, null), files: null, blank: false });
  view.set({ frame: 1, strip: null, flag: null, dialog: null });
});

test("every action that can be done now is found by its own words, with its keys", () => {
  for (const action of actionList.filter(
    (each) => each.when() && each.label !== "Find an action, a finding, a part or a frame",
  )) {
    const hit = found(action.label).find((item) => item.words === action.label);
    expect(hit, action.label).toBeDefined();
    expect(hit?.keys).toEqual(action.keys);
  }
  // What can't be done now isn't offered.
  expect(found("Cancel the check").some((item) => item.words === "Cancel the check")).toBe(false);
});

test("a part is found by a piece of its name, without its accents, and goes to its strip", () => {
  const part = found("tet").find((item) => item.kind === "part");
  part?.perform();
  expect(view.get().strip).toBe("tete");
});

test("a finding is found by its part and its kind and goes to its last frame", () => {
  const finding = found("sag left").find((item) => item.kind === "finding");
  expect(finding?.words).toBe("Left arm: sag");
  finding?.perform();
  expect(view.get()).toMatchObject({ flag: "sag-arm", frame: 3 });
});

test("a frame is named by number, feet and frames, or timecode, and only if the shot has it", () => {
  const frames = [1, 2, 3, 24];
  expect(frameNamed("24", frames, 24, null)).toBe(24);
  expect(frameNamed("frame 3", frames, 24, null)).toBe(3);
  expect(frameNamed("f2", frames, 24, null)).toBe(2);
  expect(frameNamed("1+08", frames, 24, null)).toBe(24);
  expect(frameNamed("00:00:01:00", frames, 24, null)).toBe(24);
  expect(frameNamed("01:00:01:00", frames, 24, "01:00:00:00")).toBe(24);
  expect(frameNamed("17", frames, 24, null)).toBeNull();
  expect(frameNamed("arm", frames, 24, null)).toBeNull();
  found("24")[0]?.perform();
  expect(view.get().frame).toBe(24);
});

test("what begins with the words asked for stands first, and all words must be found", () => {
  const among = [
    { words: "Upper arm left", more: "" },
    { words: "Left arm", more: "Oda" },
    { words: "Aleft", more: "" },
  ];
  expect(find("left", among).map(({ words }) => words)).toEqual(["Left arm", "Upper arm left", "Aleft"]);
  expect(find("left oda", among).map(({ words }) => words)).toEqual(["Left arm"]);
  expect(find("nothing", among)).toEqual([]);
  expect(find(" ", among)).toEqual(among);
});
