import Papa from "papaparse";
import { expect, test } from "vitest";
import { writeCsv } from "../../src/reports/csv.ts";
import { correctionsCsv, undoingOf } from "../../src/reports/dailies/corrections.ts";
import { everything, gatherDailies } from "../../src/reports/dailies/dailies.ts";
import { driftDrawing } from "../../src/reports/dailies/drift-drawing.ts";
import { dailiesEdl } from "../../src/reports/dailies/edl.ts";
import { findingsCsv } from "../../src/reports/dailies/findings-csv.ts";
import { dailiesHtml } from "../../src/reports/dailies/html.ts";
import { dailiesOtio } from "../../src/reports/dailies/otio.ts";
import { px, radians } from "../../src/units/index.ts";
import { report, sag, track } from "./cli-report.ts";
import { hive010, hive020, source } from "./dailies-example.ts";

const rowsOf = (csv: string) => Papa.parse<Record<string, string>>(csv, { header: true, skipEmptyLines: true }).data;

test.each([
  ["=HYPERLINK(1)", "'=HYPERLINK(1)"],
  ["+1", "'+1"],
  ["-1 px", "'-1 px"],
  ["@SUM(A1)", "'@SUM(A1)"],
  ["\t=1", "'\t=1"],
  ["\r=1", "'\r=1"],
  ["\n=1", "'\n=1"],
  ["\uff1d1", "'\uff1d1"],
  ["=1\n+2", "'=1\n+2"],
  ["0+03", "0+03"],
  ["a=b", "a=b"],
])("a cell with %j can't run as a formula", (cell, safe) => {
  const csv = writeCsv(["note"], [[cell]]);
  expect(Papa.parse<string[]>(csv).data[1]).toEqual([safe]);
});

test("numbers stay numbers, negative ones too; what is no number is empty", () => {
  expect(writeCsv(["a", "b", "c", "d"], [[-0.0893, -1e-7, null, Number.NaN]])).toBe("a,b,c,d\r\n-0.0893,-1e-7,,\r\n");
});

test("a cell that another country's spreadsheet would split is quoted", () => {
  expect(writeCsv(["note"], [["a;=1"]])).toBe('note\r\n"a;=1"\r\n');
});

test("findings as CSV: a row each, with units in the header and uncertainty beside every size", () => {
  const csv = findingsCsv(gatherDailies([source()], { ...everything, wholeShot: true }));
  const [first, light, cam, spoken] = rowsOf(csv);
  expect(first).toMatchObject({
    row: "finding",
    day: "2026-03-02",
    shot: "hive_010",
    take: "2",
    finding: "sag",
    part: "Left arm",
    department: "armature",
    verdict: "to the bench",
    note: `'=new ball | at the "elbow"`,
    from_frame: "2",
    to_timecode: "01:00:00:11",
    from_feet: "0+02",
    size_px: "1.934",
    sigma_px: "0.012",
    size_mm: "0.46",
    light_stops: "",
  });
  expect(Number(first.sigma_mm)).toBeCloseTo((0.012 * 0.46) / 1.934, 9);
  expect(light).toMatchObject({
    finding: "light",
    light_stops: "-0.0893",
    sigma_stops: "0.004",
    sigma_px: "",
    day: "2026-03-03",
  });
  expect(cam).toMatchObject({ finding: "camera shift", verdict: "open", part: "" });
  expect(spoken).toMatchObject({
    row: "note",
    note: "# Thread hangs out\nof the cuff",
    from_timecode: "01:00:00:07",
    who: "CD",
  });
  expect(csv.replace(/\r\n/gu, "").includes("\r")).toBe(false);
});

test("what undoes a camera's motion takes every point back where it was", () => {
  const motion = { dx: px(3.5), dy: px(-1.25), turn: radians(0.02), scale: 1.01, sigma: px(0.002) };
  const back = undoingOf(motion);
  const centre = [640, 360];
  const similarity = (
    [x, y]: number[],
    { dx, dy, turn, scale }: { dx: number; dy: number; turn: number; scale: number },
  ) => {
    const [u, v] = [x - centre[0], y - centre[1]];
    const [cos, sin] = [scale * Math.cos(turn), scale * Math.sin(turn)];
    return [centre[0] + cos * u - sin * v + dx, centre[1] + sin * u + cos * v + dy];
  };
  for (const point of [
    [0, 0],
    [1280, 720],
    [640, 360],
    [100, 700],
  ]) {
    const [x, y] = similarity(similarity(point, motion), back);
    expect(x).toBeCloseTo(point[0], 9);
    expect(y).toBeCloseTo(point[1], 9);
  }
});

