import { type Fault, faultsOf, type Range } from "../faults.ts";
import { GRAVITY } from "./moments.ts";

// What a joint can hold, from the bench: a known weight at a known distance, the limb level, and how long it took to
// turn by a degree. Friction creeps below the load at which it gives way, so a test tells a speed, never a limit.

export interface HangTest {
  /** Weight hung on, g. */
  readonly weightGrams: number;
  /** From the joint's middle to the weight, level, mm. */
  readonly distanceMm: number;
  /** The limb's own weight beyond the joint, g, and its centre from the joint, mm; 0 where it was taken off. */
  readonly limbGrams: number;
  readonly limbCentreMm: number;
  /** How long it hung, min. */
  readonly minutes: number;
  /** How far it had turned by then, degrees; 0 where nothing was seen. */
  readonly degrees: number;
  /** Smallest turn that could have been seen, degrees. */
  readonly seenFromDegrees: number;
}

/** A speed of creep under a load: from a hang test or from a sag that was measured in a shot. */
export interface CreepPoint {
  readonly momentNmm: number;
  /** Between which speeds it lies, degrees an hour. */
  readonly degreesPerHour: Range;
  readonly source: "hang-test" | "measured-sag";
}

export function hangTestFaults(test: HangTest): readonly Fault[] {
  return faultsOf([
    ["weight", test.weightGrams, { what: "The weight", unit: "g", least: 0 }],
    ["distance", test.distanceMm, { what: "The distance of the weight", unit: "mm", above: 0 }],
    ["limb", test.limbGrams, { what: "The limb's own weight", unit: "g", least: 0 }],
    ["limbCentre", test.limbCentreMm, { what: "The distance of the limb's centre", unit: "mm", least: 0 }],
    ["minutes", test.minutes, { what: "The time it hung", unit: "min", above: 0 }],
    ["degrees", test.degrees, { what: "The turn", unit: "degrees", least: 0, most: 90 }],
    ["seenFrom", test.seenFromDegrees, { what: "The smallest turn that you could see", unit: "degrees", above: 0 }],
  ]);
}

/** Moment during the test, N mm: weight and limb, level. */
export const hangTestMoment = ({ weightGrams, distanceMm, limbGrams, limbCentreMm }: HangTest): number =>
  ((weightGrams * distanceMm + limbGrams * limbCentreMm) * GRAVITY) / 1000;

/** What a test says. Where no turn was seen it says only that the joint creeps more slowly than could be seen. */
export function creepOfTest(test: HangTest): CreepPoint {
  const perHour = 60 / test.minutes;
  return {
    momentNmm: hangTestMoment(test),
    degreesPerHour: {
      low: Math.max(0, test.degrees - test.seenFromDegrees) * perHour,
      high: (test.degrees + test.seenFromDegrees) * perHour,
    },
    source: "hang-test",
  };
}

/** What is known of a joint's creep under another load. A bound is null where no test tells it. */
export interface CreepBounds {
  readonly atLeast: number | null;
  readonly atMost: number | null;
  /** Degrees an hour between two tests, by their logarithms (speed rising exponentially with load, as friction creep does); null beyond them. */
  readonly likely: number | null;
}

/**
 * Degrees an hour under a load, from speeds under other loads. Sure is only that a joint creeps no slower under more
 * load: a lighter test gives a lower bound, a heavier one an upper bound. Nothing is told beyond the tests.
 */
export function creepUnder(points: readonly CreepPoint[], momentNmm: number): CreepBounds {
  const below = points.filter((point) => point.momentNmm <= momentNmm);
  const above = points.filter((point) => point.momentNmm >= momentNmm);
  const atLeast = below.length > 0 ? Math.max(...below.map((point) => point.degreesPerHour.low)) : null;
  const atMost = above.length > 0 ? Math.min(...above.map((point) => point.degreesPerHour.high)) : null;
  const middle = ({ degreesPerHour: { low, high } }: CreepPoint) => (low + high) / 2;
  const left = below.reduce<CreepPoint | null>(
    (best, point) => (best && best.momentNmm >= point.momentNmm ? best : point),
    null,
  );
  const right = above.reduce<CreepPoint | null>(
    (best, point) => (best && best.momentNmm <= point.momentNmm ? best : point),
    null,
  );
  let likely: number | null = null;
  if (left !== null && right !== null) {
    const [low, high] = [Math.max(1e-6, middle(left)), Math.max(1e-6, middle(right))];
    const share =
      right.momentNmm > left.momentNmm ? (momentNmm - left.momentNmm) / (right.momentNmm - left.momentNmm) : 0;
    likely = low * (high / low) ** share;
  }
  return { atLeast, atMost, likely };
}

/**
 * The heaviest load under which the tests promise no more than a speed, N mm: that of the heaviest test that stayed
 * within it. Null where none did: then there is no load that is known to be light enough.
 */
export function provenLoad(points: readonly CreepPoint[], degreesPerHour: number): number | null {
  const held = points.filter((point) => point.degreesPerHour.high <= degreesPerHour);
  return held.length > 0 ? Math.max(...held.map((point) => point.momentNmm)) : null;
}
