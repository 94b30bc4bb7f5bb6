import { type Fault, faultsOf } from "../faults.ts";

// Weights of a two-part silicone, all by weight. No hardness comes out of this: only a data sheet gives one.

export type AdditiveKind = "pigment" | "deadener" | "thinner";
/** What a percentage is of. The whole has the additive itself in it. */
export type PercentOf = "A" | "A+B" | "whole";

export const percentOfWords: Readonly<Record<PercentOf, string>> = {
  A: "of A",
  "A+B": "of A + B",
  whole: "of the whole mix",
};

export interface Additive {
  readonly id: string;
  readonly kind: AdditiveKind;
  readonly name: string;
  readonly percent: number;
  readonly of: PercentOf;
  /** Most that the data sheet allows, in the same percent; null where it says nothing. */
  readonly mostPercent: number | null;
}

export type Amount =
  /** g of A + B together. */
  | { readonly from: "base"; readonly grams: number }
  /** What the mould holds, what a cm^3 of the mix weighs, and what stays in cup and sprue. */
  | { readonly from: "mould"; readonly cm3: number; readonly densityGramsPerCm3: number; readonly wastePercent: number }
  /** All of A that is left, g. */
  | { readonly from: "A-left"; readonly grams: number };

export interface MixInput {
  /** Parts by weight: 1 and 1, 10 and 1. */
  readonly partsA: number;
  readonly partsB: number;
  readonly additives: readonly Additive[];
  readonly amount: Amount;
  /** Smallest step that the balance shows, g. */
  readonly stepGrams: number;
}

/** Lightest and heaviest that a cm^3 of filled or foamed silicone can be, g. */
const DENSITIES = { above: 0.1, most: 3 } as const;

function amountChecks(amount: Amount): readonly Fault[] {
  switch (amount.from) {
    case "base":
      return faultsOf([["base", amount.grams, { what: "The weight of A + B", unit: "g", above: 0 }]]);
    case "A-left":
      return faultsOf([["left", amount.grams, { what: "What is left of A", unit: "g", above: 0 }]]);
    case "mould":
      return faultsOf([
        ["volume", amount.cm3, { what: "The volume of the mould", unit: "cm\u00b3", above: 0 }],
        ["density", amount.densityGramsPerCm3, { what: "The density", unit: "g/cm\u00b3", ...DENSITIES }],
        ["waste", amount.wastePercent, { what: "The waste", unit: "%", least: 0, most: 300 }],
      ]);
  }
}

/** Everything about a mix that doesn't add up, each at its field. */
export function mixFaults(input: MixInput): readonly Fault[] {
  const faults = [
    ...faultsOf([
      ["partsA", input.partsA, { what: "The share of A in parts", unit: "", above: 0, most: 1000 }],
      ["partsB", input.partsB, { what: "The share of B in parts", unit: "", above: 0, most: 1000 }],
      ["step", input.stepGrams, { what: "The balance's step", unit: "g", above: 0 }],
      ...input.additives.map(
        ({ id, name, percent }) =>
          [
            `additives.${id}.percent`,
            percent,
            { what: `The share of ${name}`, unit: "%", least: 0, most: 100 },
          ] as const,
      ),
      ...input.additives.flatMap(({ id, name, mostPercent }) =>
        mostPercent === null
          ? []
          : [
              [
                `additives.${id}.most`,
                mostPercent,
                { what: `The most of ${name}`, unit: "%", least: 0, most: 100 },
              ] as const,
            ],
      ),
    ]),
    ...amountChecks(input.amount),
  ];
  const ofWhole = input.additives.filter(({ of }) => of === "whole");
  const share = ofWhole.reduce((sum, { percent }) => sum + percent, 0);
  if (faults.length === 0 && share >= 100) {
    const last = ofWhole[ofWhole.length - 1];
    faults.push({
      field: `additives.${last.id}.percent`,
      sentence: `The additives are ${share} % of the whole mix; nothing is left for A and B.`,
    });
  }
  return faults;
}

/** Exact weights, g. */
export interface Weights {
  readonly A: number;
  readonly B: number;
  readonly additives: readonly { readonly id: string; readonly grams: number }[];
  readonly whole: number;
}

/** Weights of a mix without faults that has one gram of A. */
function weightsForOneA({ partsA, partsB, additives }: MixInput): Weights {
  const A = 1;
  const B = partsB / partsA;
  const share = (of: PercentOf) =>
    additives.filter((each) => each.of === of).reduce((sum, { percent }) => sum + percent / 100, 0);
  // What is a share of the whole has itself in the whole: whole = rest + share x whole.
  const whole = (A + B + A * share("A") + (A + B) * share("A+B")) / (1 - share("whole"));
  const base = { A, "A+B": A + B, whole } satisfies Record<PercentOf, number>;
  return {
    A,
    B,
    whole,
    additives: additives.map(({ id, percent, of }) => ({ id, grams: (percent / 100) * base[of] })),
  };
}

/** Exact weights for the amount that is wanted, g. */
export function weightsOf(input: MixInput): Weights {
  const one = weightsForOneA(input);
  const { amount } = input;
  const times =
    amount.from === "A-left"
      ? amount.grams
      : amount.from === "base"
        ? amount.grams / (one.A + one.B)
        : (amount.cm3 * amount.densityGramsPerCm3 * (1 + amount.wastePercent / 100)) / one.whole;
  return {
    A: one.A * times,
    B: one.B * times,
    whole: one.whole * times,
    additives: one.additives.map(({ id, grams }) => ({ id, grams: grams * times })),
  };
}
