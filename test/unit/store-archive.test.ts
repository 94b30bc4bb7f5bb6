import "fake-indexeddb/auto";
import { readFileSync } from "node:fs";
import path from "node:path";
import fc from "fast-check";
import { strFromU8, strToU8, unzipSync, zipSync } from "fflate";
import { afterEach, expect, test } from "vitest";
import { createSheet, serialiseReport, serialiseSheet } from "../../src/model/index.ts";
import { openStore } from "../../src/store/adapters/indexed-db/indexed-db.ts";
import { crc32 } from "../../src/store/archive/crc32.ts";
import { exported, MANIFEST } from "../../src/store/archive/format.ts";
import { carryOut, type ImportMode, isIdle, planImport } from "../../src/store/archive/plan-import.ts";
import { type Archive, readArchive } from "../../src/store/archive/read-archive.ts";
import { writeArchive } from "../../src/store/archive/write-archive.ts";
import type { Change, Store } from "../../src/store/port.ts";
import { createRandom } from "../support/random.ts";
import {
  comingOf,
  noteOf,
  productionOf,
  puppetOf,
  randomReport,
  repairOf,
  shotOf,
  verdictOf,
} from "../support/records.ts";

const opened: Store[] = [];
let count = 0;
const open = async () => {
  const store = await openStore({ name: `archive-${++count}` });
  opened.push(store);
  return store;
};
afterEach(() => {
  for (const store of opened.splice(0)) store.close();
});

const CHANGED = "2026-03-02T18:00:00Z";
const LATER = "2026-03-04T07:00:00Z";

/** A store of `shots` shots with everything that a shot can have. */
async function filled(seed: number, shots = 2): Promise<Store> {
  const store = await open();
  const random = createRandom(seed);
  const changes: Change[] = [
    { kind: "production", value: productionOf(), seen: 0 },
    { kind: "puppet", value: puppetOf(), seen: 0 },
    { kind: "repair", value: repairOf(), seen: 0 },
    { kind: "coming", value: comingOf(), seen: 0 },
    {
      kind: "workshop",
      value: { id: "own", own: "{}", fields: { "mix.parts": "10" }, units: "metric", changed: CHANGED },
      seen: 0,
    },
  ];
  for (let i = 0; i < shots; i++) {
    const shot = `hive-0${i + 1}0`;
    const text = serialiseSheet(createSheet(shot));
    const bytes = Uint8Array.from({ length: 40 }, () => random.integer(256));
    changes.push(
      { kind: "shot", value: shotOf({ id: shot, name: shot, found: { flags: 1, open: 0 } }), seen: 0 },
      { kind: "sheet", value: { id: shot, shot, text, from: "ab", edited: i === 1, changed: CHANGED }, seen: 0 },
      { kind: "report", value: { id: shot, shot, report: randomReport(random), changed: CHANGED }, seen: 0 },
      { kind: "verdict", value: verdictOf({ id: `verdict-${i}`, shot, note: `seen, "${random.next()}"\n` }), seen: 0 },
      { kind: "note", value: noteOf({ id: `note-${i}`, shot }), seen: 0 },
      {
        kind: "thumbnail",
        value: { id: `${shot}:3`, shot, frame: 3, width: 8, height: 5, type: "image/jpeg", bytes, changed: CHANGED },
        seen: 0,
      },
    );
  }
  const written = await store.write(changes);
  expect(written.ok).toBe(true);
  return store;
}

const dump = async (store: Store) =>
  Object.fromEntries(
    await Promise.all(
      exported.map(async (kind) => [kind, (await store.list(kind)).map(({ value }) => value)] as const),
    ),
  );

const zipOf = async (store: Store, shot: string | null = null) => {
  const pieces = await writeArchive(store, { holdfast: "0.1.0", made: CHANGED, shot });
  const zip = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    zip.set(piece, at);
    at += piece.length;
  }
  return zip;
};

const read = async (zip: Uint8Array): Promise<Archive> => {
  const archive = await readArchive(zip, "everything.zip");
  if ("refusals" in archive) throw new Error(archive.refusals.join("\n"));
  return archive;
};

const bring = async (store: Store, zip: Uint8Array, mode: ImportMode) => {
  const plan = await planImport(store, (await read(zip)).records, mode);
  expect((await carryOut(store, plan)).failed).toBeNull();
  return plan;
};

test("the CRC-32 is that of zip files", () => {
  // "123456789" gives CBF43926: the check value of CRC-32/ISO-HDLC in the catalogue of parametrised CRC algorithms.
  expect(crc32(strToU8("123456789"))).toBe(0xcbf43926);
});

test("export, wipe, import: everything is as it was, whatever is in it", async () => {
  await fc.assert(
    fc.asyncProperty(fc.integer({ min: 1, max: 1e6 }), fc.integer({ min: 0, max: 3 }), async (seed, shots) => {
      const store = await filled(seed, shots);
      const before = await dump(store);
      const zip = await zipOf(store);
      await store.wipe();
      expect(await store.list("shot")).toEqual([]);
      await bring(store, zip, "merge");
      expect(await dump(store)).toEqual(before);
      // The summaries are made again, though they are not in the export.
      expect(await store.list("holds")).toHaveLength(shots);
      // Once more there is nothing to do.
      expect(isIdle(await planImport(store, (await read(zip)).records, "merge"))).toBe(true);
    }),
    { numRuns: 12, seed: 7 },
  );
});