test("corrections have a row for each frame of the cut, and none where the camera or light was not told", () => {
  const rows = rowsOf(correctionsCsv(gatherDailies([source()])));
  expect(rows.map(({ frame }) => frame)).toEqual(["3", "4", "5", "6", "7", "8"]);
  expect(rows[0]).toMatchObject({
    timecode: "01:00:00:03",
    file: "hive_010_0003.jpg",
    measured_dx_px_right: "0.3",
    measured_dy_px_down: "-0.25",
    measured_sigma_px: "0.002",
    measured_scale: "1.0005",
    measured_light_stops: "-0.03",
  });
  expect(Number(rows[0].measured_turn_deg_clockwise)).toBeCloseTo((0.001 * 180) / Math.PI, 6);
  // 0.03 stop darker is made up for by a gain of 2 ** 0.03 in linear light.
  expect(Number(rows[0].apply_gain_linear_light)).toBeCloseTo(2 ** 0.03, 6);
  expect(Number(rows[0].apply_scale)).toBeCloseTo(1 / 1.0005, 6);
  expect(rows[2]).toMatchObject({ measured_dx_px_right: "", apply_dx_px_right: "", apply_gain_linear_light: "" });
});

test("an edit list has one rate, and one that timecode is defined for", () => {
  const at = (fps: number) => ({
    ...hive020(),
    report: { ...hive020().report, shot: { ...hive020().report.shot, fps } },
  });
  expect(dailiesEdl(gatherDailies([source(), at(25)]))).toEqual({
    reason: "an edit list has one rate: hive_010 has 24 frames a second, hive_020 25",
  });
  expect(dailiesEdl(gatherDailies([at(12.5)]))).toEqual({ reason: "there is no timecode at 12.5 frames a second" });
  expect(dailiesEdl(gatherDailies([]))).toEqual({ reason: "there is no shot to list" });
});

test("nothing that people typed becomes markup in the saved page", () => {
  const evil = `<img src=x onerror=alert(1)>"'&`;
  const html = dailiesHtml(
    gatherDailies([
      source({
        report: hive010({ flags: [{ ...sag, message: evil }] }),
        verdicts: [{ ...source().verdicts[0], note: evil, who: evil }],
        notes: [{ ...source().notes[0], text: evil, who: evil }],
      }),
    ]),
  );
  expect(html).not.toContain("<img src=x");
  expect(html).toContain("&lt;img src=x onerror=alert(1)&gt;&quot;&#39;&amp;");
});

test("the saved page holds its pictures and takes nothing else for one", () => {
  const box = { x: 0, y: 0, width: 160, height: 120 };
  const page = (dataUrl: string) =>
    dailiesHtml(gatherDailies([source()]), () => ({
      anchor: { dataUrl, frame: 2, box },
      last: { dataUrl, frame: 11, box },
    }));
  // One under the drift of the arm, and a pair to flip for it and for the lamp.
  const good = page("data:image/png;base64,iVBORw0KGgo=");
  expect(good.match(/iVBORw0KGgo=/gu)).toHaveLength(5);
  expect(good).toContain("drawn");
  expect(page("https://example.org/a.png")).not.toContain("example.org");
  expect(page('data:image/svg+xml,<svg onload="x">')).not.toContain("onload");
  // No address but those within the page: nothing is asked of anyone.
  expect(good.replace(/data:image[^"]*/gu, "")).not.toMatch(/https?:|<script|<link|@import/u);
});

test("a drift is drawn large enough to be seen, by a factor that is told", () => {
  const tracks = [track("arm-left", 11, { dx: px(0.2), dy: px(1.5) })];
  const drawing = driftDrawing(hive010({ tracks }), { ...sag, carries: [] });
  // A box of 160 x 120 px: 12 % of its height are 14.4 px, and 1.5 px ten times as large are 15.
  expect(drawing?.times).toBe(5);
  expect(drawing?.after[0][1]).toEqual([10, 7.5]);
  expect(drawing?.arrow).not.toBeNull();
  expect(driftDrawing(hive010(), { ...sag, part: null, carries: [], region: null, kind: "light" })).toBeNull();
});

test("timelines and lists of nothing are still whole", () => {
  const empty = gatherDailies([]);
  expect(JSON.parse(dailiesOtio(empty)).tracks.children[0].children).toEqual([]);
  expect(rowsOf(findingsCsv(empty))).toEqual([]);
  expect(dailiesHtml(empty)).toContain("0 findings in 0 shots");
  expect(gatherDailies([source({ report: report({ shot: { ...report().shot, frames: [] } }) })]).days).toEqual([]);
});
