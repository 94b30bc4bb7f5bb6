import { expect, test } from "vitest";
import type { LeftOverEvent } from "../../src/analysis/kinds/evidence/left-over-events.ts";
import { isLeftOfDrift } from "../../src/analysis/kinds/left-over-finding.ts";
import type { Evidence } from "../../src/analysis/kinds/kind.ts";
import type { PartKind } from "../../src/model/index.ts";
import { partOf } from "./judge-series.ts";

// A patch of a surface that slipped, beside a jump of 0.7 px of the whole part at frame 15.

const besideJump = (kind: PartKind, slip: { readonly px: number; readonly from: number }): boolean => {
  const part = partOf("head", "Head", kind);
  const event = { part, family: "step", from: slip.from, to: 24, patch: { px: slip.px } };
  const jump = { part, event: { family: "step", from: 15, to: 24 }, largest: { px: 0.7 } };
  const evidence = { drifts: [jump], camera: [], input: { parts: [part] } };
  // Only what the rule reads: the rest of both is measured.
  return isLeftOfDrift(event as unknown as LeftOverEvent, evidence as unknown as Evidence);
};

test("what a head's surface did in the very frame in which the head jumped is the jump", () => {
  expect(besideJump("head", { px: 0.4, from: 15 })).toBe(true);
  expect(besideJump("body", { px: 0.4, from: 15 })).toBe(true);
});

test("what went farther than the jump, or at another frame, is a slip of its own", () => {
  expect(besideJump("head", { px: 0.8, from: 15 })).toBe(false);
  expect(besideJump("head", { px: 0.4, from: 18 })).toBe(false);
});

test("cloth and a skin can slip in the frame in which they jumped", () => {
  expect(besideJump("costume", { px: 0.4, from: 15 })).toBe(false);
  expect(besideJump("skin", { px: 0.4, from: 15 })).toBe(false);
});
