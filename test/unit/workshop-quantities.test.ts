import { expect, test } from "vitest";
import { metricOf, quantities, type QuantityName, shownIn, typedNumber } from "../../src/workshop/quantities.ts";
import { figure, rangeWords, withSigma } from "../../src/workshop/words.ts";

test("units turn into each other and back", () => {
  for (const name of Object.keys(quantities) as QuantityName[]) {
    for (const value of [-3.2, 0, 1, 120]) {
      expect(metricOf(shownIn(value, name, "imperial"), name, "imperial")).toBeCloseTo(value, 9);
      expect(shownIn(value, name, "metric")).toBe(value);
    }
  }
});

test("they are the units that everybody knows", () => {
  expect(shownIn(28.349523125, "mass", "imperial")).toBeCloseTo(1, 12);
  expect(shownIn(25.4, "length", "imperial")).toBe(1);
  expect(shownIn(20, "temperature", "imperial")).toBeCloseTo(68, 9);
  // An ounce-force inch is 7.06155 N mm (from memory).
  expect(metricOf(1, "moment", "imperial")).toBeCloseTo(7.06155, 5);
  // An ounce a square yard is 33.906 g/m2 (from memory).
  expect(metricOf(1, "areaWeight", "imperial")).toBeCloseTo(33.906, 3);
});

test("a comma may stand for the point, and what is no number is none", () => {
  expect(typedNumber(" 3,5 ")).toBe(3.5);
  expect(typedNumber("-2")).toBe(-2);
  expect(typedNumber("\u22122")).toBe(-2);
  for (const text of ["", "x", "1.2.3", "1 000", "0x10", "Infinity"]) expect(typedNumber(text)).toBeNaN();
});

test("figures carry as many digits as their sigma deserves", () => {
  expect(withSigma(34.123, 2.234, "N mm")).toBe("34 \u00b1 2 N mm");
  expect(withSigma(34.123, 1.234, "N mm")).toBe("34.1 \u00b1 1.2 N mm");
  expect(withSigma(0.6, 0, "degrees")).toBe("0.600 degrees");
  expect(figure(-0.001, 2)).toBe("0.00");
  expect(figure(-1, 0)).toBe("\u22121");
  expect(rangeWords(4.5, 7.5, "N")).toBe("4.50 to 7.50 N");
  expect(rangeWords(11, 11, "mm")).toBe("11.0 mm");
});
