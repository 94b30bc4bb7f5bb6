import { expect, test } from "vitest";
import type { CameraFit } from "../../src/analysis/camera.ts";
import { cameraOut, type HeldRow, temporalInflation, typicalCovariance } from "../../src/analysis/hold-rows.ts";
import type { PartMeasurement } from "../../src/analysis/measurement.ts";
import { analysisPx, frameNumber, radians } from "../../src/units/index.ts";
import { createRandom } from "../support/random.ts";
import { mean } from "./measure-pictures.ts";

const STILL: CameraFit = { dx: 0, dy: 0, turn: 0, scale: 1, covariance: new Float64Array(16) };
const SIGMA = 0.01;
/** Four frames, none of them among the rows but where a test says so. */
const TEMPLATE = [1, 101, 102, 103].map((frame) => frameNumber(frame));

/** A hold at these places; the camera stands still and is known to. */
function rowsOf(places: readonly (readonly [number, number])[], rival?: readonly [number, number]): HeldRow[] {
  const frames = places.map((_, i) => frameNumber(i + 2));
  const measured = new Map(
    places.map(([dx, dy], i): [(typeof frames)[number], PartMeasurement] => [
      frames[i],
      {
        part: "sleeve-left",
        anchor: frameNumber(1),
        dx: analysisPx(dx),
        dy: analysisPx(dy),
        turn: radians(0),
        covariance: [SIGMA ** 2, 0, 0, SIGMA ** 2, 0, 1e-8],
        state: "ok",
        reason: "",
        leftOver: analysisPx(0),
        ...(rival === undefined ? {} : { rival }),
      },
    ]),
  );
  const cameras = new Map([frameNumber(1), ...frames].map((frame) => [frame, STILL] as const));
  return cameraOut(measured, frames, frameNumber(1), [100, 100], cameras, 200, 200, TEMPLATE);
}

test("on threads that are all alike a slow sag stays told, however far it goes", () => {
  const rows = rowsOf(
    Array.from({ length: 12 }, (_, i) => [0, 0.8 * i] as const),
    [0, 7],
  );
  expect(rows.map(({ state }) => state)).toEqual(Array<string>(12).fill("ok"));
});

test("on threads that are all alike a step of more than a quarter of the period is ambiguous until it is undone", () => {
  const rows = rowsOf(
    [
      [0, 0],
      [0, 0.1],
      [0, 3],
      [0, 3.1],
      [0, 0.2],
    ],
    [0, 7],
  );
  expect(rows.map(({ state }) => state)).toEqual(["ok", "ok", "ambiguous", "ambiguous", "ok"]);
  expect(rows[2].reason).toContain("repeats every 7.0 px up or down");
  expect([rows[2].dx, rows[2].dy, rows[2].turn, ...rows[2].covariance]).toEqual(Array<number>(9).fill(Number.NaN));
});

/** The hold's own sigma is off by this factor. */
const inflations = (factor: number, seed: number): number[] => {
  const random = createRandom(seed, 0x6872);
  // Of the measurement's variance a fifth is the template's, which all rows share.
  const own = factor * SIGMA * Math.sqrt(4 / 5);
  return Array.from({ length: 200 }, () =>
    temporalInflation(
      rowsOf(Array.from({ length: 40 }, (_, i) => [own * random.normal(), 0.05 * i + own * random.normal()] as const)),
    ),
  );
};

test("a hold that scatters as its pictures say keeps its sigmas on average: neither up nor down", () => {
  expect(Math.abs(mean(inflations(1, 3)) - 1)).toBeLessThan(0.08);
});

test("a hold that scatters twice as much as its pictures say gets most of it, one that scatters half is lowered", () => {
  expect(mean(inflations(2, 4))).toBeGreaterThan(2.4);
  expect(mean(inflations(0.5, 5))).toBeLessThan(0.65);
});

test("frames of the template are told as surely as others: what they leave over is less, since they are in it", () => {
  // Variances of what is left against a mean of four: 5/4 of a frame's own, 3/4 of it for those that are in the mean.
  const frames = [2, 3, 5, 6].map((frame) => frameNumber(frame));
  const one = (frame: (typeof frames)[number], share: number): [typeof frame, PartMeasurement] => [
    frame,
    {
      part: "sleeve-left",
      anchor: frameNumber(1),
      dx: analysisPx(0),
      dy: analysisPx(0),
      turn: radians(0),
      covariance: [share * SIGMA ** 2, 0, 0, share * SIGMA ** 2, 0, 1e-8],
      state: "ok",
      reason: "",
      leftOver: analysisPx(0),
    },
  ];
  const measured = new Map(frames.map((frame) => one(frame, frame <= 4 ? 0.75 : 1.25)));
  const cameras = new Map([frameNumber(1), ...frames].map((frame) => [frame, STILL] as const));
  const template = [1, 2, 3, 4].map((frame) => frameNumber(frame));
  const rows = cameraOut(measured, frames, frameNumber(1), [100, 100], cameras, 200, 200, template);
  for (const { covariance } of rows) expect(covariance[0]).toBeCloseTo(SIGMA ** 2, 12);
});

test("a typical covariance is one that a row has", () => {
  const [row] = rowsOf([[0, 0]]);
  const rows = [1, 2, 3].map((k): HeldRow => ({ ...row, covariance: [k, [0.9, -1.9, 2.9][k - 1], 0, k, 0, 1] }));
  expect(typicalCovariance(rows)).toEqual([2, -1.9, 0, 2, 0, 1]);
});
