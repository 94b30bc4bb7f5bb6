import fc from "fast-check";
import { expect, test } from "vitest";
import { bendingOf, type Cloth, rigidity, rigidityOf } from "../../src/workshop/lining/cantilever.ts";
import {
  type Candidate,
  chooseLining,
  type LiningInput,
  liningFaults,
  openingAt,
} from "../../src/workshop/lining/choice.ts";
import { bondedRigidity, bondShare, pairOf } from "../../src/workshop/lining/layers.ts";

const cloth = (overhangMm: number, weightGsm = 120, thicknessMm = 0.3): Cloth => ({
  overhangMm,
  overhangSigmaMm: 1,
  weightGsm,
  thicknessMm,
});
const candidate = (id: string, own: Cloth, recoveryDegrees: number, both: Cloth | null = null): Candidate => ({
  id,
  name: id,
  cloth: own,
  recoveryDegrees,
  both,
});

/** At 1:6, to look like a real cloth of 60 mm: the puppet's should have 10 mm. */
const input = (changes: Partial<LiningInput> = {}): LiningInput => ({
  scale: 1 / 6,
  shell: cloth(18),
  shellRecoveryDegrees: 90,
  fullSizeBendingMm: 60,
  tolerance: 0.25,
  wantedRecoveryDegrees: 120,
  candidates: [],
  bend: null,
  ...changes,
});

test("rigidity goes with the cube of the overhang, and so does its uncertainty threefold", () => {
  expect(rigidityOf(cloth(40)).value).toBeCloseTo(8 * rigidityOf(cloth(20)).value, 9);
  const { value, sigma } = rigidityOf(cloth(20));
  expect(sigma / value).toBeCloseTo(3 / 20, 9);
  expect(bendingOf(rigidity(150, 14), 150)).toBeCloseTo(14, 9);
});

test("layers that slide add; bonded all over they are as stiff as one plate of both", () => {
  const single = cloth(20);
  const pair = pairOf(single, single);
  expect(pair.rigidity.low).toBeCloseTo(2 * rigidityOf(single).value, 9);
  // Two like plates made one: twice as thick, eight times as stiff. Plate theory, by hand.
  expect(pair.rigidity.high).toBeCloseTo(8 * rigidityOf(single).value, 9);
  // Sliding, each layer carries itself: the pair droops as one alone does.
  expect(pair.bendingMm.low).toBeCloseTo(10, 9);
  expect(pair.bendingMm.high).toBeCloseTo(10 * Math.cbrt(4), 9);
});

test("a laminate is the same whichever way it is turned, and never less stiff than layers that slide", () => {
  const some = fc.record({
    overhangMm: fc.double({ min: 5, max: 80, noNaN: true }),
    overhangSigmaMm: fc.constant(1),
    weightGsm: fc.double({ min: 20, max: 600, noNaN: true }),
    thicknessMm: fc.double({ min: 0.05, max: 3, noNaN: true }),
  });
  fc.assert(
    fc.property(some, some, (a, b) => {
      expect(bondedRigidity(a, b) / bondedRigidity(b, a)).toBeCloseTo(1, 9);
      const { rigidity: bounds } = pairOf(a, b);
      expect(bounds.high).toBeGreaterThan(bounds.low);
    }),
    { seed: 8 },
  );
});

test("a tested pair is told between its bounds", () => {
  const single = cloth(20);
  const pair = pairOf(single, single);
  expect(bondShare(pair, { ...cloth(20), weightGsm: 240 })).toBeCloseTo(0, 9);
  expect(bondShare(pair, { ...cloth(20 * Math.cbrt(4)), weightGsm: 240 })).toBeCloseTo(1, 9);
});

test("bending length scales with the figure: what the puppet's cloth would be at full size", () => {
  const { wantedMm, shellMm, shellLikeFullSizeMm } = chooseLining(input());
  expect(wantedMm).toBeCloseTo(10, 9);
  expect(shellMm).toBe(9);
  expect(shellLikeFullSizeMm).toBeCloseTo(54, 9);
});

test("the lining that folds small enough and comes back is first; one too stiff and one that stays creased are not enough", () => {
  const answer = chooseLining(
    input({
      candidates: [
        candidate("canvas", cloth(60, 200, 0.5), 160),
        candidate("muslin", cloth(18, 60, 0.15), 60),
        candidate("silk", cloth(20, 60, 0.1), 165, cloth(22, 180, 0.4)),
      ],
    }),
  );
  expect(answer.candidates.map(({ id }) => id)[0]).toBe("silk");
  const [silk] = answer.candidates;
  expect(silk.does).toBe(true);
  expect(silk.bendingMm).toEqual({ low: 11, high: 11 });
  expect(silk.likeFullSizeMm.low).toBeCloseTo(66, 9);
  const find = (id: string) => answer.candidates.find((each) => each.id === id);
  expect(find("canvas")).toMatchObject({ folds: "too-stiff", comesBack: true, does: false });
  expect(find("muslin")).toMatchObject({ comesBack: false, does: false });
});

test("a lining that is fine loose and too stiff bonded is told so", () => {
  const [only] = chooseLining(input({ candidates: [candidate("silk", cloth(20, 100, 0.3), 170)] })).candidates;
  expect(only.folds).toBe("folds-if-it-slides");
});

test("the lining is opened where the inside of the bend has cloth to spare", () => {
  // By hand: 20 mm thick, 90 degrees: pi/2 x 20 = 31.4 mm.
  const opening = openingAt({ limbMm: 20, degrees: 90 }, 9);
  expect(opening.surplusMm).toBeCloseTo(31.416, 3);
  expect(opening.lengthMm).toBeCloseTo(49.416, 3);
});

test("what can't be gets a sentence at its field", () => {
  expect(
    liningFaults(input({ candidates: [candidate("silk", cloth(20), 160)], bend: { limbMm: 20, degrees: 90 } })),
  ).toEqual([]);
  expect(liningFaults(input({ scale: 0 }))[0]).toEqual({
    field: "scale",
    sentence: "The puppet's scale is 0; it must be more than 0.",
  });
  expect(liningFaults(input({ shell: cloth(-4) }))[0].field).toBe("shell.overhang");
  const faults = liningFaults(
    input({ candidates: [candidate("silk", cloth(20), 190, cloth(0))], bend: { limbMm: 0, degrees: 200 } }),
  );
  expect(faults.map(({ field }) => field)).toEqual([
    "candidates.silk.recovery",
    "candidates.silk.both.overhang",
    "limb",
    "bend",
  ]);
});
