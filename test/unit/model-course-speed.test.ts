import { expect, test } from "vitest";
import { courseSpeed } from "../../src/model/course-speed.ts";
import { createRandom } from "../support/random.ts";

const point = (frame: number, px: number, sigma: number | null = 0.02) => ({ frame, px, sigma });
/** Two minutes a frame. */
const minuteOf = (frame: number) => 2 * frame;

test("a course that goes evenly has its slope, with what its points' sigmas make of it", () => {
  const told = courseSpeed([point(1, 0), point(6, 0.5), point(11, 1)], minuteOf);
  expect(told?.perMinute).toBeCloseTo(0.05, 9);
  // sigma over the root of the sum of squared distances in time: 0.02 / sqrt(10² + 10²).
  expect(told?.sigma).toBeCloseTo(0.02 / Math.sqrt(200), 9);
});

test("by the clock, not by the frame: a meal between two frames counts", () => {
  const clock = (frame: number) => 2 * frame + (frame > 5 ? 60 : 0);
  expect(courseSpeed([point(1, 0), point(11, 1)], clock)?.perMinute).toBeCloseTo(1 / 80, 9);
});

test("points that scatter more than they say make it less sure; the truth lies within three sigma", () => {
  const random = createRandom(7);
  let outside = 0;
  for (let round = 0; round < 200; round++) {
    const course = Array.from({ length: 20 }, (_, i) => point(i, 0.04 * i + 0.1 * random.normal(), 0.02));
    const told = courseSpeed(course, minuteOf);
    if (told === null || Math.abs(told.perMinute - 0.02) > 3 * told.sigma) outside += 1;
  }
  expect(outside).toBeLessThan(6);
});

test("no times, one point, or all at once: no speed", () => {
  expect(courseSpeed([point(1, 0), point(9, 1)], () => Number.NaN)).toBe(null);
  expect(courseSpeed([point(1, 0)], minuteOf)).toBe(null);
  expect(courseSpeed([point(1, 0), point(9, 1)], () => 5)).toBe(null);
});
