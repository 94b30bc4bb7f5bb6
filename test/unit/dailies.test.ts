import { expect, test } from "vitest";
import { createSheet } from "../../src/model/index.ts";
import { type DailiesFilter, everything, gatherDailies } from "../../src/reports/dailies/dailies.ts";
import { departmentOf } from "../../src/reports/dailies/department.ts";
import { dailiesMarkdown } from "../../src/reports/dailies/markdown.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { lost, sag, shotFrames, track } from "./cli-report.ts";
import { hive010, hive020, note, source } from "./dailies-example.ts";

const listed = (filter: Partial<DailiesFilter> = {}, sources = [source()]) =>
  gatherDailies(sources, { ...everything, ...filter }).days.map(({ day, shots }) => [
    day,
    ...shots.map(({ name, findings, notes }) => [
      name,
      findings.map(({ flag }) => flag.kind),
      notes.map((one) => one.note.id),
    ]),
  ]);

test("a finding stands on the day on which its first frame was taken, and only inside the cut", () => {
  expect(listed()).toEqual([
    ["2026-03-02", ["hive_010", ["sag"], []]],
    ["2026-03-03", ["hive_010", ["light"], ["n1"]]],
  ]);
});

test("the whole shot is told when asked for", () => {
  expect(listed({ wholeShot: true })[1]).toEqual(["2026-03-03", ["hive_010", ["light", "camera-shift"], ["n1"]]]);
});

test("what lies outside the cut is counted", () => {
  const [, second] = gatherDailies([source()]).days;
  expect(second.shots[0]).toMatchObject({ outsideCut: 1, filteredOut: 0 });
});

test("the sheet's cut stands before the report's", () => {
  const sheet = createSheet("hive_010");
  const cut: [typeof sag.from, typeof sag.from] = [frameNumber(9), frameNumber(11)];
  const days = gatherDailies([source({ sheet: { ...sheet, shot: { ...sheet.shot, cut } } })]).days;
  expect(days.flatMap(({ shots }) => shots[0].findings.map(({ flag }) => flag.kind))).toEqual(["sag", "camera-shift"]);
});

test("verdict and department filter", () => {
  expect(listed({ verdicts: new Set(["to-the-bench"]) })).toEqual([
    ["2026-03-02", ["hive_010", ["sag"], []]],
    ["2026-03-03", ["hive_010", [], ["n1"]]],
  ]);
  expect(listed({ verdicts: new Set(["open"]) }).map(([, shot]) => shot?.[1])).toEqual([[], ["light"]]);
  expect(listed({ departments: new Set(["lighting"]) }).map(([, shot]) => shot?.[1])).toEqual([[], ["light"]]);
});

test("days without capture times come last, a known shooting day stands in for them", () => {
  expect(listed({}, [hive020(), source()]).map(([day]) => day)).toEqual(["2026-03-02", "2026-03-03", null]);
  const [day] = gatherDailies([{ ...hive020(), shootingDay: "2026-02-27" }]).days;
  expect(day.day).toBe("2026-02-27");
});

test("shots stand in the order of their numbers", () => {
  const named = (name: string) => ({
    ...hive020(),
    report: { ...hive020().report, shot: { ...hive020().report.shot, name } },
  });
  const [day] = gatherDailies([named("hive_100"), named("hive_20"), named("hive_9")]).days;
  expect(day.shots.map(({ name }) => name)).toEqual(["hive_9", "hive_20", "hive_100"]);
});

test("a verdict is found again by kind, part and frames; what has grown since is open again", () => {
  const state = (more: Partial<typeof sag>) => {
    const [day] = gatherDailies([source({ report: hive010({ flags: [{ ...sag, ...more }] }) })]).days;
    const [{ state: now, grown }] = day.shots[0].findings;
    return [now, grown];
  };
  expect(state({ id: "sag-arm-left-3", from: frameNumber(3) })).toEqual(["to-the-bench", false]);
  expect(state({ part: "cuff-left" })).toEqual(["open", false]);
  expect(state({ kind: "pop" })).toEqual(["open", false]);
  expect(state({ px: px(4) })).toEqual(["open", true]);
  const grown = gatherDailies([source({ report: hive010({ flags: [{ ...sag, px: px(4) }] }) })]);
  expect(dailiesMarkdown(grown)).toContain('open again: it has grown since "to the bench" (AB)');
});

test.each([
  ["sag", "limb", "armature"],
  ["sag", "costume", "costume"],
  ["crawl", "costume", "costume"],
  ["skin-shift", "head", "mould-and-silicone"],
  ["boil", "hair", "hair-and-face-kits"],
  ["seating", "head", "hair-and-face-kits"],
  ["knock", "prop", "set"],
  ["knock", "found", "not-told"],
  ["camera-shift", null, "camera"],
  ["soft", null, "camera"],
  ["light", null, "lighting"],
  ["set-shift", null, "set"],
  ["stray", null, "set"],
] as const)("%s on %s goes to %s", (kind, part, department) => {
  expect(departmentOf({ kind }, part === null ? null : { kind: part })).toBe(department);
});

test("Markdown tells day, shot, frames, timecode, feet, size with uncertainty, department and verdict", () => {
  const text = dailiesMarkdown(gatherDailies([source(), hive020()]));
  expect(text).toContain("2 findings in 2 shots: 1 to the bench, 1 open. Only what lies inside the cut is listed.");
  expect(text).toContain("## 2026-03-02, Monday\n\n### hive_010, take 2");
  expect(text).toContain("6 frames, 1 to 6, at 24 a second; cut 3 to 8 (01:00:00:03 to 01:00:00:08; 0+03 to 0+08).");
  expect(text).toContain(
    "| 2 to 11 | 01:00:00:02 to 01:00:00:11 | 0+02 to 0+11 | **sag** Left arm sagged 1.93 px over 10 frames. (Oda) | " +
      '1.93 ± 0.01 px (0.460 ± 0.003 mm) | armature | to the bench (AB): =new ball \\| at the "elbow" |',
  );
  expect(text).toContain("* frame 7, Left cuff: \\# Thread hangs out of the cuff (CD)");
  expect(text).toContain("1 finding outside the cut not listed.");
  expect(text).toContain("## Day not known: the frames carry no capture time\n\n### hive_020");
  expect(text).toContain("Nothing drifted.");
});

test("nothing is called still that could not be measured", () => {
  const tracks = shotFrames
    .slice(1)
    .map((frame) => (frame > 8 ? lost("arm-left", frame, "the smoker covers it") : track("arm-left", frame)));
  const text = dailiesMarkdown(gatherDailies([source({ report: hive010({ flags: [], tracks }), notes: [] })]));
  expect(text).toContain("Nothing drifted, as far as it could be measured.");
  expect(text).toContain("Left arm could not be measured in 3 of 10 frames: the smoker covers it.");
});

test("a note about the whole shot stands on its first day", () => {
  expect(listed({}, [source({ notes: [note({ id: "n0", frame: null, part: null })] })])[0]).toEqual([
    "2026-03-02",
    ["hive_010", ["sag"], ["n0"]],
  ]);
});
