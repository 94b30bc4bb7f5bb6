import type { Range } from "../faults.ts";
import { bendingOf, type Cloth, rigidityOf } from "./cantilever.ts";

/** Rigidity of two layers bonded all over, uN m: plates on a common neutral line, each as stiff as its own test says. */
export function bondedRigidity(shell: Cloth, lining: Cloth): number {
  const [a, b] = [shell, lining].map((cloth) => {
    const own = rigidityOf(cloth).value;
    // Stretch stiffness of a plain plate of this rigidity: D = E t^3 / 12, so E t = 12 D / t^2.
    return { own, stretch: (12 * own) / cloth.thicknessMm ** 2 };
  });
  const apart = (shell.thicknessMm + lining.thicknessMm) / 2;
  return a.own + b.own + (apart ** 2 * a.stretch * b.stretch) / (a.stretch + b.stretch);
}

/** Shell and lining together. */
export interface Pair {
  /** uN m: low where the layers slide on each other, high where they are bonded all over. */
  readonly rigidity: Range;
  /** mm, of the pair with its whole weight. */
  readonly bendingMm: Range;
}

/**
 * Both bounds of shell and lining together. Layers that slide add; bonded ones stiffen as a laminate. Tacked, quilted
 * and bagged-out pairs lie in between, which only a test of both tells.
 */
export function pairOf(shell: Cloth, lining: Cloth): Pair {
  const weight = shell.weightGsm + lining.weightGsm;
  const low = rigidityOf(shell).value + rigidityOf(lining).value;
  const high = bondedRigidity(shell, lining);
  return { rigidity: { low, high }, bendingMm: { low: bendingOf(low, weight), high: bendingOf(high, weight) } };
}

/** Where a tested pair lies between sliding (0) and bonded (1); below 0 or above 1 the three tests disagree. */
export const bondShare = (pair: Pair, both: Cloth): number =>
  (rigidityOf(both).value - pair.rigidity.low) / (pair.rigidity.high - pair.rigidity.low);
