import { cp, mkdir, mkdtemp, readdir, readFile, rm, symlink, truncate, utimes, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, expect, test } from "vitest";
import { parseReport, type Report } from "../../src/model/index.ts";
import { renderShot } from "../support/render.ts";
import { cleanShot, heldPart } from "../support/shots.ts";
import { writeShot } from "../support/write.ts";
import { buildCli, type BuiltCli, type Ran } from "./built-cli.ts";

// The command line as a person runs it: arguments in, text and an exit code out.

let cli: BuiltCli;
let folder = "";
/** A held part that sags by 1.1 px in 12 frames, and a still shot. Both with their sheet. */
let sagging = "";
let still = "";

const sag = heldPart({ seed: 5, size: 90, frames: 12, sagPerFrame: 0.1 });
const calm = cleanShot({ seed: 6, width: 320, height: 240, frames: 8, parts: 2 });

beforeAll(async () => {
  cli = await buildCli();
  folder = await mkdtemp(path.join(tmpdir(), "holdfast-cli-"));
  sagging = path.join(folder, "sagging");
  still = path.join(folder, "still");
  await writeShot(renderShot(sag.scene, sag.frames), sagging, { sheet: sag.sheet });
  await writeShot(renderShot(calm.scene, calm.frames), still, { sheet: calm.sheet });
}, 120_000);
afterAll(async () => {
  await cli?.remove();
  await rm(folder, { recursive: true, force: true });
});

let copies = 0;
/** A copy of a shot to do harm to, its files an hour old: nobody is still writing them. */
const copyOf = async (shot: string): Promise<string> => {
  copies += 1;
  const copy = path.join(folder, `copy-${copies}`);
  await cp(shot, copy, { recursive: true });
  return copy;
};
const age = async (place: string): Promise<void> => {
  for (const name of await readdir(place)) {
    const hourAgo = Date.now() / 1000 - 3600;
    await utimes(path.join(place, name), hourAgo, hourAgo);
  }
};
const frameFile = (place: string, frame: number): string => {
  const { name } = place.startsWith(sagging) ? sag.scene : calm.scene;
  return path.join(place, `${name}_${String(frame).padStart(4, "0")}.jpg`);
};
const check = (...args: readonly string[]): Promise<Ran> => cli.run(["check", ...args]);
const reportIn = async (file: string): Promise<Report> => {
  const parsed = parseReport(await readFile(file, "utf8"), file);
  if (!("report" in parsed)) throw new Error(JSON.stringify(parsed));
  return parsed.report;
};
/** A sheet's text, open to every mistake. */
interface LooseSheet {
  version: number;
  parts: {
    id: string;
    carrier?: string;
    outlines: { frame: number; points: (number | null)[][] }[];
    intents: unknown[];
  }[];
}
const editedSheet = async (place: string, edit: (sheet: LooseSheet) => void): Promise<string> => {
  const file = path.join(place, "holdfast-sheet.json");
  const sheet = JSON.parse(await readFile(file, "utf8")) as LooseSheet;
  edit(sheet);
  await writeFile(file, JSON.stringify(sheet));
  return place;
};

test("a sag is told in words and in a report that reads back, and ends with 1", async () => {
  const json = path.join(folder, "sag.json");
  const ran = await check(sagging, "--json", json);
  expect(ran).toMatchObject({ code: 1 });
  expect(ran.out).toMatch(/^1 thing drifted in 12 frames of /);
  expect(ran.err).toContain(`The sheet is ${path.join(sagging, "holdfast-sheet.json")}.`);
  const report = await reportIn(json);
  expect(report.flags.map(({ kind, part }) => [kind, part])).toEqual([["sag", "held"]]);
  expect(ran.out).toContain(report.flags[0].message);
  expect(report.shot.frames).toHaveLength(12);
  expect((await readdir(folder)).filter((name) => name.endsWith(".part"))).toEqual([]);
});

test("a still shot ends with 0", async () => {
  const ran = await check(still);
  expect(ran.out).toMatch(/^Nothing drifted in 8 frames of /);
  expect(ran.code).toBe(0);
});

test("any number of threads gives the same report to the last digit", async () => {
  const one = await check(sagging, "--json", "-", "--threads", "1");
  const five = await check(sagging, "--json", "-", "--threads", "5");
  expect(JSON.parse(one.out)).toMatchObject({ format: "holdfast-report" });
  expect(five.out).toBe(one.out);
});

test("--json - puts the report alone on stdout and the summary on stderr", async () => {
  const ran = await check(still, "--json", "-", "--quiet");
  expect(JSON.parse(ran.out)).toMatchObject({ format: "holdfast-report", flags: [] });
  expect(ran.err).toContain("Nothing drifted in 8 frames");
});

