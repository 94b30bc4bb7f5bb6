import { expect, test } from "vitest";
import { displacementOf, largestDisplacement, type RigidMotion } from "../../src/analysis/kinds/evidence/rigid.ts";

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
