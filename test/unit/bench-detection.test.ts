import { beforeAll, expect, test } from "vitest";
import { reachLines } from "../bench/detection/reach.ts";
import { recipes, seedFor, shotFor } from "../bench/detection/recipes.ts";
import { runShot, type ShotResult } from "../bench/detection/run-shot.ts";
import { casesOf, shareOf } from "../bench/detection/tally.ts";
import { perfectScores } from "../bench/detection/what-anyone-can-see.ts";

// A quick cut of `npm run bench -- detection`: one shot of some sorts, and how the bench counts.

const seedOfSort = (name: string, index: number): number =>
  seedFor(
    1,
    recipes.findIndex((recipe) => recipe.name === name),
    index,
  );

let results: ShotResult[] = [];

beforeAll(async () => {
  for (const [name, index] of [
    ["clean", 1],
    ["parts", 0],
    ["camera", 0],
    ["light", 2],
  ] as const)
    results.push(await runShot(seedOfSort(name, index)));
}, 120_000);

test("nothing is flagged where nothing is wrong", () => {
  for (const { open, usual } of results) {
    expect(open.wrong.map(({ message }) => message)).toEqual([]);
    expect(usual.wrong.map(({ message }) => message)).toEqual([]);
  }
});

test("what was put in at its limit size on woven and herringbone cloth is found, of its kind and on its part", () => {
  const cases = casesOf(results).filter(
    ({ judged, texture }) => judged && (texture === null || texture === "woven" || texture === "herringbone"),
  );
  expect(cases.length).toBeGreaterThanOrEqual(3);
  for (const { name, found, as, kind } of cases) {
    expect([name, found]).toEqual([name, true]);
    expect([name, as]).toEqual([name, kind]);
  }
});

test("a shot can be made again from its seed alone, and another seed is another shot", () => {
  for (const [r, recipe] of recipes.entries()) {
    const shot = shotFor(seedFor(3, r, 7));
    expect(shot.recipe).toBe(recipe.name);
    expect(shotFor(seedFor(3, r, 7)).shot.sheet).toEqual(shot.shot.sheet);
    expect(shotFor(seedFor(4, r, 7)).shot.scene.seed).not.toBe(shot.shot.scene.seed);
  }
});

test("a full run has as many shots as it takes", () => {
  const clean = recipes.find(({ name }) => name === "clean");
  let holds = 0;
  for (let i = 0; i < (clean?.shots ?? 0); i++) holds += shotFor(seedOfSort("clean", i)).stillHolds;
  expect(holds).toBeGreaterThanOrEqual(3000);
  const put = new Map<string, number>();
  for (const [r, recipe] of recipes.entries()) {
    for (let i = 0; i < recipe.shots; i++) {
      for (const { kind } of shotFor(seedFor(1, r, i)).faults) put.set(kind, (put.get(kind) ?? 0) + 1);
    }
  }
  for (const [kind, count] of put) expect([kind, count >= 60]).toEqual([kind, true]);
}, 120_000);

test("a fault that is missed and a flag that nothing explains fail the reach, with the seed of the shot", () => {
  const [clean, parts] = results;
  const missed: ShotResult = {
    ...parts,
    open: { ...parts.open, faults: parts.open.faults.map((fault) => ({ ...fault, judged: true, found: false })) },
  };
  const flagged: ShotResult = {
    ...clean,
    usual: { ...clean.usual, wrong: [{ kind: "pop", part: "part-1", message: "" }] },
  };
  const lines = reachLines([flagged, missed]).filter(({ reached }) => !reached);
  expect(lines.flatMap(({ seeds }) => seeds)).toEqual(expect.arrayContaining([clean.seed, parts.seed]));
});

// Source: Newcombe 1998, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17, table I,
// from memory: Wilson's interval of 81 in 263 is 0.2553 to 0.3662, of 0 in 20 it is 0 to 0.1611.
test("intervals of shares are Wilson's", () => {
  expect(shareOf(81, 263).low).toBeCloseTo(0.2553, 4);
  expect(shareOf(81, 263).high).toBeCloseTo(0.3662, 4);
  expect(shareOf(0, 20).low).toBe(0);
  expect(shareOf(0, 20).high).toBeCloseTo(0.1611, 4);
});

test("what nobody can see is told by noise and texture alone, not by what was found", () => {
  const scores = (noise: number): Map<string, number> => {
    const { shot, faults } = shotFor(seedOfSort("parts", 0));
    const perfect = perfectScores({ ...shot.scene, noise: { sigma8: noise, poissonShare: 0.5 } }, shot.frames, faults);
    return new Map(faults.flatMap(({ part }, i) => (perfect[i] === null ? [] : [[String(part), perfect[i]] as const])));
  };
  const [faint, strong] = [scores(4), scores(1)];
  expect(strong.size).toBeGreaterThan(2);
  // Four times the noise, a quarter of the size; rounding to 8 bit is a part of it.
  for (const [part, score] of strong) {
    expect(score / (faint.get(part) ?? 0)).toBeGreaterThan(3.5);
    expect(score / (faint.get(part) ?? 0)).toBeLessThan(4.05);
  }
}, 60_000);
