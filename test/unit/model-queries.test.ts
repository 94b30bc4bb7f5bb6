import { expect, test } from "vitest";
import {
  cameraIntentAt,
  carrierChain,
  createPart,
  createSheet,
  intentAt,
  outlineKeyFor,
  partsCarriedBy,
  pxPerMmOf,
} from "../../src/model/index.ts";
import { frameNumber, px } from "../../src/units/index.ts";

const frame = frameNumber;
const triangle = [
  [px(0), px(0)],
  [px(9), px(0)],
  [px(0), px(9)],
] as const;
const part = (id: string, carrier: string | null, more = {}) =>
  createPart({
    id,
    name: id,
    kind: "limb",
    carrier,
    outlines: [{ frame: frame(1), points: triangle, holes: [] }],
    ...more,
  });

const sheet = {
  ...createSheet("hive_010", [
    part("hand-left", "arm-left"),
    part("torso", null),
    part("arm-left", "torso", { pxPerMm: 4 }),
    part("thumb-left", "hand-left"),
    part("smoker", null),
  ]),
  scale: { pxPerMm: 4.2 },
  camera: [{ from: frame(5), to: frame(8), intent: "moves" as const }],
};
const ids = (parts: readonly { readonly id: string }[]) => parts.map(({ id }) => id);

test("the chain of carriers runs from the part itself to the root", () => {
  expect(ids(carrierChain(sheet, "thumb-left"))).toEqual(["thumb-left", "hand-left", "arm-left", "torso"]);
  expect(ids(carrierChain(sheet, "torso"))).toEqual(["torso"]);
  expect(carrierChain(sheet, "nobody")).toEqual([]);
});

test("a part carries all that rides on it at first or second hand, and not itself", () => {
  expect(ids(partsCarriedBy(sheet, "torso"))).toEqual(["hand-left", "arm-left", "thumb-left"]);
  expect(ids(partsCarriedBy(sheet, "hand-left"))).toEqual(["thumb-left"]);
  expect(partsCarriedBy(sheet, "smoker")).toEqual([]);
});

test("the intent at a frame is the range that holds it, both ends included", () => {
  const arm = part("arm", null, {
    intents: [
      { from: frame(1), to: frame(8), intent: "holds", wears: null },
      { from: frame(10), to: frame(10), intent: "moves", wears: null },
    ],
  });
  expect([1, 8, 9, 10, 11].map((at) => intentAt(arm, frame(at))?.intent ?? null)).toEqual([
    "holds",
    "holds",
    null,
    "moves",
    null,
  ]);
});

test("the camera holds where nothing is said of it", () => {
  expect([4, 5, 8, 9].map((at) => cameraIntentAt(sheet, frame(at)))).toEqual(["holds", "moves", "moves", "holds"]);
});

test("the outline at a frame is the last one drawn by then, before the first one the first", () => {
  const keyed = part("arm", null, {
    outlines: [3, 9].map((at) => ({ frame: frame(at), points: triangle, holes: [] })),
  });
  expect([1, 3, 8, 9, 24].map((at) => outlineKeyFor(keyed, frame(at)).frame)).toEqual([3, 3, 3, 9, 9]);
});

test("a part's own scale comes before the shot's", () => {
  expect(pxPerMmOf(sheet, sheet.parts[2])).toBe(4);
  expect(pxPerMmOf(sheet, sheet.parts[1])).toBe(4.2);
  expect(pxPerMmOf({ ...sheet, scale: null }, sheet.parts[1])).toBeNull();
});
