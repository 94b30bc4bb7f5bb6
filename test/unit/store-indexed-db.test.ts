import "fake-indexeddb/auto";
import { afterEach, expect, test } from "vitest";
import { parseReport, serialiseReport, summariseHolds } from "../../src/model/index.ts";
import { openStore } from "../../src/store/adapters/indexed-db/indexed-db.ts";
import { packReport, unpackReport } from "../../src/store/pack-report.ts";
import type { Change, Store, Touched } from "../../src/store/port.ts";
import { createRandom } from "../support/random.ts";
import { noteOf, productionOf, puppetOf, randomReport, repairOf, shotOf, verdictOf } from "../support/records.ts";

const opened: Store[] = [];
let count = 0;
/** Two stores of one name are two tabs. */
const open = async (name = `test-${++count}`) => {
  const store = await openStore({ name });
  opened.push(store);
  return store;
};
afterEach(() => {
  for (const store of opened.splice(0)) store.close();
});

const CHANGED = "2026-03-02T18:00:00Z";

test("what is written is read again, by its id, by its shot and by its production", async () => {
  const store = await open();
  const written = await store.write([
    { kind: "production", value: productionOf(), seen: 0 },
    { kind: "shot", value: shotOf(), seen: 0 },
    { kind: "shot", value: shotOf({ id: "hive-020", production: "other" }), seen: 0 },
    { kind: "verdict", value: verdictOf(), seen: 0 },
    { kind: "note", value: noteOf({ shot: "hive-020" }), seen: 0 },
    { kind: "puppet", value: puppetOf(), seen: 0 },
  ]);
  expect(written.ok).toBe(true);
  expect(await store.read("shot", "hive-010")).toEqual({ value: shotOf(), revision: 1 });
  expect((await store.list("shot")).map(({ value }) => value.id)).toEqual(["hive-010", "hive-020"]);
  expect((await store.list("shot", { production: "honey" })).map(({ value }) => value.id)).toEqual(["hive-010"]);
  expect(await store.list("verdict", { shot: "hive-010" })).toEqual([{ value: verdictOf(), revision: 1 }]);
  expect(await store.list("verdict", { shot: "hive-020" })).toEqual([]);
  expect(await store.read("note", "nobody")).toBeNull();
});

test("a report comes back as its file would hold it, rows, reasons, unknown keys and all", () => {
  for (let seed = 1; seed <= 20; seed++) {
    const report = randomReport(createRandom(seed));
    const text = serialiseReport(report);
    const back = unpackReport(structuredClone(packReport(report)));
    expect(serialiseReport(back)).toBe(text);
    const read = parseReport(text, "report.json");
    expect("report" in read && read.report).toEqual(back);
  }
});

test("a report of a later layout is left alone, and told", async () => {
  const kept = packReport(randomReport(createRandom(1)));
  expect(() => unpackReport({ ...kept, packed: 99 })).toThrow("was kept by a later Holdfast (layout 99");
});

test("a write says which revision it saw: of two tabs that change one record, the second is told and nothing is lost", async () => {
  const [one, two] = [await open("tabs"), await open("tabs")];
  await one.write([{ kind: "verdict", value: verdictOf(), seen: 0 }]);
  const [seenByOne, seenByTwo] = [await one.read("verdict", "verdict-1"), await two.read("verdict", "verdict-1")];
  const first = await one.write([
    { kind: "verdict", value: verdictOf({ note: "one" }), seen: seenByOne?.revision ?? 0 },
  ]);
  expect(first.ok).toBe(true);
  const changes: Change[] = [
    { kind: "note", value: noteOf(), seen: 0 },
    { kind: "verdict", value: verdictOf({ note: "two" }), seen: seenByTwo?.revision ?? 0 },
  ];
  expect(await two.write(changes)).toEqual({
    ok: false,
    code: "changed",
    conflicts: [{ kind: "verdict", id: "verdict-1", shot: "hive-010", revision: 2 }],
  });
  // All or nothing: the note that came with it isn't there either.
  expect(await two.list("note")).toEqual([]);
  expect((await two.read("verdict", "verdict-1"))?.value.note).toBe("one");
  expect((await two.write(changes.map((change): Change => ({ ...change, seen: "any" })))).ok).toBe(true);
});

test("a record that was removed begins anew: its next write follows none", async () => {
  const store = await open();
  await store.write([{ kind: "verdict", value: verdictOf(), seen: 0 }]);
  const removed = await store.write([{ kind: "verdict", remove: "verdict-1", seen: 1 }]);
  expect(removed).toEqual({
    ok: true,
    touched: [{ kind: "verdict", id: "verdict-1", shot: "hive-010", revision: 0 }],
  });
  expect((await store.write([{ kind: "verdict", value: verdictOf(), seen: 0 }])).ok).toBe(true);
});

test("another tab is told what was written, this one too", async () => {
  const [one, two] = [await open("telling"), await open("telling")];
  const heard = new Promise<readonly [readonly Touched[], boolean]>((resolve) => {
    two.listen((touched, own) => resolve([touched, own]));
  });
  const own: boolean[] = [];
  one.listen((_, isOwn) => own.push(isOwn));
  await one.write([{ kind: "repair", value: repairOf(), seen: 0 }]);
  expect(await heard).toEqual([[{ kind: "repair", id: "repair-1", shot: null, revision: 1 }], false]);
  expect(own).toEqual([true]);
});

test("a shot goes with all that belongs to it, and nothing else does", async () => {
  const store = await open();
  const report = randomReport(createRandom(2));
  await store.write([
    { kind: "production", value: productionOf(), seen: 0 },
    { kind: "shot", value: shotOf(), seen: 0 },
    { kind: "shot", value: shotOf({ id: "hive-020" }), seen: 0 },
    { kind: "report", value: { id: "hive-010", shot: "hive-010", report, changed: CHANGED }, seen: "any" },
    {
      kind: "holds",
      value: { id: "hive-010", shot: "hive-010", version: 1, holds: summariseHolds(report, null) },
      seen: "any",
    },
    { kind: "verdict", value: verdictOf(), seen: 0 },
    { kind: "verdict", value: verdictOf({ id: "verdict-2", shot: "hive-020" }), seen: 0 },
    { kind: "repair", value: repairOf(), seen: 0 },
  ]);
  expect((await store.read("holds", "hive-010"))?.value.holds.length).toBeGreaterThan(0);
  expect((await store.removeShot("hive-010")).ok).toBe(true);
  for (const kind of ["report", "holds"] as const) expect(await store.list(kind)).toEqual([]);
  expect((await store.list("shot")).map(({ value }) => value.id)).toEqual(["hive-020"]);
  expect((await store.list("verdict")).map(({ value }) => value.id)).toEqual(["verdict-2"]);
  expect(await store.list("repair")).toHaveLength(1);
  await store.wipe();
  expect(await store.list("shot")).toEqual([]);
});

test("a record that can't be read is named with the reason and left where it is", async () => {
  const store = await open();
  const wrong = { ...verdictOf(), choice: "perhaps" } as unknown as ReturnType<typeof verdictOf>;
  await store.write([
    { kind: "verdict", value: wrong, seen: 0 },
    { kind: "verdict", value: verdictOf({ id: "verdict-2" }), seen: 0 },
  ]);
  expect((await store.list("verdict")).map(({ value }) => value.id)).toEqual(["verdict-2"]);
  expect(store.unread()).toEqual([
    { kind: "verdict", id: "verdict-1", reason: expect.stringContaining("choice") as string },
  ]);
});
