import { expect, test } from "vitest";
import { selected } from "../../src/measure/statistics/selected.ts";
import { createRandom } from "../support/random.ts";

test("what is selected is what sorting would put there, of any numbers, equal ones among them", () => {
  for (let seed = 0; seed < 200; seed++) {
    const random = createRandom(seed, 0x73656c);
    const n = 1 + Math.floor(random.between(0, 60));
    const even = seed % 3 === 0;
    const values = Float64Array.from({ length: n }, () =>
      even ? Math.floor(random.between(0, 4)) : random.between(-5, 5),
    );
    const sorted = values.toSorted();
    for (let at = 0; at < n; at++) expect(selected(values.slice(), at)).toBe(sorted[at]);
  }
});