test("a band wider than the drift lets it pass", async () => {
  expect((await check(sagging, "--band", "5")).code).toBe(0);
});

test("a sheet found beside the frames is named; one that was asked for needs no mention", async () => {
  const sheet = path.join(still, "holdfast-sheet.json");
  expect((await check(still)).err).toBe(`The sheet is ${sheet}.\n`);
  expect((await check(still, "--sheet", sheet)).err).toBe("");
});

test("frames may be given by a link, and a folder that looks like a frame is none", async () => {
  const link = path.join(folder, "linked");
  await symlink(still, link);
  const copy = await copyOf(still);
  await mkdir(frameFile(copy, 9).replace(copy, copy));
  expect((await check(link)).code).toBe(0);
  expect((await check(copy)).code).toBe(0);
});

test.each([
  ["isn't there", "nowhere", "isn't there"],
  ["is a file", "sagging/holdfast-sheet.json", "is no folder"],
])("frames that %s end with 2 and a sentence", async (_what, place, why) => {
  const ran = await check(path.join(folder, place));
  expect(ran).toMatchObject({ code: 2, out: "" });
  expect(ran.err).toBe(`${path.join(folder, place)} ${why}.\n`);
});

test("an empty folder, one without frames and one with a single frame end with 2 and say so", async () => {
  const empty = path.join(folder, "empty");
  await mkdir(empty);
  const nothing = await check(empty);
  expect(nothing.code).toBe(2);
  expect(nothing.err).toContain("no numbered frames");
  await writeFile(path.join(empty, "notes.txt"), "the smoker is in the way");
  expect((await check(empty)).err).toContain("1 other file");
  await cp(frameFile(still, 1), path.join(empty, "hive_010_0001.jpg"));
  const one = await check(empty);
  expect(one.code).toBe(2);
  expect(one.err).toContain("hive_010_0001.jpg");
});

test("a frame cut short, an empty one and one that is no picture are named with the reason, and the rest is checked", async () => {
  const copy = await copyOf(still);
  await truncate(frameFile(copy, 3), 900);
  await truncate(frameFile(copy, 5), 0);
  await writeFile(frameFile(copy, 7), "this is no picture");
  await age(copy);
  const ran = await check(copy);
  expect(ran.code).toBe(3);
  expect(ran.out).toMatch(/^Nothing drifted in 5 frames of .*, as far as it could be measured\.$/m);
  for (const frame of [3, 5, 7]) expect(ran.out).toMatch(new RegExp(`^\\* .*_000${frame}\\.jpg is `, "m"));
});

test("a frame that is still being written is waited for", async () => {
  const copy = await copyOf(still);
  const whole = await readFile(frameFile(copy, 4));
  await age(copy);
  await writeFile(frameFile(copy, 4), whole.subarray(0, 900));
  const finish = setTimeout(() => void writeFile(frameFile(copy, 4), whole), 1500);
  const ran = await check(copy);
  clearTimeout(finish);
  expect(ran.out).toMatch(/^Nothing drifted in 8 frames of \S+\.$/m);
  expect(ran.code).toBe(0);
});

test("a PNG that is called .jpg is read all the same, and told", async () => {
  const copy = await copyOf(still);
  const png = await sharp(frameFile(copy, 2)).png().toBuffer();
  await writeFile(frameFile(copy, 2), png);
  const ran = await check(copy);
  expect(ran.code).toBe(0);
  expect(ran.out).toMatch(/_0002\.jpg is a PNG inside/);
});

test("a frame of another size is left out by name", async () => {
  const copy = await copyOf(still);
  await writeFile(frameFile(copy, 6), await sharp(frameFile(copy, 6)).resize(160).jpeg().toBuffer());
  const ran = await check(copy);
  expect(ran.code).toBe(3);
  expect(ran.out).toMatch(/_0006\.jpg.*160 x 120/);
});

test("of several sequences the longest is checked and the others are named; --sequence takes another", async () => {
  const copy = await copyOf(still);
  for (const frame of [1, 2, 3]) await cp(frameFile(still, frame), path.join(copy, `matte_000${frame}.jpg`));
  const longest = await check(copy);
  expect(longest.out).toMatch(/^Nothing drifted in 8 frames/);
  expect(longest.out).toContain("not checked: matte (3 frames)");
  await rm(path.join(copy, "holdfast-sheet.json"));
  expect((await check(copy, "--sequence", "matte")).out).toMatch(/^Nothing drifted in 3 frames of matte\.$/m);
  const unknown = await check(copy, "--sequence", "beauty");
  expect(unknown.code).toBe(2);
  expect(unknown.err).toContain('there is no sequence "beauty" here; there are:');
});

