import { readFileSync } from "node:fs";
import path from "node:path";
import { expect, test } from "vitest";
import { builtIn } from "../../src/workshop/built-in.ts";
import { recordOf, successIn, successRate } from "../../src/workshop/experience.ts";
import { rankCauses } from "../../src/workshop/rank.ts";
import {
  emptyWorkshop,
  joined,
  merged,
  type Outcome,
  parseWorkshop,
  serialiseWorkshop,
  type Workshop,
} from "../../src/workshop/workshop-file.ts";

const own = {
  id: "bee-too-heavy",
  title: "The felt bee pulls the hand down",
  kinds: ["sag"],
  parts: ["hand", "limb"],
  usual: 5,
  about: "Two hands carry one bee each.",
  bench: { steps: ["Take the bee off"], confirms: "The hand stays." },
  fixes: ["lighten-or-support"],
  stopgap: "Bear the bee from above, painted out.",
  prevent: "Hollow bees.",
};
const outcome = (more: Partial<Outcome> = {}): Outcome => ({
  fix: "degrease-ball",
  cause: "greasy-ball",
  kind: "sag",
  part: "limb",
  stopped: true,
  date: "2026-03-04",
  puppet: "oda",
  shot: "hive_010",
  frame: null,
  note: "",
  ...more,
});
const read = (value: unknown) => parseWorkshop(JSON.stringify(value), "ours.json", builtIn);
const file = (more: object = {}) => ({ format: "holdfast-workshop", version: 1, ...more });
const accepted = (value: unknown): Workshop => {
  const answer = read(value);
  if (!("workshop" in answer)) throw new Error(answer.refusals.join("\n"));
  return answer.workshop;
};

test("a workshop's own cause is ranked with the others, and what is written opens again the same", () => {
  const workshop = accepted(file({ causes: [own], outcomes: [outcome()] }));
  const knowledge = merged(builtIn, workshop);
  expect(knowledge.causes).toHaveLength(builtIn.causes.length + 1);
  const { ranked } = rankCauses(knowledge, { kind: "sag", part: "hand", build: null, signs: {} });
  expect(ranked.slice(0, 3).map(({ cause }) => cause.id)).toContain("bee-too-heavy");
  expect(accepted(JSON.parse(serialiseWorkshop(workshop)))).toEqual(workshop);
});

test("the same id replaces, and a hidden cause is gone", () => {
  const workshop = accepted(file({ causes: [{ ...own, id: "ball-turns" }], hidden: ["galled-ball"] }));
  const { causes } = merged(builtIn, workshop);
  expect(causes.find(({ id }) => id === "ball-turns")?.title).toBe(own.title);
  expect(causes.some(({ id }) => id === "galled-ball")).toBe(false);
  expect(causes).toHaveLength(builtIn.causes.length - 1);
});

test("a workshop's own order stands in for how usual a cause is", () => {
  const knowledge = merged(
    builtIn,
    accepted(file({ order: [{ kind: "sag", causes: ["galled-ball", "worn-ball", "ball-turns"] }] })),
  );
  const { ranked } = rankCauses(knowledge, { kind: "sag", part: "limb", build: "ball", signs: {} });
  const place = (id: string) => ranked.findIndex(({ cause }) => cause.id === id);
  expect(place("galled-ball")).toBe(0);
  expect(place("worn-ball")).toBeLessThan(place("ball-turns"));
});

test("success is the mean of the Beta posterior: one lucky try counts two thirds, ten of ten eleven twelfths", () => {
  expect(successRate({ stopped: 0, tried: 0 })).toBe(0.5);
  expect(successRate({ stopped: 1, tried: 1 })).toBeCloseTo(2 / 3, 12);
  expect(successRate({ stopped: 10, tried: 10 })).toBeCloseTo(11 / 12, 12);
  expect(successRate({ stopped: 0, tried: 3 })).toBeCloseTo(0.2, 12);
});

