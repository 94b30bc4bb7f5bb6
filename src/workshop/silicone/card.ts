import { type Fault, faultsOf } from "../faults.ts";

/** What a person reads off the data sheet and types: it goes on the card as it is. */
export interface DataSheet {
  readonly product: string;
  readonly potLifeMinutes: number | null;
  readonly cureHours: number | null;
  /** Room for which the times hold, degrees Celsius. */
  readonly atCelsius: number | null;
  /** As the data sheet gives it for this very mix, with its scale; nothing is worked out. */
  readonly hardness: string;
  readonly cure: "platinum" | "tin";
}

export const dataSheetFaults = ({ potLifeMinutes, cureHours, atCelsius }: DataSheet): readonly Fault[] =>
  faultsOf([
    ...(potLifeMinutes === null
      ? []
      : [["potLife", potLifeMinutes, { what: "The pot life", unit: "min", above: 0 }] as const]),
    ...(cureHours === null ? [] : [["cure", cureHours, { what: "The cure", unit: "h", above: 0 }] as const]),
    ...(atCelsius === null
      ? []
      : [["celsius", atCelsius, { what: "The temperature", unit: "\u00b0C", least: -20, most: 200 }] as const]),
  ]);

/** What to mind with this chemistry. Common practice, no source; the data sheet is above it. */
export function cureNotes({ cure }: DataSheet): readonly string[] {
  return cure === "platinum"
    ? [
        "Platinum cure is stopped by sulphur clay, tin silicone, latex, some resins and prints: test on a scrap of the very mould.",
        "It outlasts tin cure on a long shoot.",
      ]
    : [
        "Tin cure shrinks a little and ages: expect it to change over a long shoot.",
        "Keep its tools, gloves and moulds away from platinum cure, which it stops from curing.",
      ];
}

export const hardnessNote =
  "Hardness is what the data sheet gives for this very mix. Deadener, thinner and pigment change it by amounts that only a test piece tells.";
