import fc from "fast-check";
import { expect, test } from "vitest";
import { cureNotes, dataSheetFaults, hardnessNote } from "../../src/workshop/silicone/card.ts";
import { type Additive, mixFaults, type MixInput, type PercentOf, weightsOf } from "../../src/workshop/silicone/mix.ts";
import { weighingOf } from "../../src/workshop/silicone/weighing.ts";

const additive = (id: string, percent: number, of: PercentOf, more: Partial<Additive> = {}): Additive => ({
  id,
  kind: "pigment",
  name: id,
  percent,
  of,
  mostPercent: null,
  ...more,
});
const mix = (changes: Partial<MixInput> = {}): MixInput => ({
  partsA: 1,
  partsB: 1,
  additives: [],
  amount: { from: "base", grams: 200 },
  stepGrams: 0.1,
  ...changes,
});

test("ten to one is by weight, from what is left of A", () => {
  const weights = weightsOf(mix({ partsA: 10, amount: { from: "A-left", grams: 85 } }));
  expect([weights.A, weights.B]).toEqual([85, 8.5]);
  expect(weights.whole).toBeCloseTo(93.5, 9);
});

test("each percentage is of what it says, and together they make the whole", () => {
  const of: readonly PercentOf[] = ["A", "A+B", "whole"];
  const some = fc.record({
    partsA: fc.double({ min: 0.1, max: 20, noNaN: true }),
    partsB: fc.double({ min: 0.1, max: 20, noNaN: true }),
    percents: fc.array(fc.tuple(fc.double({ min: 0, max: 30, noNaN: true }), fc.constantFrom(...of)), { maxLength: 3 }),
    cm3: fc.double({ min: 1, max: 5000, noNaN: true }),
  });
  fc.assert(
    fc.property(some, ({ partsA, partsB, percents, cm3 }) => {
      const input = mix({
        partsA,
        partsB,
        additives: percents.map(([percent, base], i) => additive(`${i}`, percent, base)),
        amount: { from: "mould", cm3, densityGramsPerCm3: 1.08, wastePercent: 15 },
      });
      expect(mixFaults(input)).toEqual([]);
      const weights = weightsOf(input);
      const sum = weights.A + weights.B + weights.additives.reduce((all, { grams }) => all + grams, 0);
      expect(sum / weights.whole).toBeCloseTo(1, 9);
      expect(weights.whole / (cm3 * 1.08 * 1.15)).toBeCloseTo(1, 9);
      expect(weights.A / weights.B / (partsA / partsB)).toBeCloseTo(1, 9);
      const base = { A: weights.A, "A+B": weights.A + weights.B, whole: weights.whole };
      weights.additives.forEach(({ grams }, i) => {
        const [percent, of] = percents[i];
        expect((100 * grams) / base[of]).toBeCloseTo(percent, 6);
      });
    }),
    { seed: 3 },
  );
});

test("weights stand on the balance's steps, and the error that makes is told", () => {
  const weighing = weighingOf(
    mix({ additives: [additive("honey", 3, "A+B")], amount: { from: "base", grams: 33.33 }, stepGrams: 0.5 }),
  );
  expect(weighing.pours.map(({ grams }) => grams)).toEqual([16.5, 16.5, 1]);
  expect(weighing.wholeGrams).toBe(34);
  expect(weighing.percents[0].percent).toBeCloseTo(100 / 33, 9);
  // Each of A and B may be off by a quarter of a gram in 16.5.
  expect(weighing.ratio.errorPercent).toBeCloseTo(100 * (16.75 / 16.25 - 1), 6);
  expect(weighing.notes.join()).toContain("honey may be off by 26 %");
});

test("the ratio holds after rounding as well as the balance can show it", () => {
  fc.assert(
    fc.property(fc.integer({ min: 20, max: 2000 }), fc.constantFrom(0.01, 0.1, 1), (grams, stepGrams) => {
      const { pours, ratio } = weighingOf(mix({ partsA: 10, amount: { from: "base", grams }, stepGrams }));
      for (const pour of pours)
        expect(Math.abs(pour.grams / stepGrams - Math.round(pour.grams / stepGrams))).toBeLessThan(1e-6);
      if (Number.isFinite(ratio.errorPercent))
        expect(Math.abs(ratio.weighed / ratio.wanted - 1) * 100).toBeLessThanOrEqual(ratio.errorPercent + 1e-9);
    }),
    { seed: 6 },
  );
});

test("no more of A is asked for than is left", () => {
  const { pours } = weighingOf(mix({ amount: { from: "A-left", grams: 85.97 }, stepGrams: 0.1 }));
  expect(pours[0].grams).toBe(85.9);
});

test("what is too little for the balance is said to be, not rounded to nothing without a word", () => {
  const { pours, notes } = weighingOf(mix({ additives: [additive("black", 0.01, "A+B")], stepGrams: 0.1 }));
  expect(pours[2].grams).toBe(0);
  expect(notes[0]).toContain("less than the balance can show");
});

test("a mix that doesn't add up is refused in a sentence at its field", () => {
  const deadener = (percent: number, of: PercentOf = "A+B") =>
    mix({ additives: [additive("deadener", percent, of, { kind: "deadener" })] });
  expect(mixFaults(deadener(130))).toEqual([
    { field: "additives.deadener.percent", sentence: "The share of deadener is 130 %; it can't be more than 100 %." },
  ]);
  expect(mixFaults(deadener(-1))[0].field).toBe("additives.deadener.percent");
  expect(mixFaults(deadener(100, "whole"))[0].sentence).toBe(
    "The additives are 100 % of the whole mix; nothing is left for A and B.",
  );
  expect(mixFaults(mix({ partsB: 0 }))[0].sentence).toBe("The share of B in parts is 0; it must be more than 0.");
  expect(mixFaults(mix({ amount: { from: "base", grams: -5 } }))[0].field).toBe("base");
  expect(mixFaults(mix({ amount: { from: "A-left", grams: Number.NaN } }))[0].sentence).toBe(
    "What is left of A is not a number.",
  );
  expect(
    mixFaults(mix({ amount: { from: "mould", cm3: 10, densityGramsPerCm3: 11, wastePercent: 10 } }))[0].field,
  ).toBe("density");
  expect(mixFaults(mix({ stepGrams: 0 }))[0].field).toBe("step");
});

test("more than the data sheet allows is said, and no hardness is promised", () => {
  const input = mix({ additives: [additive("thinner", 12, "A+B", { kind: "thinner", mostPercent: 10 })] });
  expect(weighingOf(input).notes.join()).toContain("12 % is more than the 10 %");
  expect(JSON.stringify(weighingOf(input))).not.toMatch(/shore/iu);
  expect(hardnessNote).toContain("data sheet");
});

test("the card takes times from the data sheet alone, and refuses impossible ones", () => {
  const sheet = {
    product: "",
    potLifeMinutes: null,
    cureHours: null,
    atCelsius: null,
    hardness: "",
    cure: "platinum",
  } as const;
  expect(dataSheetFaults(sheet)).toEqual([]);
  expect(dataSheetFaults({ ...sheet, potLifeMinutes: 0 })[0].field).toBe("potLife");
  expect(cureNotes(sheet).join()).toContain("sulphur");
  expect(cureNotes({ ...sheet, cure: "tin" }).join()).toContain("platinum");
});
