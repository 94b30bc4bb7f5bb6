import { expect, test } from "vitest";
import type { HeldRow } from "../../src/analysis/hold-rows.ts";
import { coveredRows } from "../../src/analysis/seen-again.ts";
import { frameNumber } from "../../src/units/index.ts";

/** Rows from frame 2 on: where the part is and what share of it shows; null: not found. */
const rowsOf = (seen: readonly (readonly [dx: number, shown: number] | null)[], rawDx = Number.NaN): HeldRow[] =>
  seen.map((one, i): HeldRow => {
    const nan = Number.NaN;
    const base = { frame: frameNumber(i + 2), dy: 0, turn: 0, rawDy: 0, leftOver: 0 };
    const variance = one === null ? nan : 1e-4;
    return {
      ...base,
      dx: one?.[0] ?? nan,
      rawDx: one?.[0] ?? rawDx,
      covariance: [variance, 0, 0, variance, 0, variance],
      state: one === null ? "lost" : "ok",
      reason: one === null ? "the part was not found again near where it was" : "",
      ...(one === null ? {} : { shown: one[1] }),
    };
  });
const states = (rows: readonly HeldRow[]): string[] => coveredRows(rows).map(({ state }) => state);

test("a part that goes behind something and comes out where it was is hidden in between", () => {
  const rows = coveredRows(rowsOf([[0, 1], [0.02, 0.6], null, null, [0.03, 0.6], [0.01, 1]]));
  expect(rows.map(({ state }) => state)).toEqual(["ok", "ok", "hidden", "hidden", "ok", "ok"]);
  expect(rows[2].reason).toBe("covered: in frame 6 it is seen again where it was in frame 3");
});

test("seen coming out alone is enough", () => {
  expect(states(rowsOf([[0, 1], null, [0, 0.6]]))).toEqual(["ok", "hidden", "ok"]);
});

test("a part that comes back elsewhere stays lost", () => {
  expect(states(rowsOf([[0, 0.6], null, [2, 1]]))).toEqual(["ok", "lost", "ok"]);
});

test("a part that was whole before and after stays lost: nothing was seen to cover it", () => {
  expect(states(rowsOf([[0, 1], null, [0, 1]]))).toEqual(["ok", "lost", "ok"]);
});

test("a part that is not seen again stays lost", () => {
  expect(states(rowsOf([[0, 0.6], null, null]))).toEqual(["ok", "lost", "lost"]);
});

test("a frame without a camera is not one in which the part is covered", () => {
  expect(states(rowsOf([[0, 0.6], null, [0, 0.6]], 0.01))).toEqual(["ok", "lost", "ok"]);
});