test("sheets and reports lie in the export as their own files, which anything else can open", async () => {
  const store = await filled(3, 1);
  const files = unzipSync(await zipOf(store));
  expect(Object.keys(files).toSorted()).toEqual(
    [
      MANIFEST,
      "productions.json",
      "puppets.json",
      "repairs.json",
      "shots-to-come.json",
      "workshop.json",
      ...["note", "picture", "verdict"].map((kind) => `shots/hive-010/${kind}s.json`),
      ...["report.json", "sheet.json", "shot.json", "pictures/0003.jpg"].map((file) => `shots/hive-010/${file}`),
    ].toSorted(),
  );
  const [report] = await store.list("report");
  expect(strFromU8(files["shots/hive-010/report.json"])).toBe(serialiseReport(report.value.report));
});

test("one shot takes its production and puppets along and nothing else", async () => {
  const store = await filled(4, 2);
  const { records, shot } = await read(await zipOf(store, "hive-020"));
  expect(shot).toBe("hive-020");
  expect(records.shot.map(({ id }) => id)).toEqual(["hive-020"]);
  expect(records.verdict.map(({ id }) => id)).toEqual(["verdict-1"]);
  expect(records.puppet).toHaveLength(1);
  expect(records.production).toHaveLength(1);
  expect([...records.repair, ...records.coming, ...records.workshop]).toEqual([]);
});

test("a merge tells what is new, changed, same and in conflict before it does it; the later of two wins", async () => {
  const store = await filled(5, 2);
  const zip = await zipOf(store);
  const put = (value: ReturnType<typeof verdictOf>, seen = 1) => store.write([{ kind: "verdict", value, seen }]);
  const [first, second] = (await store.list("verdict")).map(({ value }) => value);
  // Here the first was changed since the export, and the second is another one of the same moment.
  await put({ ...first, note: "later here", changed: LATER });
  await put({ ...second, note: "another one" });
  await store.removeShot("hive-010");
  await put({ ...first, note: "later here", changed: LATER }, 0);
  const plan = await planImport(store, (await read(zip)).records, "merge");
  const of = (kind: string) => plan.counts.find((each) => each.kind === kind);
  expect(of("shot")).toMatchObject({ fresh: 1, changed: 0, same: 1, conflicts: 0, removed: 0 });
  expect(of("verdict")).toMatchObject({ fresh: 0, changed: 0, same: 0, conflicts: 2 });
  expect(plan.kept).toEqual([
    expect.stringContaining("the one here is later and stays") as string,
    expect.stringContaining("is as old and says something else") as string,
  ]);
  // Planning writes nothing.
  expect(await store.list("shot")).toHaveLength(1);
  await carryOut(store, plan);
  expect(await store.list("shot")).toHaveLength(2);
  expect((await store.read("verdict", first.id))?.value.note).toBe("later here");
  // The other way round the export's is the later one.
  const laterZip = await zipOf(store);
  await put({ ...first, note: "older here", changed: CHANGED }, 1);
  expect((await bring(store, laterZip, "merge")).counts.find(({ kind }) => kind === "verdict")).toMatchObject({
    changed: 1,
    same: 1,
  });
  expect((await store.read("verdict", first.id))?.value.note).toBe("later here");
});

test("a report whose keys stand in another order is the same report", async () => {
  const store = await filled(12, 1);
  const [{ value }] = await store.list("report");
  const turned = (item: unknown): unknown =>
    Array.isArray(item)
      ? item.map(turned)
      : typeof item === "object" && item !== null
        ? Object.fromEntries(
            Object.entries(item)
              .reverse()
              .map(([key, inner]) => [key, turned(inner)]),
          )
        : item;
  const rest = { surfaces: [], forecast: { law: "linear", by: "clock" } };
  const report = { ...value.report, ...rest } as typeof value.report;
  await store.write([{ kind: "report", value: { ...value, report: turned(report) as typeof report }, seen: "any" }]);
  const zip = await zipOf(store);
  await store.write([{ kind: "report", value: { ...value, report }, seen: "any" }]);
  expect(isIdle(await planImport(store, (await read(zip)).records, "replace"))).toBe(true);
});

test("a replacement takes away what the export has not, and says how much", async () => {
  const store = await filled(6, 1);
  const zip = await zipOf(store);
  const before = await dump(store);
  await store.write([
    { kind: "shot", value: shotOf({ id: "other" }), seen: 0 },
    { kind: "note", value: noteOf({ id: "note-9", shot: "other" }), seen: 0 },
    { kind: "place", value: { id: "other", shot: "other", folder: "f", handle: null, changed: CHANGED }, seen: 0 },
  ]);
  const plan = await bring(store, zip, "replace");
  expect(plan.counts.find(({ kind }) => kind === "shot")).toMatchObject({ removed: 1, same: 1 });
  expect(await dump(store)).toEqual(before);
  expect(await store.list("place")).toEqual([]);
});

