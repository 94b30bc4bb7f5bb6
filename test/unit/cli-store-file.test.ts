import "fake-indexeddb/auto";
import { createHash } from "node:crypto";
import { mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, expect, test } from "vitest";
import { judgedFlagOf, serialiseReport } from "../../src/model/index.ts";
import { openStore } from "../../src/store/adapters/indexed-db/indexed-db.ts";
import { writeArchive } from "../../src/store/archive/write-archive.ts";
import type { Change } from "../../src/store/port.ts";
import { comingOf, noteOf, productionOf, puppetOf, repairOf, shotOf, verdictOf } from "../support/records.ts";
import { buildCli, type BuiltCli } from "./built-cli.ts";
import { sag } from "./cli-report.ts";
import { hive010, hive020 } from "./dailies-example.ts";

// The command line's notes and lists, with what the page exported: verdicts, notes, repairs, and pictures cut from frames.

let cli: BuiltCli;
let folder = "";
const at = (...names: string[]): string => path.join(folder, ...names);

const [WIDTH, HEIGHT] = [1280, 720];
/** A frame with a mark of its own colour on the arm, so that pictures can be told apart; laid on its side where told. */
const frame = async (level: number, onItsSide = false): Promise<Buffer> => {
  const picture = sharp({
    create: { width: WIDTH, height: HEIGHT, channels: 3, background: { r: level, g: 90, b: 90 } },
  });
  const upright = await picture.png().toBuffer();
  if (!onItsSide) return sharp(upright).jpeg().toBuffer();
  // EXIF 6: whoever shows it has to turn it a quarter to the right.
  return sharp(upright).rotate(270).withMetadata({ orientation: 6 }).jpeg().toBuffer();
};
const named = (number: number) => `hive_010_${String(number).padStart(4, "0")}.jpg`;

const CHANGED = "2026-03-03T08:00:00Z";
beforeAll(async () => {
  cli = await buildCli();
  folder = await mkdtemp(path.join(tmpdir(), "holdfast-store-file-"));
  await mkdir(at("reports"));
  await writeFile(at("reports", "hive_010.report.json"), serialiseReport(hive010()));
  await writeFile(at("reports", "hive_020.report.json"), serialiseReport(hive020().report));
  await mkdir(at("hive_010"));
  for (const number of hive010().shot.frames)
    await writeFile(at("hive_010", named(number)), await frame(number * 20, number === 11));
  const first = createHash("sha256")
    .update(await readFile(at("hive_010", named(1))))
    .digest("hex");
  const small = await sharp(await frame(250))
    .resize(480)
    .jpeg()
    .toBuffer();
  const store = await openStore({ name: "export" });
  const own = { width: WIDTH, height: HEIGHT };
  const changes: Change[] = [
    { kind: "production", value: productionOf(), seen: 0 },
    { kind: "puppet", value: puppetOf({ copies: [] }), seen: 0 },
    {
      kind: "repair",
      value: repairOf({
        puppet: "oda",
        copy: null,
        part: "arm-left",
        what: "the new elbow ball",
        done: "2026-03-01T18:00",
      }),
      seen: 0,
    },
    { kind: "coming", value: comingOf({ name: "hive_050", needs: [{ puppet: "oda", copy: null }] }), seen: 0 },
    { kind: "shot", value: shotOf({ ...own, id: "a", report: "a", startPrint: first, take: 2 }), seen: 0 },
    {
      kind: "shot",
      value: shotOf({ ...own, id: "c", name: "hive_030", folder: "hive_030", report: "c", shootingDay: "2026-03-07" }),
      seen: 0,
    },
    {
      kind: "report",
      value: {
        id: "c",
        shot: "c",
        report: hive010({ shot: { ...hive010().shot, name: "hive_030", folder: "hive_030" } }),
        changed: CHANGED,
      },
      seen: 0,
    },
    {
      kind: "verdict",
      value: verdictOf({
        shot: "a",
        flag: judgedFlagOf(sag),
        choice: "to-the-bench",
        who: "AB",
        note: "before Friday",
      }),
      seen: 0,
    },
    { kind: "note", value: noteOf({ shot: "a", text: "lamp two was changed" }), seen: 0 },
    ...[1, 11].map(
      (number): Change => ({
        kind: "thumbnail",
        value: {
          id: `c:${number}`,
          shot: "c",
          frame: number,
          width: 480,
          height: 270,
          type: "image/jpeg",
          bytes: new Uint8Array(small),
          changed: CHANGED,
        },
        seen: 0,
      }),
    ),
  ];
  const written = await store.write(changes);
  if (!written.ok) throw new Error(`the store took nothing: ${written.code}`);
  const pieces = await writeArchive(store, { holdfast: "0.1.0", made: CHANGED, shot: null });
  store.close();
  await writeFile(at("everything.zip"), Buffer.concat(pieces));
}, 120_000);
afterAll(async () => {
  await cli?.remove();
  await rm(folder, { recursive: true, force: true });
});

/** Mean red of each picture that a page carries, in the order in which they stand. */
const reds = async (html: string): Promise<readonly number[]> =>
  Promise.all(
    [...html.matchAll(/<img src="data:image\/jpeg;base64,([^"]+)"/gu)].map(async ([, text]) => {
      const { channels } = await sharp(Buffer.from(text, "base64")).stats();
      return Math.round(channels[0].mean);
    }),
  );

