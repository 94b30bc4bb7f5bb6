import { expect, test } from "vitest";
import { builds, everyPartKind, flagKinds } from "../../src/model/index.ts";
import { likelyCauses } from "../../src/workshop/seam.ts";

test("a ball-jointed arm never has tired wire, and a wired one no ball that turns", () => {
  for (const kind of flagKinds) {
    for (const part of everyPartKind) {
      expect(likelyCauses(kind, part, "ball").causes).not.toContain("tired-wire");
      expect(likelyCauses(kind, part, "wire").causes).not.toContain("ball-turns");
      expect(likelyCauses(kind, part, "other").causes).not.toContain("ball-turns");
    }
  }
  expect(likelyCauses("sag", "limb", "ball").causes[0]).toBe("ball-turns");
  expect(likelyCauses("sag", "limb", "wire").causes[0]).toBe("tired-wire");
});

test("where the build isn't known neither is ruled out", () => {
  expect(likelyCauses("sag", "limb", null).causes).toEqual(expect.arrayContaining(["ball-turns", "tired-wire"]));
});

test("every cause brings a fix, each fix once", () => {
  for (const kind of flagKinds) {
    for (const part of [...everyPartKind, null]) {
      for (const build of [...builds, null]) {
        const { causes, fixes } = likelyCauses(kind, part, build);
        expect(fixes.length > 0).toBe(causes.length > 0);
        expect(new Set(fixes).size).toBe(fixes.length);
        expect(new Set(causes).size).toBe(causes.length);
      }
    }
  }
  for (const kind of ["camera-shift", "light"] as const) expect(likelyCauses(kind, null, null).causes).not.toEqual([]);
});
