// @vitest-environment happy-dom
import { beforeEach, expect, test } from "vitest";
import { addPart, changePart, removePart, setIntent, setScale } from "../../src/model/edit/index.ts";
import { createPart, createSheet, type Sheet } from "../../src/model/index.ts";
import { session } from "../../src/ui/state/session.ts";
import { canRedo, canUndo, edit, redo, sheetEditing, undo } from "../../src/ui/state/sheet-editing.ts";
import { stripsOf } from "../../src/ui/strips/strips.ts";
import { frameNumber, px } from "../../src/units/index.ts";
import { flagOf, partOf, reportOf, rowOf } from "../support/ui-report.ts";

const ring = [
  [px(10), px(10)],
  [px(60), px(10)],
  [px(60), px(60)],
] as const;
const part = (id: string, carrier: string | null = null) =>
  createPart({
    id,
    name: id,
    kind: "limb",
    carrier,
    outlines: [{ frame: frameNumber(1), points: ring, holes: [] }],
  });
let first: Sheet;

beforeEach(() => {
  first = createSheet("hive_010", [part("arm"), part("hand", "arm"), part("leg")]);
  const report = reportOf([1, 2, 3], {
    parts: [partOf("arm"), partOf("hand", { carrier: "arm" }), partOf("leg")],
    tracks: ["arm", "hand", "leg"].flatMap((id) => [2, 3].map((frame) => rowOf(id, frame))),
    flags: [flagOf({ id: "sag-arm", part: "arm", from: frameNumber(2), to: frameNumber(3), carries: ["hand"] })],
  });
  session.set({
    phase: "checked",
    sheet: first,
    report,
    strips: stripsOf(report, first),
    files: null,
    blank: false,
    old: null,
  });
});

const oldNow = () => [...(session.get().old ?? ["fresh"])].toSorted();
const stripOf = (id: string) => session.get().strips?.strips.find((strip) => strip.id === id);

test("what an edit does not touch keeps its result, and what it touches is said to be old", () => {
  expect(edit("changed a band", (sheet, context) => changePart(sheet, "arm", { bandPx: px(0.1) }, context))).toBe(true);
  expect(oldNow()).toEqual(["arm", "hand"]);
  expect(stripOf("arm")).toMatchObject({ old: true, band: 0.1 });
  expect(stripOf("leg")?.old).toBe(false);
  expect(stripOf("leg")?.value[2]).toBe(stripsOf(session.get().report!, first).strips[2].value[2]);
  edit("changed the scale", (sheet, context) => setScale(sheet, 4, context));
  expect(oldNow()).toEqual(["arm", "camera", "hand", "leg", "light", "picture"]);
});

test("a part that is drawn has its strip at once, one that is removed takes its strip and its flag along", () => {
  edit("drew", (sheet, context) => addPart(sheet, frameNumber(1), ring, context, { name: "Hat" }));
  expect(stripOf("hat")).toMatchObject({ name: "Hat", old: true, pending: true });
  edit("removed", (sheet, context) => removePart(sheet, "arm", context));
  expect(session.get().strips?.strips.map(({ id }) => id)).not.toContain("arm");
  expect(session.get().strips?.flags).toEqual([]);
  undo();
  expect(session.get().strips?.strips.map(({ id }) => id)).toContain("arm");
});

test("every edit can be taken back and done again, to the very same sheet, until something else is edited", () => {
  const sheets = [first];
  for (const to of [1, 2, 3]) {
    edit(`held to ${to}`, (sheet, context) => setIntent(sheet, "arm", 1, to, "holds", null, context));
    sheets.push(session.get().sheet!);
  }
  for (const at of [2, 1, 0]) {
    undo();
    expect(session.get().sheet).toBe(sheets[at]);
  }
  expect([canUndo(), canRedo()]).toEqual([false, true]);
  redo();
  redo();
  expect(session.get().sheet).toBe(sheets[2]);
  expect(sheetEditing.get().told).toBe("Done again: held to 2");
  edit("another", (sheet, context) => changePart(sheet, "leg", { name: "Left leg" }, context));
  expect(canRedo()).toBe(false);
});

test("an edit that is refused changes nothing, and says why at its field", () => {
  expect(
    edit("looped", (sheet, context) => changePart(sheet, "arm", { carrier: "hand" }, context), "arm.carrier"),
  ).toBe(false);
  expect(session.get().sheet).toBe(first);
  expect(sheetEditing.get().refused).toEqual({
    field: "arm.carrier",
    sentences: ["carriers run in a loop: arm -> hand -> arm"],
  });
  expect(canUndo()).toBe(false);
});

test("many small moves of one corner are taken back as one, and another sheet ends all undoing", () => {
  for (const band of [0.1, 0.2, 0.3])
    edit("nudged", (sheet, context) => changePart(sheet, "arm", { bandPx: px(band) }, context), "", "arm band");
  undo();
  expect(session.get().sheet).toBe(first);
  redo();
  expect(session.get().sheet?.parts[0].bandPx).toBe(0.3);
  session.set({ sheet: createSheet("hive_020") });
  expect([canUndo(), canRedo()]).toEqual([false, false]);
});