test("reports take their verdicts, notes and takes from an export, whose other shots are left out", async () => {
  const ran = await cli.run(["dailies", at("reports"), "--store", at("everything.zip")]);
  expect(ran).toMatchObject({ code: 0, err: "" });
  expect(ran.out).toMatch(/^# Dailies\n\n2 findings in 2 shots: 1 to the bench, 1 open\./u);
  expect(ran.out).toContain("to the bench (AB): before Friday");
  expect(ran.out).toContain("hive_010, take 2");
  expect(ran.out).toContain("lamp two was changed");
  expect(ran.out).not.toContain("hive_030");
});

test("an export that is given as a report brings its shots along, the newer report file before its own", async () => {
  const ran = await cli.run(["dailies", at("reports", "hive_010.report.json"), at("everything.zip")]);
  expect(ran).toMatchObject({ code: 0, err: "" });
  expect(ran.out).toContain("in 2 shots");
  expect(ran.out).toContain("hive_010, take 2");
  expect(ran.out).toContain("hive_030");
});

test("pictures are cut from the frames beside the reports, whatever way up the camera wrote them, else from the export's", async () => {
  const file = at("morning.html");
  const ran = await cli.run(["dailies", at("reports"), at("everything.zip"), "--all", "--out", file]);
  expect(ran).toMatchObject({ code: 0, err: "" });
  const html = await readFile(file, "utf8");
  const [anchor, last, ...others] = await reds(html);
  expect(Math.abs(anchor - 20)).toBeLessThan(4);
  expect(Math.abs(last - 220)).toBeLessThan(4);
  expect(others.filter((red) => Math.abs(red - 250) < 5).length).toBeGreaterThanOrEqual(2);
  // The frame lies under the drawn drift.
  expect(html).toMatch(/<svg role="img"[^>]*><image href="data:image\/jpeg/u);
});

test("frames elsewhere are found by --frames; another shot's of the same names are not taken", async () => {
  await mkdir(at("drive", "hive_010"), { recursive: true });
  await mkdir(at("alone"));
  await writeFile(at("alone", "r.json"), serialiseReport(hive010()));
  for (const number of hive010().shot.frames) await writeFile(at("drive", "hive_010", named(number)), await frame(100));
  const file = at("elsewhere.html");
  const taken = await cli.run(["dailies", at("alone"), "--frames", at("drive"), "--out", file]);
  expect(taken).toMatchObject({ code: 0, err: "" });
  expect((await reds(await readFile(file, "utf8"))).every((red) => Math.abs(red - 100) < 4)).toBe(true);
  // The export knows the first frame's bytes, and these are others: the ones beside the reports' folder are the shot's.
  const known = await cli.run([
    "dailies",
    at("alone"),
    "--store",
    at("everything.zip"),
    "--frames",
    at("drive"),
    "--out",
    file,
  ]);
  expect(known.code).toBe(0);
  expect(Math.abs((await reds(await readFile(file, "utf8")))[0] - 20)).toBeLessThan(4);
});

test("a frame that gives no picture, frames that aren't there and a damaged export are each named, and the rest is told", async () => {
  await mkdir(at("bad", "hive_010"), { recursive: true });
  await writeFile(at("bad", "r.json"), serialiseReport(hive010()));
  for (const number of hive010().shot.frames) await writeFile(at("bad", "hive_010", named(number)), await frame(100));
  await writeFile(at("bad", "hive_010", named(11)), "half a picture");
  const file = at("bad.html");
  const ran = await cli.run(["dailies", at("bad", "r.json"), "--out", file]);
  expect(ran.code).toBe(3);
  expect(ran.err).toContain(`${at("bad", "hive_010", named(11))} gives no picture: `);
  expect(await readFile(file, "utf8")).toContain("sagged");
  await mkdir(at("far", "away"), { recursive: true });
  await writeFile(at("far", "away", "r.json"), serialiseReport(hive010()));
  const away = await cli.run(["dailies", at("far", "away"), "--frames", at("reports"), "--format", "html"]);
  expect(away).toMatchObject({ code: 3, err: `The frames of hive_010 are not in ${at("reports")}.\n` });
  const bytes = await readFile(at("everything.zip"));
  await writeFile(at("cut.zip"), bytes.subarray(0, bytes.length / 2));
  const cut = await cli.run(["dailies", at("reports"), "--store", at("cut.zip")]);
  expect(cut).toMatchObject({ code: 3, err: `${at("cut.zip")} is no zip file, or its end is missing.\n` });
  expect(cut.out).toContain("in 2 shots");
  const gone = await cli.run(["triage", at("reports"), "--store", at("gone.zip")]);
  expect(gone.err).toBe(`${at("gone.zip")} isn't there.\n`);
  const over = await cli.run(["dailies", at("everything.zip"), "--out", at("everything.zip"), "--format", "md"]);
  expect(over).toMatchObject({ code: 2 });
  expect(over.err).toContain("not written over");
});

test("triage with an export tells what came of repairs, what is to be mended, and whom to send", async () => {
  const ran = await cli.run(["triage", at("reports"), "--store", at("everything.zip")]);
  expect(ran).toMatchObject({ code: 0, err: "" });
  expect(ran.out).toContain("\nRepairs\n* 2026-03-01 18:00, Left arm of Oda: after the new elbow ball: ");
  expect(ran.out).toContain("\nWork list\n1 part to mend, before a shot to come.\n* Left arm of Oda before hive_050");
  expect(ran.out).toContain("sent to the bench by AB: before Friday");
  expect(ran.out).toContain("\nShots to come\n* hive_050");
});