test("fixes that stopped the drift here come first, for this kind of flag alone", () => {
  const outcomes = [
    ...Array.from({ length: 6 }, () => outcome()),
    ...Array.from({ length: 4 }, () => outcome({ fix: "tighten-ball-joint", stopped: false })),
  ];
  expect(recordOf(outcomes, "degrease-ball", "sag")).toEqual({ stopped: 6, tried: 6 });
  expect(recordOf(outcomes, "degrease-ball", "knock")).toEqual({ stopped: 0, tried: 0 });
  const ask = (success: (id: string) => number) =>
    rankCauses(builtIn, { kind: "sag", part: "limb", build: "ball", signs: {} }, success).ranked;
  const before = ask(() => 0.5);
  const after = ask(successIn(outcomes, "sag"));
  const place = (list: typeof before, id: string) => list.findIndex(({ cause }) => cause.id === id);
  expect(place(after, "greasy-ball")).toBeLessThan(place(before, "greasy-ball"));
  expect(after.find(({ cause }) => cause.id === "ball-turns")?.fixes[0].id).toBe("degrease-ball");
});

test("two files join: the second's own stand, outcomes of both are kept once", () => {
  const first = accepted(
    file({ causes: [own], hidden: ["worn-ball"], outcomes: [outcome(), outcome({ date: "2026-03-05" })] }),
  );
  const second = accepted(
    file({ causes: [{ ...own, title: "The bee is heavy" }], outcomes: [outcome(), outcome({ stopped: false })] }),
  );
  const both = joined(first, second);
  expect(both.causes.map(({ title }) => title)).toEqual(["The bee is heavy"]);
  expect(both.hidden).toEqual(["worn-ball"]);
  expect(both.outcomes).toHaveLength(3);
  expect(joined(emptyWorkshop, first)).toEqual(first);
});

test("a file that can't be read is refused whole, with every reason and the file's name", () => {
  const refusal = (value: unknown) => {
    const answer = read(value);
    return "refusals" in answer ? answer.refusals : [];
  };
  expect(refusal(file({ version: 9 }))).toEqual([
    "ours.json is holdfast-workshop version 9; this Holdfast reads up to 1",
  ]);
  expect(refusal({ format: "holdfast-sheet", version: 1 })[0]).toContain("is not a holdfast-workshop");
  expect(refusal(file({ causes: [{ ...own, usual: 9 }] }))[0]).toContain(
    "cause 'bee-too-heavy': usual is 9, needs 5 or less",
  );
  expect(refusal(file({ causes: [{ ...own, kinds: ["droop"] }] }))[0]).toContain("ours.json: cause 'bee-too-heavy'");
  expect(refusal(file({ causes: [{ ...own, fixes: ["glue"] }], hidden: ["nobody"] }))).toEqual([
    "ours.json: cause 'bee-too-heavy' names the fix 'glue', which there isn't",
    "ours.json: hidden names the cause 'nobody', which there isn't",
  ]);
  expect(refusal(file({ causes: [own, own] }))[0]).toContain("two causes have the id 'bee-too-heavy'");
  expect(refusal(file({ outcomes: [{ ...outcome(), date: "yesterday" }] }))).toHaveLength(1);
  expect("refusals" in parseWorkshop("{", "ours.json", builtIn)).toBe(true);
});

test("the example in the README opens, and its cause is ranked and ruled out by its own signs", () => {
  const readme = readFileSync(path.resolve(import.meta.dirname, "../../README.md"), "utf8");
  const example = [...readme.matchAll(/```json\n([\s\S]*?)```/gu)]
    .map(([, json]) => json)
    .find((json) => json.includes("holdfast-workshop"));
  const answer = parseWorkshop(example ?? "", "README", builtIn);
  if (!("workshop" in answer)) throw new Error(answer.refusals.join("\n"));
  const ask = (sign: "down" | "up") =>
    rankCauses(
      merged(builtIn, answer.workshop),
      { kind: "sag", part: "hand", build: null, signs: { [sign]: "measured" } },
      successIn(answer.workshop.outcomes, "sag"),
    );
  expect(ask("down").ranked[0].cause.id).toBe("bee-too-heavy");
  expect(ask("down").ranked[0].fixes[0].id).toBe("hollow-bee");
  expect(ask("up").ruledOut.map(({ cause }) => cause.id)).toContain("bee-too-heavy");
});
