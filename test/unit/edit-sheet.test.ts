import { expect, test } from "vitest";
import {
  addJoint,
  addMark,
  addPart,
  carryPart,
  changePart,
  clearIntent,
  type Edited,
  moveIntentEdge,
  putOutline,
  removeOutline,
  removePart,
  scaleOfLine,
  setCameraIntent,
  setDown,
  setIntent,
  setScale,
  takeParts,
  touchedParts,
} from "../../src/model/edit/index.ts";
import {
  createPart,
  createSheet,
  type Part,
  parseSheet,
  type Point,
  serialiseSheet,
  type Sheet,
} from "../../src/model/index.ts";
import { frameNumber, px } from "../../src/units/index.ts";

const frames = Array.from({ length: 24 }, (_, i) => frameNumber(i + 1));
const context = { frames, width: 640, height: 360 };
const at = (x: number, y: number): Point => [px(x), px(y)];
const square = (x: number, y: number, side = 40) => [
  at(x, y),
  at(x + side, y),
  at(x + side, y + side),
  at(x, y + side),
];

const part = (id: string, fields: Partial<Part> = {}) =>
  createPart({
    id,
    name: id,
    kind: "limb",
    outlines: [{ frame: frameNumber(1), points: square(100, 100), holes: [] }],
    ...fields,
  });

const puppet = () =>
  createSheet("hive_010", [
    part("torso", { kind: "body" }),
    part("arm", { carrier: "torso" }),
    part("sleeve", { kind: "costume", carrier: "arm" }),
  ]);

const done = (edited: Edited): Sheet => {
  if ("refusals" in edited) throw new Error(edited.refusals.join("\n"));
  return edited.sheet;
};
const why = (edited: Edited) => ("refusals" in edited ? edited.refusals : []);
const spans = (sheet: Sheet, id = "arm") =>
  sheet.parts.find((one) => one.id === id)?.intents.map(({ from, to, intent }) => `${from}-${to} ${intent}`);

test("a part that is drawn gets a name and an id of its own, and the sheet it makes is one that a file may hold", () => {
  const first = addPart(createSheet("hive_010"), frameNumber(3), square(20, 20), context, { name: "Left arm" });
  const second = addPart(done(first), frameNumber(3), square(120, 20), context, { name: "Left arm" });
  expect([first.id, second.id]).toEqual(["left-arm", "left-arm-2"]);
  const sheet = done(second);
  expect(sheet.parts.map(({ name }) => name)).toEqual(["Left arm", "Left arm 2"]);
  expect(parseSheet(serialiseSheet(sheet), "sheet.json", context)).toMatchObject({ sheet });
});

test("an edit that the sheet's file would be refused for is refused in the same words, and nothing changes", () => {
  const sheet = puppet();
  const before = JSON.stringify(sheet);
  const edits: readonly Edited[] = [
    changePart(sheet, "torso", { carrier: "sleeve" }, context),
    changePart(sheet, "arm", { name: "  " }, context),
    changePart(sheet, "arm", { bandPx: px(-1) }, context),
    setIntent(sheet, "torso", 1, 9, "rides", null, context),
    setIntent(sheet, "arm", 1, 9, "swapped", null, context),
    setIntent(sheet, "arm", 20, 30, "holds", null, context),
    putOutline(sheet, "arm", { frame: frameNumber(1), points: square(900, 900), holes: [] }, context),
    removeOutline(sheet, "arm", 1, context),
  ];
  for (const edit of edits) expect(why(edit)).toHaveLength(1);
  expect(why(edits[0])[0]).toBe("carriers run in a loop: torso -> sleeve -> arm -> torso");
  const text = serialiseSheet({ ...sheet, parts: sheet.parts.map((one) => ({ ...one, bandPx: px(-1) })).slice(0, 1) });
  const read = parseSheet(text, "f", context);
  expect("refusals" in read && read.refusals[0]).toBe(`f: ${why(edits[2])[0].replace("'arm'", "'torso'")}`);
  expect(JSON.stringify(sheet)).toBe(before);
});

test("an intent takes its frames from those it is put over, and a hold that goes on is one hold", () => {
  let sheet = done(setIntent(puppet(), "arm", 1, 24, "holds", null, context));
  sheet = done(setIntent(sheet, "arm", 8, 12, "moves", null, context));
  expect(spans(sheet)).toEqual(["1-7 holds", "8-12 moves", "13-24 holds"]);
  sheet = done(setIntent(sheet, "arm", 10, 14, "holds", null, context));
  expect(spans(sheet)).toEqual(["1-7 holds", "8-9 moves", "10-24 holds"]);
  sheet = done(clearIntent(sheet, "arm", 1, 3, context));
  expect(spans(sheet)).toEqual(["4-7 holds", "8-9 moves", "10-24 holds"]);
});

test("swapped pieces beside each other stay two where what is worn differs", () => {
  let sheet = done(setIntent(puppet(), "arm", 1, 5, "swapped", "mouth-1", context));
  sheet = done(setIntent(sheet, "arm", 6, 9, "swapped", "mouth-2", context));
  sheet = done(setIntent(sheet, "arm", 10, 12, "swapped", "mouth-2", context));
  expect(spans(sheet)).toEqual(["1-5 swapped", "6-12 swapped"]);
});

