import { expect, test } from "vitest";
import { centroidOf, displacementOf, farthestOf, outlineContains, sigmaOf, type Track } from "../../src/model/index.ts";
import { createRandom } from "../support/random.ts";

const row = (dx: number, dy: number, turn: number | null): Track =>
  ({ dx, dy, turn, sigmaDx: 0.01, sigmaDy: 0.02, rho: 0.3, sigmaTurn: turn === null ? null : 0.0004 }) as Track;

/** A limb that is bent like an L, so that its centroid lies outside of it. */
const bent = [
  [0, 0],
  [90, 0],
  [90, 12],
  [12, 12],
  [12, 70],
  [0, 70],
] as const;

test("no place of a part went farther than the corner that is told, wherever its centroid lies", () => {
  const random = createRandom(41);
  const centre = centroidOf({ points: bent, holes: [] });
  expect(outlineContains({ points: bent, holes: [] }, ...centre)).toBe(false);
  for (let i = 0; i < 200; i++) {
    const moved = row(random.between(-2, 2), random.between(-2, 2), random.between(-0.04, 0.04));
    const far = Math.hypot(...farthestOf(moved, bent, centre).by);
    let most = 0;
    for (let x = 0.5; x < 90; x += 3)
      for (let y = 0.5; y < 70; y += 3)
        if (outlineContains({ points: bent, holes: [] }, x, y))
          most = Math.max(most, Math.hypot(...displacementOf(moved, [x, y], centre)!));
    expect(far).toBeGreaterThanOrEqual(most);
    expect(far).toBeLessThan(most + 0.04 * 3 * Math.SQRT2);
  }
});

test("a shift without a turn is told of the centre, where it is known best, and not of whichever corner comes first", () => {
  const centre = centroidOf({ points: bent, holes: [] });
  const { at, by } = farthestOf(row(0.3, -0.4, 0), bent, centre);
  expect(at).toEqual(centre);
  expect(Math.hypot(...by)).toBeCloseTo(0.5, 12);
  const sigmas = [at, ...bent].map((point) => sigmaOf(row(0.3, -0.4, 0), point, centre, [0.6, -0.8]));
  expect(Math.min(...sigmas)).toBe(sigmas[0]);
});

test("a row without numbers has no displacement, and its farthest point none", () => {
  const none = { dx: null, dy: null, turn: null } as Track;
  expect(displacementOf(none, [1, 2], [0, 0])).toBeNull();
  expect(farthestOf(none, bent, [0, 0]).by).toEqual([0, 0]);
});
