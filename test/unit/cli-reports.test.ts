import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { reportNames } from "../../src/cli/check-many.ts";
import { worstOf } from "../../src/cli/exit-code.ts";
import { parseReport, serialiseReport } from "../../src/model/index.ts";
import { renderShot } from "../support/render.ts";
import { cleanShot, heldPart } from "../support/shots.ts";
import { writeShot } from "../support/write.ts";
import { buildCli, type BuiltCli } from "./built-cli.ts";
import { hive010, hive020 } from "./dailies-example.ts";

// What the command line does with many shots at once: a night run and the page to read in the morning.

let cli: BuiltCli;
let folder = "";
let reports = "";
const at = (name: string): string => path.join(folder, name);

const sag = heldPart({ seed: 5, size: 90, frames: 12, sagPerFrame: 0.1 });
const calm = cleanShot({ seed: 6, width: 320, height: 240, frames: 8, parts: 2 });

beforeAll(async () => {
  cli = await buildCli();
  folder = await mkdtemp(path.join(tmpdir(), "holdfast-many-"));
  reports = at("reports");
  await mkdir(reports);
  await writeFile(path.join(reports, "hive_010.report.json"), serialiseReport(hive010()));
  await writeFile(path.join(reports, "hive_020.report.json"), serialiseReport(hive020().report));
  await writeFile(path.join(reports, "holdfast-sheet.json"), '{ "format": "holdfast-sheet" }');
}, 120_000);
afterAll(async () => {
  await cli?.remove();
  await rm(folder, { recursive: true, force: true });
});

test("a night run goes on past a bad folder, leaves a report each, and ends with the worst", async () => {
  await writeShot(renderShot(sag.scene, sag.frames), at("a/sagging"), { sheet: sag.sheet });
  await writeShot(renderShot(calm.scene, calm.frames), at("still"), { sheet: calm.sheet });
  const night = at("night/reports");
  const ran = await cli.run(["check", at("gone"), at("a/sagging"), at("still"), "--json", night, "--quiet"]);
  expect(ran.err).toContain(`${at("gone")} isn't there.`);
  expect(ran.out).toContain(`== ${at("a/sagging")} ==\n1 thing drifted in 12 frames of`);
  expect(ran.out).toContain(
    `3 folders:\n  ${at("gone")}: not checked\n  ${at("a/sagging")}: something flagged\n  ${at("still")}: nothing flagged\n`,
  );
  expect(ran.code).toBe(2);
  expect((await readdir(night)).toSorted()).toEqual(["sagging.report.json", "still.report.json"]);
  const parsed = parseReport(await readFile(path.join(night, "sagging.report.json"), "utf8"), "sagging");
  expect("report" in parsed && parsed.report.flags.map(({ kind }) => kind)).toEqual(["sag"]);
  const morning = await cli.run(["dailies", night, "--out", at("morning.html")]);
  expect(morning).toMatchObject({ code: 0, err: "" });
  expect(morning.out).toContain("1 finding in 2 shots: 1 open.");
  expect(await readFile(at("morning.html"), "utf8")).toContain("sagged");
}, 120_000);

