import { expect, test } from "vitest";
import { whatCameBack } from "../../src/analysis/proof/came-back.ts";
import { edgeOf, firstSizes, fullSize, sizesBetween } from "../../src/analysis/proof/sizes.ts";
import type { Hold, TrackRow } from "../../src/analysis/series.ts";
import { proofExitCode } from "../../src/cli/exit-code.ts";
import { createPart } from "../../src/model/index.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";
import { examplePart, exampleProof } from "./proof-example.ts";

// What came back of a known drift, from series alone: a proof that can't fail proves nothing.

const SIGMA = 0.01;
const frames = [5, 6, 7, 8].map(frameNumber);

const row = (frame: number, dy: number, state: TrackRow["state"] = "ok"): TrackRow => ({
  frame: frameNumber(frame),
  dx: px(0),
  dy: px(dy),
  turn: radians(0),
  covariance: [SIGMA ** 2, 0, 0, SIGMA ** 2, 0, 1e-10],
  rawDx: px(0),
  rawDy: px(dy),
  crawlPx: px(0),
  floorPx: px(0.03),
  state,
  reason: "",
});

const holdOf = (rows: readonly TrackRow[]): Hold => ({
  part: createPart({ id: "arm-left", name: "Left arm", kind: "limb", outlines: [] }),
  intent: "holds",
  anchor: frameNumber(1),
  templateFrames: [1, 2, 3, 4].map(frameNumber),
  anchorCovariance: [0, 0, 0, 0, 0, 0],
  outline: [],
  centroid: [50, 50],
  joints: [],
  afterMove: false,
  rows,
});

const put = (frame: number): number => 0.25 * (frame - 4);
const known = new Map(frames.map((frame) => [frame, [0, put(frame)] as const]));
const own = holdOf(frames.map((frame) => row(frame, 0.004 * frame)));
const back = (dyOf: (frame: number) => number) =>
  whatCameBack(
    holdOf(frames.map((frame) => row(frame, 0.004 * frame + dyOf(frame)))),
    own,
    [50, 50],
    known,
    [0, 1],
    0.02,
  );

test("what was put in comes back with the part's own drift taken off", () => {
  const { cameBack, frames: rows } = back(put);
  expect(cameBack).toMatchObject({ proved: true });
  expect(cameBack?.px).toBeCloseTo(1, 12);
  expect(cameBack?.sigma).toBeCloseTo(SIGMA, 12);
  expect(cameBack?.rmsPx).toBeCloseTo(0, 12);
  expect(rows.map(({ putPx }) => putPx)).toEqual([0.25, 0.5, 0.75, 1]);
});

test("a drift that comes back a tenth short is told as wrong, with its bias in px", () => {
  const { cameBack } = back((frame) => 0.9 * put(frame));
  expect(cameBack?.proved).toBe(false);
  expect(cameBack?.biasPx).toBeCloseTo(-0.0625, 12);
  expect(cameBack?.z).toBeGreaterThan(4);
});

test("three sigma and 0.02 px may be missing at the last frame, and no more", () => {
  const off = (error: number) => back((frame) => put(frame) - (frame === 8 ? error : 0)).cameBack?.proved;
  expect(off(3 * SIGMA + 0.019)).toBe(true);
  expect(off(3 * SIGMA + 0.021)).toBe(false);
});

test("an error across the way it was put counts like one along it", () => {
  const aside = holdOf(frames.map((frame) => ({ ...row(frame, 0.004 * frame + put(frame)), dx: px(0.06) })));
  expect(whatCameBack(aside, own, [50, 50], known, [0, 1], 0.02).cameBack?.proved).toBe(false);
});

test("frames without a number stay without one, and none at all gives no answer", () => {
  const gaps = holdOf(frames.map((frame) => row(frame, frame === 6 ? Number.NaN : 0.004 * frame + put(frame))));
  const some = whatCameBack(gaps, own, [50, 50], known, [0, 1], 0.02);
  expect(some.frames[1]).toEqual({ frame: 6, putPx: 0.5, measuredPx: null, errorPx: null, sigma: null });
  expect(some.cameBack?.proved).toBe(true);
  expect(whatCameBack(holdOf([]), own, [50, 50], known, [0, 1], 0.02).cameBack).toBeNull();
});

test("the drift that must come back is three bands, and at least 1 px", () => {
  expect([0, 0.3, 0.5].map(fullSize)).toEqual([1, 1, 1.5]);
  expect(firstSizes(1)).toEqual([0.02, 0.05, 0.1, 0.2, 0.5, 1]);
});

test("the smallest drift shown is the one from which on all larger ones were flagged", () => {
  const tried = (flagged: readonly boolean[]) => flagged.map((seen, i) => ({ px: 0.1 * (i + 1), flagged: seen }));
  expect(edgeOf(tried([false, true, true]))).toMatchObject({ seen: 0.2, notSeen: 0.1 });
  expect(edgeOf(tried([true, false, true]))?.notSeen).toBe(0.2);
  expect(edgeOf(tried([true, true]))).toEqual({ seen: 0.1, notSeen: null });
  expect(edgeOf(tried([true, false]))).toBeNull();
  const between = sizesBetween(tried([false, true, true]));
  expect(between.every((size) => size > 0.1 && size < 0.2)).toBe(true);
  expect(sizesBetween(tried([true, false]))).toEqual([]);
});

test("one part that came back wrong ends with 1, none at all with 2", () => {
  const wrong = { ...examplePart, cameBack: { ...examplePart.cameBack, proved: false } };
  expect(proofExitCode(exampleProof)).toBe(0);
  expect(proofExitCode({ ...exampleProof, parts: [examplePart, wrong] })).toBe(1);
  expect(proofExitCode({ ...exampleProof, parts: [] })).toBe(2);
});