test("the edge between two intents is moved for both, and can't be pulled past an intent's other end", () => {
  let sheet = done(setIntent(puppet(), "arm", 1, 12, "holds", null, context));
  sheet = done(setIntent(sheet, "arm", 13, 24, "moves", null, context));
  sheet = done(moveIntentEdge(sheet, "arm", 0, "to", 15, context));
  expect(spans(sheet)).toEqual(["1-15 holds", "16-24 moves"]);
  sheet = done(moveIntentEdge(sheet, "arm", 1, "from", 11, context));
  expect(spans(sheet)).toEqual(["1-10 holds", "11-24 moves"]);
  sheet = done(moveIntentEdge(sheet, "arm", 0, "to", -5, context));
  expect(spans(sheet)).toEqual(["1-1 holds", "2-24 moves"]);
  sheet = done(moveIntentEdge(sheet, "arm", 1, "to", 20, context));
  expect(spans(sheet)).toEqual(["1-1 holds", "2-20 moves"]);
});

test("where frames are numbered by twos, holds that touch are one, and an edge lands on a frame that is there", () => {
  const twos = { ...context, frames: frames.filter((frame) => frame % 2 === 1) };
  let sheet = done(setIntent(puppet(), "arm", 1, 11, "holds", null, twos));
  sheet = done(setIntent(sheet, "arm", 13, 19, "holds", null, twos));
  expect(spans(sheet)).toEqual(["1-19 holds"]);
  sheet = done(setIntent(sheet, "arm", 13, 23, "moves", null, twos));
  sheet = done(moveIntentEdge(sheet, "arm", 1, "from", 9, twos));
  expect(spans(sheet)).toEqual(["1-7 holds", "9-23 moves"]);
});

test("what rode on a part that is removed rides on that part's carrier", () => {
  let sheet = done(setIntent(puppet(), "sleeve", 1, 24, "rides", null, context));
  sheet = done(
    addMark(sheet, { frame: frameNumber(9), kind: "reset", part: "arm", note: "elbow re-tightened" }, context),
  );
  sheet = done(removePart(sheet, "arm", context));
  expect(sheet.parts.map(({ id, carrier }) => [id, carrier])).toEqual([
    ["torso", null],
    ["sleeve", "torso"],
  ]);
  expect(sheet.marks).toEqual([]);
  sheet = done(removePart(sheet, "torso", context));
  expect(sheet.parts[0]).toMatchObject({ id: "sleeve", carrier: null, intents: [] });
});

test("proposed parts that share a name with one that is there are told apart", () => {
  const sheet = done(takeParts(puppet(), [part("arm"), part("found-1")], context));
  expect(sheet.parts.map(({ id }) => id)).toEqual(["torso", "arm", "sleeve", "arm-2", "found-1"]);
});

test("a drawn length gives the scale, a plumb line gravity, and joints get ids of their own", () => {
  expect(scaleOfLine(at(0, 0), at(30, 40), 10)).toEqual({ pxPerMm: 5, sigma: expect.closeTo(0.0707, 3) });
  expect(scaleOfLine(at(0, 0), at(30, 40), 0)).toBeNull();
  let sheet = done(setScale(puppet(), 4.2, context));
  sheet = done(setDown(sheet, at(100, 100), at(103, 104), context));
  expect(sheet.down).toEqual([0.6, 0.8]);
  expect(why(setDown(sheet, at(100, 100), at(100.2, 100), context))).toHaveLength(1);
  const first = addJoint(sheet, "arm", frameNumber(1), at(110, 110), context);
  const second = addJoint(done(first), "torso", frameNumber(1), at(110, 110), context);
  expect([first.id, second.id]).toEqual(["joint", "joint-2"]);
});

test("an edit makes old what it touches and what rides on that, and a name makes nothing old", () => {
  const sheet = puppet();
  const touched = (after: Edited) => [...(touchedParts(sheet, done(after)) ?? ["everything"])].toSorted();
  expect(touched(changePart(sheet, "arm", { name: "Left arm" }, context))).toEqual([]);
  expect(touched(changePart(sheet, "arm", { bandPx: px(0.5) }, context))).toEqual(["arm", "sleeve"]);
  expect(touched(addPart(sheet, frameNumber(1), square(20, 20), context))).toEqual(["part"]);
  expect(touched(removePart(sheet, "sleeve", context))).toEqual(["sleeve"]);
  expect(touched(setCameraIntent(sheet, 1, 5, "moves", context))).toEqual(["everything"]);
  expect(touched(setScale(sheet, 4, context))).toEqual(["everything"]);
});

test("a part is put onto what it rides on; a ring of carriers is refused with a sentence that says the way round", () => {
  const sheet: Sheet = {
    ...createSheet("hive_010"),
    parts: [part("torso"), part("arm", { carrier: "torso" }), part("hand", { carrier: "arm" }), part("bun")],
  };
  const put = carryPart(sheet, "bun", "torso", context);
  expect("sheet" in put && put.sheet.parts[3]?.carrier).toBe("torso");
  const off = carryPart(sheet, "hand", null, context);
  expect("sheet" in off && off.sheet.parts[2]?.carrier).toBe(null);
  expect(carryPart(sheet, "torso", "hand", context)).toEqual({
    refusals: ["torso can't ride on hand: hand rides on torso already (by way of arm)"],
  });
  expect(carryPart(sheet, "torso", "arm", context)).toEqual({
    refusals: ["torso can't ride on arm: arm rides on torso already"],
  });
  expect(carryPart(sheet, "arm", "arm", context)).toEqual({ refusals: ["arm can't ride on itself"] });
});
