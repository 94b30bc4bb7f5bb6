import { type MixInput, type Weights, weightsOf } from "./mix.ts";

/** One thing to put on the balance. */
export interface Pour {
  readonly id: string;
  readonly exactGrams: number;
  /** As the balance can show it, g. */
  readonly grams: number;
  /** Furthest that its share of the mix may be off by the balance's step, as a share of itself; 0.05 is 5 %. */
  readonly error: number;
}

export interface Weighing {
  readonly pours: readonly Pour[];
  readonly wholeGrams: number;
  /** Parts of A for one of B as weighed, and the furthest it may be off by reading the balance, in percent. */
  readonly ratio: { readonly wanted: number; readonly weighed: number; readonly errorPercent: number };
  /** Percentages as weighed, in what each was told in. */
  readonly percents: readonly { readonly id: string; readonly percent: number }[];
  readonly notes: readonly string[];
}

/** From this error on a weight is said to be too small for the balance: a pigment is seen to be off, a cure is felt. */
const TOO_COARSE = 0.05;

const roundTo = (grams: number, step: number): number => {
  const steps = Math.round(grams / step);
  // Steps are decimal: dividing by their reciprocal keeps 0.3 from becoming 0.30000000000000004.
  return Number((steps * step).toPrecision(12));
};
const floorTo = (grams: number, step: number): number =>
  Number((Math.floor(grams / step + 1e-9) * step).toPrecision(12));

/**
 * Weights as a balance can show them. A is rounded first, the rest follows from A as it will stand on the balance, so
 * that its rounding spoils no ratio. Of what is left of A no more is asked than there is.
 */
export function weighingOf(input: MixInput): Weighing {
  const { stepGrams, additives, amount } = input;
  const exact = weightsOf(input);
  const A = amount.from === "A-left" ? floorTo(exact.A, stepGrams) : roundTo(exact.A, stepGrams);
  const anew: Weights = A > 0 ? weightsOf({ ...input, amount: { from: "A-left", grams: A } }) : exact;
  // A reading is right to half a step; the weight that was wanted and what is poured differ by the rounding on top.
  const pour = (id: string, exactGrams: number, grams: number): Pour => ({
    id,
    exactGrams,
    grams,
    error: exactGrams > 0 ? (Math.abs(grams - exactGrams) + stepGrams / 2) / exactGrams : 0,
  });
  const B = roundTo(anew.B, stepGrams);
  const extras = anew.additives.map(({ id, grams }) => pour(id, grams, roundTo(grams, stepGrams)));
  const pours = [pour("A", anew.A, A), pour("B", anew.B, B), ...extras];
  const wholeGrams = Number(pours.reduce((sum, { grams }) => sum + grams, 0).toPrecision(12));
  const base = { A, "A+B": A + B, whole: wholeGrams };
  const wanted = input.partsA / input.partsB;
  const half = stepGrams / 2;
  const worst =
    B > half ? Math.max((A + half) / (B - half) / wanted - 1, 1 - (A - half) / (B + half) / wanted) : Infinity;
  const nameOf = (id: string) => additives.find((each) => each.id === id)?.name ?? id;
  const notes: string[] = [];
  for (const { id, grams, exactGrams, error } of pours) {
    if (exactGrams === 0 || error <= TOO_COARSE) continue;
    notes.push(
      grams === 0
        ? `${nameOf(id)} (${exactGrams.toPrecision(2)} g) is less than the balance can show: weigh a larger batch, or weigh it on a finer balance.`
        : `${nameOf(id)} may be off by ${Math.round(100 * error)} % on a balance of ${stepGrams} g: a finer balance or a larger batch is better.`,
    );
  }
  for (const { name, percent, mostPercent } of additives) {
    if (mostPercent !== null && percent > mostPercent) {
      notes.push(
        `${name}: ${percent} % is more than the ${mostPercent} % that you took from its data sheet. What the mix then does, no data sheet says.`,
      );
    }
  }
  return {
    pours,
    wholeGrams,
    ratio: { wanted, weighed: B > 0 ? A / B : Infinity, errorPercent: 100 * worst },
    percents: additives.map(({ id, of }) => ({
      id,
      percent: (100 * (extras.find((each) => each.id === id)?.grams ?? 0)) / base[of],
    })),
    notes,
  };
}
