import { type Fault, faultsOf, type Uncertain } from "../faults.ts";
import { GRAVITY } from "../joint-load/moments.ts";

// The cantilever test: a strip is pushed over an edge until its end has drooped to a plane of 41.5 degrees.

/** A cloth as it was tested. */
export interface Cloth {
  /** Overhang at which the end met the 41.5 degree plane, mm: mean of both faces and both ends. */
  readonly overhangMm: number;
  /** Standard uncertainty of that mean, mm. */
  readonly overhangSigmaMm: number;
  /** g a m^2. */
  readonly weightGsm: number;
  /** mm, under a coin's pressure. */
  readonly thicknessMm: number;
}

export function clothFaults(field: string, name: string, cloth: Cloth): readonly Fault[] {
  return faultsOf([
    [`${field}.overhang`, cloth.overhangMm, { what: `The overhang of ${name}`, unit: "mm", above: 0, most: 1000 }],
    [`${field}.overhangSigma`, cloth.overhangSigmaMm, { what: `The spread of ${name}`, unit: "mm", least: 0 }],
    [`${field}.weight`, cloth.weightGsm, { what: `The weight of ${name}`, unit: "g/m\u00b2", above: 0, most: 5000 }],
    [`${field}.thickness`, cloth.thicknessMm, { what: `The thickness of ${name}`, unit: "mm", above: 0, most: 20 }],
  ]);
}

/** Bending length of an overhang at 41.5 degrees: half of it (ASTM D1388, Peirce 1930; from memory). mm in, mm out. */
export const bendingLength = (overhangMm: number): number => overhangMm / 2;

/** Flexural rigidity G = w c^3 (ASTM D1388, Peirce 1930; from memory), here as a moment for a width, uN m: w in g/m^2, c in mm. */
export const rigidity = (weightGsm: number, bendingMm: number): number =>
  // g/m^2 to kg/m^2 is 1e-3, mm^3 to m^3 is 1e-9, N m to uN m is 1e6.
  weightGsm * GRAVITY * bendingMm ** 3 * 1e-6;

/** Bending length of a cloth of a rigidity in uN m and a weight in g/m^2, mm. */
export const bendingOf = (rigidityUnm: number, weightGsm: number): number =>
  Math.cbrt(rigidityUnm / (weightGsm * GRAVITY * 1e-6));

/** Rigidity with its uncertainty: three times that of the overhang, as shares, since it goes with the cube. */
export function rigidityOf({ overhangMm, overhangSigmaMm, weightGsm }: Cloth): Uncertain {
  const value = rigidity(weightGsm, bendingLength(overhangMm));
  return { value, sigma: (3 * value * overhangSigmaMm) / overhangMm };
}
