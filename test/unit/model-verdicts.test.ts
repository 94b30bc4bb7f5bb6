import { expect, test } from "vitest";
import { carryVerdicts, type Flag, freshFlags, judgedFlagOf, type Verdict } from "../../src/model/index.ts";
import { frameNumber, px, stops } from "../../src/units/index.ts";
import { verdictOf } from "../support/records.ts";
import { flagOf, square } from "../support/ui-report.ts";

const flag = (id: string, from: number, to: number, more: Partial<Flag> = {}): Flag =>
  flagOf({ id, from: frameNumber(from), to: frameNumber(to), px: px(1), sigma: 0.02, ...more });
const on = (judged: Flag, more: Partial<Verdict> = {}): Verdict =>
  verdictOf({ id: `on-${judged.id}`, flag: judgedFlagOf(judged), ...more });
const told = (flags: readonly Flag[], verdicts: readonly Verdict[]) =>
  [...carryVerdicts(flags, verdicts)].map(([id, { verdict, state }]) => `${id}: ${verdict.id} ${state}`);

test("a flag that was judged stays judged when its onset and its end move and its id changes", () => {
  const before = flag("sag-arm-7", 7, 24);
  expect(told([flag("sag-arm-6", 6, 26)], [on(before)])).toEqual(["sag-arm-6: on-sag-arm-7 settled"]);
});

test("another kind, another part, or frames that don't meet are another flag", () => {
  const verdict = on(flag("a", 7, 12));
  expect(told([flag("b", 7, 12, { kind: "knock" })], [verdict])).toEqual([]);
  expect(told([flag("b", 7, 12, { part: "hand" })], [verdict])).toEqual([]);
  expect(told([flag("b", 13, 20)], [verdict])).toEqual([]);
});

test("a verdict goes to one flag alone: of two sags in its frames the one that has most of them", () => {
  const verdict = on(flag("a", 5, 20));
  expect(told([flag("b", 4, 8), flag("c", 9, 22)], [verdict])).toEqual(["c: on-a settled"]);
});

test("of two verdicts on one flag the later one counts", () => {
  const judged = flag("a", 5, 20);
  const early = on(judged, { id: "early", changed: "2026-03-02T18:00:00Z" });
  const late = on(judged, { id: "late", changed: "2026-03-02T19:00:00Z" });
  expect(told([judged], [early, late])).toEqual(["a: late settled"]);
});

test("a flag that grew beyond its uncertainty and by a quarter comes back with what was said", () => {
  const verdict = on(flag("a", 5, 20));
  const grown = (size: number, sigma = 0.02) => told([flag("a", 5, 24, { px: px(size), sigma })], [verdict])[0];
  expect(grown(1.24)).toBe("a: on-a settled");
  expect(grown(1.26)).toBe("a: on-a worse");
  // A quarter, but within 3 sigma of the difference.
  expect(grown(1.26, 0.1)).toBe("a: on-a settled");
  expect(grown(0.2)).toBe("a: on-a settled");
});

test("light grows in stops, and what has no size can't grow", () => {
  const lamp = (size: number) => flag("l", 5, 5, { kind: "light", part: null, px: null, stops: stops(size) });
  expect(told([lamp(-0.4)], [on(lamp(-0.1))])).toEqual(["l: on-l worse"]);
  const repeat = (score: number) => flag("r", 5, 6, { kind: "repeat", px: null, sigma: null, score });
  expect(told([repeat(90)], [on(repeat(2))])).toEqual(["r: on-r settled"]);
});

test("known until the hold ends: quiet until then whatever it does, and told anew after it", () => {
  const verdict = on(flag("a", 5, 10), { untilFrame: frameNumber(20) });
  expect(told([flag("a", 5, 20, { px: px(9) })], [verdict])).toEqual(["a: on-a settled"]);
  expect(told([flag("a", 5, 24, { px: px(9) })], [verdict])).toEqual(["a: on-a worse"]);
  expect(told([flag("b", 21, 30)], [on(flag("a", 5, 30), { untilFrame: frameNumber(20) })])).toEqual([]);
});

test("outside all outlines the place tells two flags apart", () => {
  const at = (id: string, x: number) => flag(id, 5, 20, { kind: "stray", part: null, region: square(x, 50) });
  expect(told([at("near", 104), at("far", 300)], [on(at("a", 100))])).toEqual(["near: on-a settled"]);
  expect(told([at("far", 300)], [on(at("a", 100))])).toEqual([]);
});

test("new are the flags that the report before had not, whatever their ids", () => {
  const before = [flag("a", 5, 20), flag("b", 3, 4, { kind: "pop" })];
  const after = [flag("c", 6, 22), flag("d", 9, 9, { kind: "pop" }), flag("e", 5, 20, { part: "hand" })];
  expect(freshFlags(after, before)).toEqual(["d", "e"]);
  expect(freshFlags(after, [])).toEqual(["c", "d", "e"]);
});