const firstPart = (sheet: LooseSheet) => sheet.parts[0];
const refusals: [string, (sheet: LooseSheet) => void, RegExp][] = [
  ["names a frame that isn't there", (sheet) => (firstPart(sheet).outlines[0].frame = 99), /99/],
  ["names a carrier that isn't there", (sheet) => (firstPart(sheet).carrier = "smoker"), /smoker/],
  ["has an outline of 2 points", (sheet) => firstPart(sheet).outlines[0].points.splice(2), /has 2 points/],
  ["has a coordinate of 1e308", (sheet) => (firstPart(sheet).outlines[0].points[0][0] = 1e308), /1e\+308/],
  ["has a coordinate that is no number", (sheet) => (firstPart(sheet).outlines[0].points[0][0] = null), /null/],
  [
    "has overlapping intents",
    (sheet) =>
      (firstPart(sheet).intents = [
        { from: 1, to: 5, intent: "holds" },
        { from: 4, to: 8, intent: "moves" },
      ]),
    /4.*5|overlap/,
  ],
  [
    "has a loop of carriers",
    (sheet) => {
      sheet.parts[0].carrier = sheet.parts[1].id;
      sheet.parts[1].carrier = sheet.parts[0].id;
    },
    /carr/,
  ],
  ["is of a later version", (sheet) => (sheet.version = 2), /version 2/],
  [
    "has a part wholly outside the picture",
    (sheet) => {
      for (const point of firstPart(sheet).outlines[0].points) point[0] = (point[0] ?? 0) + 5000;
    },
    /outside/,
  ],
];
test.each(refusals)("a sheet that %s is refused whole, quoting it, and ends with 2", async (_what, edit, why) => {
  const copy = await editedSheet(await copyOf(still), edit);
  const ran = await check(copy);
  expect(ran).toMatchObject({ code: 2, out: "" });
  expect(ran.err).toContain("holdfast-sheet.json");
  expect(ran.err).toMatch(why);
});

test("a sheet that isn't there, isn't JSON or isn't text ends with 2 and is named", async () => {
  const sheet = path.join(folder, "other-sheet.json");
  expect(await check(still, "--sheet", sheet)).toMatchObject({ code: 2, err: `${sheet} isn't there.\n` });
  await writeFile(sheet, "{ not json");
  expect((await check(still, "--sheet", sheet)).err).toContain(sheet);
  await writeFile(sheet, Uint8Array.of(0xff, 0xfe, 0x00, 0xd8));
  expect(await check(still, "--sheet", sheet)).toMatchObject({ code: 2, err: `${sheet} is no text in UTF-8.\n` });
});

test("frames and sheet are never written over by the report", async () => {
  for (const target of [
    frameFile(still, 1),
    path.join(still, "holdfast-sheet.json"),
    path.join(still, "../still/holdfast-sheet.json"),
  ]) {
    const before = await readFile(target);
    const ran = await check(still, "--json", target);
    expect(ran.code).toBe(2);
    expect(ran.err).toContain("not written over");
    expect(await readFile(target)).toEqual(before);
  }
});

test("a report that can't be written is refused before the work, and a device stays a device", async () => {
  expect(await check(still, "--json", folder)).toMatchObject({ code: 2, err: `${folder} is a folder.\n` });
  const nowhere = path.join(folder, "nowhere", "report.json");
  expect(await check(still, "--json", nowhere)).toMatchObject({ code: 2 });
  expect((await check(still, "--json", "/dev/null")).code).toBe(0);
  expect((await readFile("/dev/null")).length).toBe(0);
});

test("an interrupted check stops at once, writes nothing and ends with 130", async () => {
  const json = path.join(folder, "never.json");
  const ran = await cli.run(["check", sagging, "--json", json], (pid) =>
    setTimeout(() => process.kill(pid, "SIGINT"), 700),
  );
  expect(ran.code).toBe(130);
  expect(ran.err).toContain("Stopped. Nothing was written.");
  await expect(readFile(json)).rejects.toThrow("ENOENT");
});

test("wrong arguments end with 2 and point to the help, which ends with 0", async () => {
  expect(await cli.run(["check"])).toEqual({
    code: 2,
    out: "",
    err: "no folder of frames is given.\nSee holdfast --help.\n",
  });
  const helped = await cli.run(["--help"]);
  expect(helped).toMatchObject({ code: 0, err: "" });
  expect(helped.out).toContain("holdfast check FRAMES");
  const { version } = JSON.parse(await readFile(path.join(import.meta.dirname, "../../package.json"), "utf8"));
  expect(await cli.run(["--version"])).toEqual({ code: 0, out: `${version}\n`, err: "" });
});