test("notes go to stdout as Markdown; a folder's other files are left alone", async () => {
  const ran = await cli.run(["dailies", reports]);
  expect(ran).toMatchObject({ code: 0, err: "" });
  expect(ran.out).toMatch(/^# Dailies\n\n2 findings in 2 shots: 2 open\./u);
});

test("the same report named twice is told once", async () => {
  const ran = await cli.run(["dailies", reports, path.join(reports, "hive_010.report.json")]);
  expect(ran.out).toContain("2 findings in 2 shots");
});

test.each([
  ["csv", "row,day,shot"],
  ["otio", "{"],
  ["edl", "TITLE: DAILIES"],
  ["html", "<!doctype html>"],
])("--out with the ending .%s says the format", async (ending, begins) => {
  const file = at(`notes.${ending}`);
  const ran = await cli.run(["dailies", reports, "--out", file]);
  expect(ran).toMatchObject({
    code: 0,
    out: `${file}: 2 findings in 2 shots: 2 open. Only what lies inside the cut is listed.\n`,
  });
  expect((await readFile(file, "utf8")).startsWith(begins)).toBe(true);
});

test("corrections are asked for by name", async () => {
  const ran = await cli.run(["dailies", reports, "--format", "corrections"]);
  expect(ran.out.split("\r\n")[1]).toMatch(/^hive_010,,3,01:00:00:03,hive_010_0003.jpg,0.3,-0.25,0.002,/u);
});

test("what can't be read is named, the rest is told, and the exit code says so", async () => {
  const damaged = at("damaged");
  await mkdir(damaged);
  await writeFile(path.join(damaged, "a.json"), serialiseReport(hive010()).slice(0, 900));
  await writeFile(path.join(damaged, "b.json"), serialiseReport(hive010()));
  const ran = await cli.run(["dailies", damaged, at("gone.json")]);
  expect(ran.code).toBe(3);
  expect(ran.err).toContain(`${path.join(damaged, "a.json")} is no report that can be used`);
  expect(ran.err).toContain(`${at("gone.json")} isn't there.`);
  expect(ran.out).toContain("2 findings in 1 shot");
});

test("triage lists what drifts most, with intervals, as text and as CSV", async () => {
  const ran = await cli.run(["triage", reports]);
  expect(ran).toMatchObject({ code: 0, err: "" });
  expect(ran.out).toContain("4 holds in 2 shots, by how often it drifts: the lower end of the 95 % interval counts.");
  expect(ran.out).toContain("Parts\n1. Left arm of Oda: drifts in 1 of 2 holds (9 to 91 %), 2 shots\n");
  expect(ran.out).toContain("Joints\n1. shoulder left of Oda: drifts in 1 of 2 holds");
  const file = at("triage.csv");
  expect(await cli.run(["triage", reports, "--by", "part", "--out", file])).toMatchObject({ code: 0 });
  const [head, first] = (await readFile(file, "utf8")).split("\r\n");
  expect(head).toMatch(/^level,rank,puppet,copy,part_id,part,joint,kind,shots,holds,holds_flagged,share_low_95/u);
  expect(first).toMatch(/^part,1,oda,,arm-left,Left arm,,limb,2,2,1,0\.09/u);
});

test("without any report nothing is written", async () => {
  await mkdir(at("empty"));
  const ran = await cli.run(["dailies", at("empty"), "--out", at("none.md")]);
  expect(ran).toMatchObject({ code: 2, out: "" });
  expect(ran.err).toContain(`${at("empty")} has no report file in it.`);
  await expect(readFile(at("none.md"))).rejects.toThrow("ENOENT");
});

test("a report is never written over by the notes", async () => {
  const file = path.join(reports, "hive_020.report.json");
  const before = await readFile(file, "utf8");
  const ran = await cli.run(["dailies", reports, "--out", file, "--format", "md"]);
  expect(ran).toMatchObject({ code: 2, err: `${file} is one of the reports: not written over.\n` });
  expect(await readFile(file, "utf8")).toBe(before);
});

test("folders of one name are told apart by what they lie in", () => {
  expect(reportNames(["/x/a/hive_010", "/x/b/hive_010", "/x/b/hive_020", "/x/b/hive_020/"])).toEqual([
    "a-hive_010.report.json",
    "b-hive_010.report.json",
    "hive_020.report.json",
    "hive_020.report.json",
  ]);
});

test("the worst of several exit codes counts", () => {
  expect(worstOf([])).toBe(0);
  expect(worstOf([0, 3, 0])).toBe(3);
  expect(worstOf([3, 1, 0])).toBe(1);
  expect(worstOf([1, 2, 3])).toBe(2);
});
