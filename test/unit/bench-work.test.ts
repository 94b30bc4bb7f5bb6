import { expect, test } from "vitest";
import type { ComingShot } from "../../src/model/index.ts";
import { readComingShots, readNeeds } from "../../src/reports/bench/coming-csv.ts";
import { type BenchFacts, benchPlan, mendBefore, planHeadline } from "../../src/reports/bench/work-list.ts";
import { benchShot, hold, repair, sagged } from "./bench-holds.ts";
import { verdict } from "./dailies-example.ts";

const coming = (name: string, day: string | null, puppet: string, copy: string | null = null): ComingShot => ({
  id: name,
  production: "honey",
  name,
  day,
  needs: [{ puppet, copy }],
  note: "",
  made: "2026-03-01T00:00:00Z",
  changed: "2026-03-01T00:00:00Z",
});
const many = (count: number, one: ReturnType<typeof hold>) => Array.from({ length: count }, () => one);
const facts = (more: Partial<BenchFacts> = {}): BenchFacts => ({
  shots: [
    benchShot("a", [...many(8, sagged(1)), ...many(10, hold({ part: "hand-left", name: "Left hand" }))]),
    benchShot("b", many(12, hold({ copy: "B" }))),
    benchShot("c", many(6, sagged(1, { puppet: "bee", copy: null, part: "wing", name: "Wing" }))),
  ],
  repairs: [],
  puppets: [],
  verdicts: [],
  ...more,
});

test("what surely drifts is to be mended, in the order of the shots that need it", () => {
  const plan = benchPlan(facts(), [
    coming("hive_030", "2026-03-09", "oda", "A"),
    coming("hive_020", "2026-03-08", "bee"),
  ]);
  expect(plan.items.map(({ partName, before }) => [partName, before?.name])).toEqual([
    ["Wing", "hive_020"],
    ["Left forearm", "hive_030"],
  ]);
  expect(plan.items[1].why).toEqual(["sags in 8 of 8 holds (68 to 100 %)"]);
  expect(plan.items[1].joints).toEqual(["elbow-left"]);
  expect(planHeadline(plan)).toBe("2 parts to mend, 2 of them before a shot to come.");
});

test("the copy that holds is sent, and nothing has to be mended for it", () => {
  const plan = benchPlan(facts(), [coming("hive_030", "2026-03-09", "oda")]);
  const [{ needs }] = plan.coming;
  expect(needs[0]).toMatchObject({ copy: "B", isAsked: false });
  expect(needs[0].sentence).toBe(
    "send Oda, copy B: drifts in 0 of 12 holds (0 to 24 %). Copy A: drifts in 8 of 18 holds (25 to 66 %); to mend first: Left forearm",
  );
  expect(mendBefore(plan.coming[0])).toEqual([]);
  expect(plan.items.find(({ copy }) => copy === "A")?.before).toBeNull();
});

test("a copy that nobody has seen is never the first choice", () => {
  const puppets = [
    { id: "oda", production: "honey", name: "oda", copies: ["A", "B", "C"], parts: [], made: "", changed: "" },
  ];
  const plan = benchPlan(facts({ puppets }), [coming("hive_030", null, "oda")]);
  expect(plan.coming[0].needs[0].choices.map(({ copy }) => copy)).toEqual(["B", "A", "C"]);
  expect(plan.coming[0].needs[0].sentence).toContain("Copy C: never seen in a hold");
});

test("what was mended is open again only by what came after", () => {
  const mended = facts({ repairs: [repair({ done: "2026-03-05T18:00" })] });
  expect(benchPlan(mended, []).items.map(({ partName }) => partName)).toEqual(["Wing"]);
  const again = benchShot("d", many(8, sagged(1, { time: "2026-03-06T10:00:00" })));
  const [forearm] = benchPlan({ ...mended, shots: [...mended.shots, again] }, []).items;
  expect(forearm.why).toEqual(["sags in 8 of 8 holds (68 to 100 %) since it was last mended"]);
});

test("what somebody sent to the bench is on the list however rare, until it is mended", () => {
  const sent = verdict({
    shot: "b",
    flag: { ...verdict().flag, part: "forearm-left" },
    changed: "2026-03-04T08:00:00Z",
  });
  const rare = facts({ shots: [benchShot("b", many(30, hold({ copy: "B" })))], verdicts: [sent] });
  expect(benchPlan(rare, []).items.map(({ copy, why }) => [copy, why])).toEqual([
    ["B", [`sent to the bench by AB: =new ball | at the "elbow"`]],
  ]);
  expect(benchPlan({ ...rare, repairs: [repair({ copy: "B" })] }, []).items).toEqual([]);
});

test("a part seen once that drifted is looked at, one that drifted once in ten is not yet", () => {
  const seen = (sags: number, of: number) =>
    benchPlan(facts({ shots: [benchShot("a", [...many(sags, sagged(1)), ...many(of - sags, hold())])] }), []).items
      .length;
  expect(seen(1, 1)).toBe(1);
  expect(seen(1, 10)).toBe(0);
  expect(seen(4, 10)).toBe(1);
});

test("nothing to do is said", () => {
  expect(planHeadline(benchPlan(facts({ shots: [] }), []))).toBe("Nothing has to go to the bench.");
});

test("puppets with their copies are read as people write them", () => {
  expect(readNeeds("oda B; bee (2), smoker + old keeper")).toEqual([
    { puppet: "oda", copy: "B" },
    { puppet: "bee", copy: "2" },
    { puppet: "smoker", copy: null },
    { puppet: "old keeper", copy: null },
  ]);
  expect(readNeeds("oda copy A")).toEqual([{ puppet: "oda", copy: "A" }]);
  expect(readNeeds(" ; ")).toEqual([]);
});

test("shots to come are read from CSV, with or without a header, quotes and a byte order mark", () => {
  const expected = [
    { name: "hive_020", day: "2026-03-08", needs: [{ puppet: "oda", copy: "B" }], note: "rain, later" },
  ];
  expect(readComingShots('\ufeffShot,Date,Puppets,Notes\r\nhive_020,2026-03-08,oda B,"rain, later"\r\n').shots).toEqual(
    expected,
  );
  expect(readComingShots('note;puppets;shot;day\n"rain, later";oda B;hive_020;2026-03-08').shots).toEqual(expected);
  expect(readComingShots('hive_020,2026-03-08,oda B,"rain, later"').shots).toEqual(expected);
});

test("a line that can't be used is named, and the others are read", () => {
  const { shots, faults } = readComingShots(
    "shot,day\nhive_020,8 March\n,2026-03-08\nhive_030,2026-02-30\nhive_040,\n",
  );
  expect(shots.map(({ name }) => name)).toEqual(["hive_040"]);
  expect(faults).toEqual([
    'line 2: "8 March" is no day like 2026-03-09',
    "line 3: it has no shot's name",
    'line 4: "2026-02-30" is no day like 2026-03-09',
  ]);
  expect(readComingShots("")).toEqual({ shots: [], faults: [] });
});