test("another tab that writes meanwhile is not run over: the import stops and says so", async () => {
  const store = await filled(8, 1);
  const [verdict] = await store.list("verdict");
  await store.write([{ kind: "verdict", value: { ...verdict.value, changed: LATER, note: "x" }, seen: 1 }]);
  const zip = await zipOf(store);
  await store.write([{ kind: "verdict", value: verdict.value, seen: 2 }]);
  const plan = await planImport(store, (await read(zip)).records, "merge");
  await store.write([{ kind: "verdict", value: { ...verdict.value, note: "meanwhile" }, seen: 3 }]);
  expect((await carryOut(store, plan)).failed).toMatchObject({ code: "changed" });
  expect((await store.read("verdict", verdict.value.id))?.value.note).toBe("meanwhile");
});

/** The same zip with one file in it replaced. */
const withFile = (zip: Uint8Array, file: string, bytes: Uint8Array | null): Uint8Array => {
  const files = unzipSync(zip);
  if (bytes === null) delete files[file];
  else files[file] = new Uint8Array(bytes);
  return zipSync(files);
};

test("a damaged file in an export is refused by its name and the reason, and the rest is kept", async () => {
  const store = await filled(9, 2);
  const zip = await zipOf(store);
  const damaged = async (file: string, bytes: Uint8Array | null) => read(withFile(zip, file, bytes));

  const cut = await damaged("shots/hive-010/report.json", strToU8('{"format": "holdfast-rep'));
  expect(cut.refused).toEqual([
    "shots/hive-010/report.json: its contents are not what was written: the file was damaged",
  ]);
  expect(cut.records.report.map(({ id }) => id)).toEqual(["hive-020"]);
  expect(cut.records.verdict).toHaveLength(2);

  const gone = await damaged("shots/hive-010/verdicts.json", null);
  expect(gone.refused).toEqual(["shots/hive-010/verdicts.json: it is not in the file"]);

  // A record that a hand wrote wrongly, with the sums put right.
  const files = unzipSync(zip);
  const verdicts = JSON.parse(strFromU8(files["shots/hive-010/verdicts.json"])) as { choice: string }[];
  verdicts[0].choice = "perhaps";
  files["shots/hive-010/verdicts.json"] = new Uint8Array(strToU8(JSON.stringify(verdicts)));
  const manifest = JSON.parse(strFromU8(files[MANIFEST])) as { entries: { path: string }[] };
  manifest.entries = manifest.entries.filter((entry) => entry.path !== "shots/hive-010/verdicts.json");
  files[MANIFEST] = new Uint8Array(strToU8(JSON.stringify(manifest)));
  const wrong = await read(zipSync(files));
  expect(wrong.refused).toEqual([
    expect.stringMatching(/^shots\/hive-010\/verdicts\.json: verdict verdict-0: choice: /u) as string,
  ]);
  expect(wrong.records.verdict.map(({ id }) => id)).toEqual(["verdict-1"]);
});

test("what is no export is refused with the reason", async () => {
  const zip = await zipOf(await filled(10, 1));
  const reasons = async (bytes: Uint8Array) => {
    const answer = await readArchive(bytes, "x.zip");
    return "refusals" in answer ? answer.refusals : [];
  };
  expect(await reasons(strToU8("no zip"))).toEqual(["x.zip is no zip file, or its end is missing"]);
  expect(await reasons(zip.subarray(0, zip.length - 40))).toEqual(["x.zip is no zip file, or its end is missing"]);
  expect(await reasons(withFile(zip, MANIFEST, null))).toEqual([
    "x.zip is no export of Holdfast: there is no holdfast-store.json in it",
  ]);
  const later = strToU8(JSON.stringify({ format: "holdfast-store", version: 99 }));
  expect(await reasons(withFile(zip, MANIFEST, later))).toEqual([
    "x.zip: holdfast-store.json is holdfast-store version 99; this Holdfast reads up to 1",
  ]);
});

test("an export of version 1, as it was written on 2026-11-25, opens for ever", async () => {
  const zip = readFileSync(path.join(import.meta.dirname, "../support/store-version-1.zip"));
  const { records, refused } = await read(zip);
  expect(refused).toEqual([]);
  const store = await open();
  await bring(store, zip, "merge");
  expect(await store.list("shot")).toHaveLength(2);
  expect(records.verdict.map(({ choice, who }) => `${who}: ${choice}`)).toEqual([
    "MB: live-with-it",
    "MB: live-with-it",
  ]);
  expect(records.report[0].report.tracks.length).toBeGreaterThan(10);
  expect((await store.read("sheet", "hive-020"))?.value.edited).toBe(true);
  expect((await store.read("thumbnail", "hive-010:3"))?.value.bytes).toHaveLength(40);
});
