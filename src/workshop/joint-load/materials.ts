import { type Fault, faultsOf, type Range, type Uncertain } from "../faults.ts";

/** Densities, g a cm^3. Where a source gives one value, one; M: from memory. */
export const materials = {
  steel: { label: "steel", density: { low: 7.85, high: 7.85 } },
  brass: { label: "brass", density: { low: 8.4, high: 8.6 } },
  aluminium: { label: "aluminium (6061)", density: { low: 2.7, high: 2.7 } },
  silicone: { label: "silicone rubber", density: { low: 1.1, high: 1.5 } },
  epoxy: { label: "epoxy", density: { low: 1.1, high: 1.25 } },
  foam: { label: "PU foam", density: { low: 0.02, high: 0.06 } },
} as const satisfies Record<string, { readonly label: string; readonly density: Range }>;
export type Material = keyof typeof materials;

export const volumeFaults = (field: string, cm3: number): readonly Fault[] =>
  faultsOf([[field, cm3, { what: "The volume", unit: "cm\u00b3", above: 0 }]]);

/** Mass of a volume, g: the middle of the material's range; sigma as of a rectangular distribution over it (half width / sqrt 3). */
export function massOf(cm3: number, material: Material): Uncertain {
  const { low, high } = materials[material].density;
  return { value: (cm3 * (low + high)) / 2, sigma: (cm3 * (high - low)) / 2 / Math.sqrt(3) };
}
