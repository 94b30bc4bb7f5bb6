import { describe, expect, test } from "vitest";
import type { Chain, Link } from "../../src/workshop/joint-load/chain.ts";
import { massOf } from "../../src/workshop/joint-load/materials.ts";
import { GRAVITY, jointLoads } from "../../src/workshop/joint-load/moments.ts";
import {
  clampForce,
  discRadius,
  stressArea,
  threads,
  threadStates,
  tighteningTorque,
} from "../../src/workshop/joint-load/screw.ts";
import { bendingLength, rigidity } from "../../src/workshop/lining/cantilever.ts";
import { weightsOf } from "../../src/workshop/silicone/mix.ts";

// Figures from outside the project; the source stands beside each.

const exactly = { jointPx: 0, centreShare: 0, scaleShare: 0, angleDegrees: 0 };

describe("screws", () => {
  test("the tightening torque of Shigley's example 8-3 is 3750 lbf in", () => {
    // Shigley's Mechanical Engineering Design, Ex. 8-3: F 25 kip, d 0.75 in, K 0.2 (inputs read, result computed).
    expect(tighteningTorque(25_000, 0.2, 0.75)).toBeCloseTo(3750, 9);
    expect(clampForce(3750, 0.2, 0.75)).toBeCloseTo(25_000, 9);
    expect([threadStates.black.k, threadStates.zinc.k, threadStates.lubricated.k]).toEqual([0.3, 0.2, 0.18]);
  });

  test("stress areas of metric threads are those of ISO 898-1", () => {
    // pi/4 (d - 0.938194 p)^2; the standard's table has 5.03 and 8.78 for M3 and M4, the others are computed.
    expect(stressArea(3, 0.5)).toBeCloseTo(5.031, 3);
    expect(stressArea(4, 0.7)).toBeCloseTo(8.779, 3);
    expect(stressArea(threads.M2.diameterMm, threads.M2.pitchMm)).toBeCloseTo(2.073, 3);
    expect(stressArea(threads["M2.5"].diameterMm, threads["M2.5"].pitchMm)).toBeCloseTo(3.391, 3);
  });

  test("a friction disc of 250 and 50 mm has the effective radii of the textbook", () => {
    // Uniform pressure 86.111 mm, uniform wear 75 mm, ratio 0.871 (clutch design, textbook formula).
    const { evenPressure, evenWear } = discRadius(250, 50);
    expect(evenPressure).toBeCloseTo(86.111, 3);
    expect(evenWear).toBe(75);
    expect(evenWear / evenPressure).toBeCloseTo(0.871, 3);
  });
});

test("the rod on a fulcrum of OpenStax balances with 316.67 g, and the fulcrum bears 5.80 N", () => {
  // OpenStax, University Physics 1, torque balance: arms 70, 40 and 20 cm on one side, 30 cm on the other; 50 g, 75 g,
  // the rod's 150 g at its middle.
  const weight = (id: string, cm: number, grams: number): Link => ({
    id,
    name: id,
    on: "rod",
    joint: null,
    centre: [10 * cm, 0],
    massGrams: grams,
    massSigmaGrams: 0,
    intoPictureDegrees: 0,
    pxPerMm: 1,
  });
  const balance = (third: number): Chain => ({
    links: [
      { ...weight("rod", -20, 150), on: null, joint: { id: "fulcrum", name: "Fulcrum", at: [0, 0] } },
      weight("first", -70, 50),
      weight("second", -40, 75),
      weight("third", 30, third),
    ],
    down: [0, 1],
    downIntoPictureDegrees: 0,
    sigmas: exactly,
  });
  const [loaded] = jointLoads(balance(0));
  // The third mass alone bears the moment of the others: solved for it.
  const third = ((loaded.momentNmm?.value ?? 0) * 1000) / (GRAVITY * 300);
  expect(third).toBeCloseTo(316.67, 2);
  const [even] = jointLoads(balance(third));
  expect(even.momentNmm?.value).toBeCloseTo(0, 9);
  expect(((even.beyondGrams ?? 0) * GRAVITY) / 1000).toBeCloseTo(5.8, 2);
});

test("a cloth's bending length is half its overhang at 41.5 degrees, its rigidity w c^3", () => {
  // ASTM D1388, Peirce 1930: from memory. 200 g/m2 = 20 mg/cm2, overhang 40 mm: c 2 cm, G 160 mg cm;
  // a mg cm of weight is 1e-6 kg x g x 1e-2 m = 0.0980665 uN m.
  expect(bendingLength(40)).toBe(20);
  expect(rigidity(200, 20)).toBeCloseTo(160 * 0.0980665, 9);
});

test("100 g of A, 100 g of B and 3 % pigment of A + B take 6 g; of the whole it is 6.19 g", () => {
  // Facts of the trade, common practice, no source; the second is computed: 200 x 0.03 / 0.97.
  const mix = (of: "A+B" | "whole") =>
    weightsOf({
      partsA: 1,
      partsB: 1,
      additives: [{ id: "pigment", kind: "pigment", name: "Pigment", percent: 3, of, mostPercent: null }],
      amount: { from: "base", grams: 200 },
      stepGrams: 0.01,
    });
  expect(mix("A+B").additives[0].grams).toBeCloseTo(6, 12);
  expect(mix("whole").additives[0].grams).toBeCloseTo(6.19, 2);
});

test("densities are those of the handbooks", () => {
  // kg/m3: steel 7850, brass 8400 to 8600, aluminium 6061 2700, silicone rubber 1100 to 1500 (read).
  // Epoxy about 1100 to 1250 and PU foam 20 to 60: from memory.
  expect(massOf(1, "steel").value).toBeCloseTo(7.85, 9);
  expect(massOf(1, "brass").value).toBeCloseTo(8.5, 9);
  expect(massOf(10, "aluminium").value).toBeCloseTo(27, 9);
  expect(massOf(1, "silicone")).toEqual({
    value: expect.closeTo(1.3, 9),
    sigma: expect.closeTo(0.2 / Math.sqrt(3), 9),
  });
  expect(massOf(1, "foam").value).toBeCloseTo(0.04, 9);
});
