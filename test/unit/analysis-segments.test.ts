import { expect, test } from "vitest";
import { isHeld, segmentsOf, withoutBumps } from "../../src/analysis/segments.ts";
import type { Mark, Part } from "../../src/model/index.ts";
import { frameNumber } from "../../src/units/index.ts";
import { framesFrom, partOf } from "./analysis-grids.ts";

/** "intent first-last" of every segment, with an arrow where it follows a move. */
const inShort = (part: Part, frames = framesFrom(1, 12), moves: readonly boolean[] = [], marks: readonly Mark[] = []) =>
  segmentsOf(part, frames, moves, marks).map(
    ({ intent, frames: own, afterMove, wears }) =>
      `${afterMove ? "> " : ""}${intent} ${own[0]}-${own.at(-1)}${wears === null ? "" : ` ${wears}`}`,
  );

/** True for the frames that are listed; the first is frame 1. */
const movesIn = (count: number, ...moving: readonly number[]): boolean[] =>
  Array.from({ length: count }, (_, i) => moving.includes(i + 1));

const mark = (frame: number, kind: Mark["kind"], part: string | null = null): Mark => ({
  frame: frameNumber(frame),
  kind,
  part,
  note: "",
});

test("a part is cut where its intent changes, and a hold knows that it follows a move", () => {
  const arm = partOf("arm-left", {
    intents: [
      [1, 4, "holds"],
      [5, 8, "moves"],
      [9, 12, "holds"],
    ],
  });
  expect(inShort(arm)).toEqual(["holds 1-4", "moves 5-8", "> holds 9-12"]);
  expect(segmentsOf(arm, framesFrom(1, 12), [], []).every(({ part }) => part === arm)).toBe(true);
});

test("two intents of the same name that follow each other are two stretches", () => {
  const face = partOf("face", {
    kind: "face",
    intents: [
      [1, 6, "swapped", "mouth-1"],
      [7, 12, "swapped", "mouth-3"],
    ],
  });
  expect(inShort(face)).toEqual(["swapped 1-6 mouth-1", "swapped 7-12 mouth-3"]);
});

test("frames that are missing from the shot don't cut a hold", () => {
  const arm = partOf("arm-left", { intents: [[1, 12, "holds"]] });
  expect(inShort(arm, [1, 2, 5, 9].map(frameNumber))).toEqual(["holds 1-9"]);
});

test("a hidden stretch in between starts a new hold, which follows no move", () => {
  const arm = partOf("arm-left", {
    intents: [
      [1, 4, "holds"],
      [5, 6, "hidden"],
      [7, 12, "holds"],
    ],
  });
  expect(inShort(arm)).toEqual(["holds 1-4", "hidden 5-6", "holds 7-12"]);
});

test("a reset starts a new anchor that follows no move, for everything or for the part that it names", () => {
  const arm = partOf("arm-left", { intents: [[1, 12, "holds"]] });
  expect(inShort(arm, framesFrom(1, 12), [], [mark(7, "reset")])).toEqual(["holds 1-6", "holds 7-12"]);
  expect(inShort(arm, framesFrom(1, 12), [], [mark(7, "reset", "arm-left")])).toEqual(["holds 1-6", "holds 7-12"]);
  expect(inShort(arm, framesFrom(1, 12), [], [mark(7, "anchor", "arm-left")])).toEqual(["holds 1-6", "holds 7-12"]);
  expect(inShort(arm, framesFrom(1, 12), [], [mark(7, "reset", "head")])).toEqual(["holds 1-12"]);
});

test("a correction or a break is no new anchor", () => {
  const arm = partOf("arm-left", { intents: [[1, 12, "holds"]] });
  expect(inShort(arm, framesFrom(1, 12), [], [mark(7, "correction"), mark(9, "break")])).toEqual(["holds 1-12"]);
});

test("a reset at a frame that could not be read still cuts at the next one that could", () => {
  const arm = partOf("arm-left", { intents: [[1, 12, "holds"]] });
  const frames = framesFrom(1, 12).filter((frame) => frame !== 7);
  expect(inShort(arm, frames, [], [mark(7, "reset")])).toEqual(["holds 1-6", "holds 8-12"]);
});

test("where nobody said, the pictures cut; the hold begins with the frame that moved last", () => {
  const arm = partOf("arm-left");
  // Moved into 5, 6 and 7: frame 7 shows the new pose.
  expect(inShort(arm, framesFrom(1, 12), movesIn(12, 5, 6, 7))).toEqual(["found 1-4", "moves 5-6", "> found 7-12"]);
  expect(inShort(arm, framesFrom(1, 12), movesIn(12))).toEqual(["found 1-12"]);
  expect(inShort(arm, framesFrom(1, 6), movesIn(6, 1, 2, 3, 4, 5, 6))).toEqual(["moves 1-6"]);
});

test("a move into the last frame that moved leaves no empty stretch", () => {
  expect(inShort(partOf("arm-left"), framesFrom(1, 8), movesIn(8, 3))).toEqual(["found 1-2", "> found 3-8"]);
});

test("what the sheet says counts before what the pictures show, and only where it says something", () => {
  const arm = partOf("arm-left", { intents: [[1, 6, "holds"]] });
  const moves = movesIn(12, 3, 4, 5, 8, 9, 10);
  expect(inShort(arm, framesFrom(1, 12), moves)).toEqual(["holds 1-6", "found 7-7", "moves 8-9", "> found 10-12"]);
});

test("a knock or a pop in the middle of a hold is no animation", () => {
  expect(withoutBumps(movesIn(12, 6))).toEqual(movesIn(12));
  expect(withoutBumps(movesIn(12, 6, 7))).toEqual(movesIn(12));
  expect(inShort(partOf("arm-left"), framesFrom(1, 12), movesIn(12, 6, 7))).toEqual(["found 1-12"]);
});

test("three frames of motion, or motion near the end of a hold, are animation", () => {
  for (const moves of [movesIn(12, 6, 7, 8), movesIn(12, 4), movesIn(12, 10), movesIn(12, 5, 9)])
    expect(withoutBumps(moves)).toEqual(moves);
  // Four held frames on either side are enough.
  expect(withoutBumps(movesIn(12, 5))).toEqual(movesIn(12));
  expect(withoutBumps(movesIn(12, 8))).toEqual(movesIn(12));
});

test("looking for bumps leaves the list that it was given alone", () => {
  const moves = movesIn(12, 6);
  withoutBumps(moves);
  expect(moves).toEqual(movesIn(12, 6));
});

test("a part is held in every intent but moves and hidden", () => {
  expect((["holds", "alive", "rides", "swapped", "found"] as const).every(isHeld)).toBe(true);
  expect((["moves", "hidden"] as const).some(isHeld)).toBe(false);
});
