import { expect, test } from "vitest";
import { rowsOfTracks } from "../../src/analysis/kinds/evidence/held-series.ts";
import { displacementOf, largestDisplacement, type RigidMotion } from "../../src/analysis/kinds/evidence/rigid.ts";
import type { TrackRow } from "../../src/analysis/series.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";

// Where a part's texture is lines its motion along them is anybody's guess: a size must not be made of it.

/** A shift told to 0.002 px across lines at an angle from x towards y, and to `along` px along them. */
function linedMotion(dx: number, dy: number, angle: number, along: number): RigidMotion {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const [p, q] = [along ** 2, 0.002 ** 2];
  const covariance = Float64Array.of(
    p * c * c + q * s * s,
    (p - q) * c * s,
    0,
    (p - q) * c * s,
    p * s * s + q * c * c,
    0,
    0,
    0,
    1e-12,
  );
  return { dx, dy, turn: 0, covariance, centre: [100, 100] };
}

test("a shift across upright lines is told by what is seen of it, whatever the search did along them", () => {
  const told = displacementOf(linedMotion(0.5, 1.7, Math.PI / 2, 3), [120, 90]);
  expect(told.px).toBeCloseTo(0.5, 3);
  expect(told.sigma).toBeCloseTo(0.002, 3);
  expect(told.direction[0]).toBeCloseTo(1, 3);
  expect(told.acrossLines).toBe(true);
});

test("lines that lie aslant have their own across", () => {
  const angle = 0.6;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const told = largestDisplacement([
    {
      outline: [
        [90, 90],
        [110, 90],
        [110, 110],
      ],
      motion: linedMotion(-0.3 * s + 0.9 * c, 0.3 * c + 0.9 * s, angle, 2),
    },
  ]);
  expect(told.px).toBeCloseTo(0.3, 3);
  expect(told.direction[0]).toBeCloseTo(-s, 2);
  expect(told.direction[1]).toBeCloseTo(c, 2);
});

test("what is far beyond its own sigma along the lines is told, and so is what is told all round", () => {
  const far = displacementOf(linedMotion(0.5, 2, Math.PI / 2, 0.3), [100, 100]);
  expect(far.px).toBeCloseTo(Math.hypot(0.5, 2), 3);
  expect(far.acrossLines).toBeUndefined();
  const round = displacementOf(linedMotion(0.5, 0.1, Math.PI / 2, 0.004), [100, 100]);
  expect(round.px).toBeCloseTo(Math.hypot(0.5, 0.1), 3);
  expect(round.acrossLines).toBeUndefined();
});

/** A row that is told to 0.01 px across lines at an angle, and to `along` px along them. */
function linedRow(alongPx: number, acrossPx: number, angle: number, along: number): TrackRow {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const [p, q] = [along ** 2, 0.01 ** 2];
  const [dx, dy] = [px(alongPx * c - acrossPx * s), px(alongPx * s + acrossPx * c)];
  return {
    frame: frameNumber(11),
    dx,
    dy,
    turn: radians(0),
    covariance: [p * c * c + q * s * s, (p - q) * c * s, 0, p * s * s + q * c * c, 0, 1e-6],
    rawDx: dx,
    rawDy: dy,
    crawlPx: px(Number.NaN),
    floorPx: px(0.05),
    state: "weak",
    reason: "texture in one direction only",
  };
}

test("a search that ran 18 px along what is nearly a line says nothing along it, and all of what it says across", () => {
  const angle = -0.57;
  const [row] = rowsOfTracks([linedRow(-18.3, 0.12, angle, 1.4)]);
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  expect(row.dx * c + row.dy * s).toBeCloseTo(0, 9);
  expect(row.dy * c - row.dx * s).toBeCloseTo(0.12, 9);
  const [xx, xy, , , yy] = row.covariance;
  expect(Math.sqrt(xx * c * c + 2 * xy * c * s + yy * s * s)).toBeCloseTo(3, 6);
  expect(Math.sqrt(xx * s * s - 2 * xy * c * s + yy * c * c)).toBeCloseTo(0.01, 6);
});

test("a row that is told all round to half a pixel stays as it is", () => {
  const track = linedRow(2.5, 0.12, 0.3, 0.5);
  const [row] = rowsOfTracks([track]);
  expect([row.dx, row.dy]).toEqual([track.dx, track.dy]);
});
