import { type Fault, faultsOf, type Range } from "../faults.ts";

// What a clamped ball could hold by its screw's torque and by friction. A wide range: friction of the same two metals
// differs fivefold between clean and greased, and soft plates strip before the screw does. The hang test beats it.

/** K of T = K F d by the state of the thread (Shigley, Mechanical Engineering Design, table 8-15: black 0.30, zinc 0.20, lubricated 0.18). */
export const threadStates = {
  black: { label: "black, dry", k: 0.3 },
  zinc: { label: "zinc-plated", k: 0.2 },
  lubricated: { label: "oiled", k: 0.18 },
} as const;
export type ThreadState = keyof typeof threadStates;

/** Metric coarse threads: pitch by ISO 261; largest tightening torque of class 8.8, N m, from two tables that differ. */
export const threads = {
  M2: { diameterMm: 2, pitchMm: 0.4, mostNm: { low: 0.35, high: 0.39 } },
  "M2.5": { diameterMm: 2.5, pitchMm: 0.45, mostNm: { low: 0.7, high: 0.81 } },
  M3: { diameterMm: 3, pitchMm: 0.5, mostNm: { low: 1.2, high: 1.51 } },
} as const;
export type ThreadName = keyof typeof threads;

/** Static friction of what a ball sits in, clean to greased; handbooks differ by as much. */
export const frictionPairs = {
  "steel-steel": { label: "steel on steel", friction: { low: 0.15, high: 0.78 } },
  "brass-steel": { label: "brass on steel", friction: { low: 0.19, high: 0.51 } },
} as const;
export type FrictionPair = keyof typeof frictionPairs;

/** Clamping force, N, of a torque in N mm on a screw of a diameter in mm: T = K F d (Shigley, Mechanical Engineering Design, 8-8). */
export const clampForce = (torqueNmm: number, k: number, diameterMm: number): number => torqueNmm / (k * diameterMm);

/** Tightening torque of a clamping force, in the unit of force times that of the diameter. */
export const tighteningTorque = (force: number, k: number, diameter: number): number => k * force * diameter;

/** Stress area of a metric thread, mm^2: pi/4 (d - 0.938194 p)^2 (ISO 898-1). */
export const stressArea = (diameterMm: number, pitchMm: number): number =>
  (Math.PI / 4) * (diameterMm - 0.938194 * pitchMm) ** 2;

/** Effective radius of a friction disc: even pressure (new), even wear (run in). Diameters and answer in one unit. */
export function discRadius(
  outerDiameter: number,
  innerDiameter: number,
): { readonly evenPressure: number; readonly evenWear: number } {
  const [outer, inner] = [outerDiameter / 2, innerDiameter / 2];
  return {
    evenPressure: ((2 / 3) * (outer ** 3 - inner ** 3)) / (outer ** 2 - inner ** 2),
    evenWear: (outer + inner) / 2,
  };
}

/**
 * Lever of the friction of a ball in a round seat against swinging, as a multiple of the clamping force times friction,
 * mm: for one seat. The ball touches the edge of a hole; the pressing force stands on that ring at an angle, so it is
 * F / cos; a point of the ring rubs at its distance from the axis of swing, averaged round the ring.
 */
export function seatLever(ballMm: number, holeMm: number): number {
  const sine = holeMm / ballMm;
  const cosine = Math.sqrt(1 - sine ** 2);
  const steps = 180;
  let sum = 0;
  for (let i = 0; i < steps; i++) sum += Math.sqrt(1 - (sine * Math.cos((Math.PI * (i + 0.5)) / steps)) ** 2);
  return ((ballMm / 2) * (sum / steps)) / cosine;
}

export interface ClampedBall {
  readonly torqueNmm: number;
  readonly thread: ThreadName;
  readonly state: ThreadState;
  readonly pair: FrictionPair;
  readonly ballMm: number;
  /** Of the seat: the hole or recess on whose edge the ball sits, mm. */
  readonly holeMm: number;
  /** Balls that share the screw: with a ball at either side of it each gets half. */
  readonly ballsAScrew: 1 | 2;
}

export function clampedBallFaults(ball: ClampedBall): readonly Fault[] {
  const faults = faultsOf([
    ["torque", ball.torqueNmm, { what: "The torque", unit: "N mm", above: 0 }],
    ["ball", ball.ballMm, { what: "The ball's diameter", unit: "mm", above: 0 }],
    ["hole", ball.holeMm, { what: "The seat's diameter", unit: "mm", above: 0 }],
  ]);
  if (faults.length === 0 && !(ball.holeMm < 0.98 * ball.ballMm)) {
    faults.push({
      field: "hole",
      sentence: "The ball falls through its seat: the seat must be smaller than the ball.",
    });
  }
  const most = threads[ball.thread].mostNm;
  if (faults.length === 0 && ball.torqueNmm > most.high * 1000) {
    faults.push({
      field: "torque",
      sentence: `${ball.torqueNmm} N mm is more than an ${ball.thread} screw of class 8.8 takes (${most.low * 1000} to ${most.high * 1000} N mm); soft plates strip long before.`,
    });
  }
  return faults;
}

/** K of a hand-tightened small screw differs by about a quarter either way. Common practice, no source. */
const K_SPREAD = 0.25;

/** Moment at which the ball would give way, N mm: what friction and the screw's factor allow, never a promise. */
export function breakAway(ball: ClampedBall): {
  readonly momentNmm: Range;
  readonly clampN: Range;
  readonly stressMpa: Range;
} {
  const { k } = threadStates[ball.state];
  const { diameterMm, pitchMm } = threads[ball.thread];
  const { friction } = frictionPairs[ball.pair];
  const clampN = {
    low: clampForce(ball.torqueNmm, k * (1 + K_SPREAD), diameterMm),
    high: clampForce(ball.torqueNmm, k * (1 - K_SPREAD), diameterMm),
  };
  // Two plates, one seat each.
  const lever = (2 * seatLever(ball.ballMm, ball.holeMm)) / ball.ballsAScrew;
  const area = stressArea(diameterMm, pitchMm);
  return {
    momentNmm: { low: friction.low * clampN.low * lever, high: friction.high * clampN.high * lever },
    clampN,
    stressMpa: { low: clampN.low / area, high: clampN.high / area },
  };
}

export const stripWarning =
  "Soft plates and small threads strip before the screw reaches its figure. Tighten by feel, stop where it stops gripping better, and trust a hang test over this range.";
