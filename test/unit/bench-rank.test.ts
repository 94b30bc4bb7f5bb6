import { expect, test } from "vitest";
import type { HoldSummary } from "../../src/model/index.ts";
import { spreadOfSteps, meanOf, share } from "../../src/reports/bench/intervals.ts";
import { speedOf, whyNoSpeed } from "../../src/reports/bench/holds.ts";
import { benchRows, lowerBound, ranked, worstHold } from "../../src/reports/bench/rows.ts";
import { seatingRows } from "../../src/reports/bench/seating.ts";
import { meanWords, partWords, shareWords, subjectWords } from "../../src/reports/bench/words.ts";
import { createRandom } from "../support/random.ts";
import { benchShot, hold, sagFlag, sagged } from "./bench-holds.ts";

const often = { by: "often", family: "any" } as const;
const named = (part: string, holds: readonly HoldSummary[]) => holds.map((one) => ({ ...one, part, name: part }));

test("a part that was seen once, and drifted, doesn't stand above one that drifted in thirty of forty holds", () => {
  const forty = named(
    "elbow",
    Array.from({ length: 40 }, (_, i) => (i < 30 ? sagged(1) : hold())),
  );
  const rows = ranked(benchRows([benchShot("a", [...named("thumb", [sagged(9)]), ...forty])], "part"), often);
  expect(rows.map(({ part }) => part)).toEqual(["elbow", "thumb"]);
  expect(rows[0].often.any).toMatchObject({ count: 30, of: 40 });
});

test("the same by speed: once is no interval, and stands last", () => {
  const forty = named(
    "elbow",
    Array.from({ length: 40 }, (_, i) => sagged(0.8 + 0.01 * (i % 5))),
  );
  const rows = benchRows([benchShot("a", [...named("thumb", [sagged(9)]), ...forty])], "part");
  for (const by of ["degrees", "mm", "px"] as const) expect(ranked(rows, { by })[0].part).toBe("elbow");
  const [, thumb] = ranked(rows, { by: "degrees" });
  expect(lowerBound(thumb, { by: "degrees" })).toBeNull();
  expect("mean" in thumb.speed.degrees && meanWords(thumb.speed.degrees.mean, "degrees")).toBe(
    "9.000 degrees an hour in 1 hold: an interval takes two",
  );
});

test("ranked by the lower bound, parts seen rarely come to the top by luck less often", () => {
  const random = createRandom(20260310);
  let [byBound, byShare] = [0, 0];
  for (let round = 0; round < 60; round++) {
    // Thirty parts that truly drift in 1 to 30 % of their holds and are seen 1 to 60 times; one in 60 %, seen 40 times.
    const parts = Array.from({ length: 30 }, (_, i) => ({
      rate: (i + 1) / 100,
      seen: 1 + Math.floor(random.next() * 60),
    }));
    parts.push({ rate: 0.6, seen: 40 });
    const holds = parts.flatMap(({ rate, seen }, i) =>
      named(
        `part-${i}`,
        Array.from({ length: seen }, () => (random.next() < rate ? sagged(1) : hold())),
      ),
    );
    const rows = benchRows([benchShot("a", holds)], "part");
    if (ranked(rows, often)[0].part === "part-30") byBound += 1;
    const naive = rows.toSorted((a, b) => b.often.any.count / b.often.any.of - a.often.any.count / a.often.any.of);
    if (naive[0].part === "part-30") byShare += 1;
  }
  expect(byBound).toBeGreaterThanOrEqual(58);
  expect(byShare).toBeLessThan(byBound - 5);
});

test("intervals hold what they promise", () => {
  const random = createRandom(7);
  let [means, shares, spreads] = [0, 0, 0];
  const rounds = 2000;
  for (let round = 0; round < rounds; round++) {
    // Speeds that differ by 0.2 between holds, each with a sigma of its own.
    const rows = Array.from({ length: 6 }, () => {
      const sigma = 0.05 + 0.2 * random.next();
      return { value: 1 + 0.2 * random.normal() + sigma * random.normal(), sigma };
    });
    const mean = meanOf(rows);
    if (mean?.low != null && mean.high !== null && mean.low <= 1 && 1 <= mean.high) means += 1;
    const count = Array.from({ length: 25 }, () => random.next()).filter((value) => value < 0.3).length;
    const { low, high } = share(count, 25);
    if (low <= 0.3 && 0.3 <= high) shares += 1;
    const places = Array.from({ length: 9 }, () => [0.4 * random.normal(), 0.4 * random.normal()]);
    const steps = places.slice(1).map(([x, y], i) => ({ dx: x - places[i][0], dy: y - places[i][1] }));
    const spread = spreadOfSteps(steps);
    if (spread !== null && spread.low <= 0.4 && 0.4 <= spread.high) spreads += 1;
  }
  // 95 % promised; Wilson's oscillates by two percent, 2000 rounds scatter by half a percent.
  for (const held of [means, shares, spreads]) {
    expect(held / rounds).toBeGreaterThan(0.925);
    expect(held / rounds).toBeLessThan(0.985);
  }
});

test("rows by puppet, copy, part, joint and kind", () => {
  const shots = [
    benchShot("a", [sagged(1), hold({ copy: "B" }), hold({ part: "jacket", name: "Jacket", kind: "costume" })]),
    benchShot("b", [hold({ puppet: null, copy: null, part: "hive", name: "Hive", kind: "set" })]),
  ];
  const keys = (level: Parameters<typeof benchRows>[1]) =>
    benchRows(shots, level).map((row) => [row.puppet, row.copy, row.part, row.joint, row.kind, row.holds.length]);
  expect(keys("puppet")).toEqual([
    ["oda", null, null, null, null, 3],
    [null, null, null, null, null, 1],
  ]);
  expect(keys("copy")).toHaveLength(3);
  expect(keys("part")).toHaveLength(4);
  expect(keys("joint")).toEqual([
    ["oda", "A", null, "elbow-left", null, 1],
    ["oda", "B", null, "elbow-left", null, 1],
  ]);
  expect(keys("kind").map(([, , , , kind, holds]) => [kind, holds])).toEqual([
    ["limb", 2],
    ["costume", 1],
    ["set", 1],
  ]);
});

test("a joint's share is of the flags that name it", () => {
  const wrist = sagged(1, { flags: [sagFlag({ joint: "wrist-left" })] });
  const rows = benchRows([benchShot("a", [sagged(1), sagged(1), wrist, hold()])], "joint");
  expect(rows.map(({ joint, often: { any } }) => [joint, any.count, any.of])).toEqual([
    ["elbow-left", 2, 4],
    ["wrist-left", 1, 4],
  ]);
});

test("families are told apart, and what was knocked has no speed", () => {
  const knocked = sagged(1, { flags: [sagFlag({ kind: "knock", joint: null })] });
  const [row] = benchRows(
    [benchShot("a", [knocked, hold({ flags: [sagFlag({ kind: "crawl", perMinutePx: 0.02 })] })])],
    "part",
  );
  expect([row.often.sags.count, row.often.crawls.count, row.often.shifts.count, row.often.any.count]).toEqual([
    0, 1, 1, 2,
  ]);
  expect("mean" in row.speed.px && row.speed.px.mean.count).toBe(1);
});

test("what was carried along has no speed of its own: one cause, one place in the list", () => {
  const [row] = benchRows([benchShot("a", [sagged(1, { flags: [], carriedBy: "upper-arm-left" })])], "part");
  expect(row.speed.px).toEqual({ reason: "it was carried along by what it hangs on" });
});

test("where nothing has a speed, the commonest reason is told", () => {
  const [row] = benchRows(
    [benchShot("a", [hold({ time: null, minutes: null }), hold({ minutes: null, mm: null })])],
    "part",
  );
  expect(row.speed.mm).toEqual({ reason: "its frames carry no capture times" });
  const [bare] = benchRows([benchShot("a", [hold({ mm: null })])], "part");
  expect(bare.speed.mm).toEqual({ reason: "the shot has no scale" });
});

test("noise alone makes no speed on average", () => {
  const random = createRandom(3);
  const still = Array.from({ length: 400 }, () => {
    const [x, y] = [0.01 * random.normal(), 0.01 * random.normal()];
    return hold({ px: Math.hypot(x, y), sigma: 0.01, minutes: 60 });
  });
  const [row] = benchRows([benchShot("a", still)], "part");
  const speed = row.speed.px;
  // Raw, it would be 0.0125 px an hour.
  expect("mean" in speed && speed.mean.value).toBeLessThan(0.006);
});

test("the worst pose is the hold that surely went fastest", () => {
  const [row] = benchRows(
    [benchShot("a", [sagged(0.5, { poseDegrees: 90 }), sagged(3, { sigmaDegrees: 1.4, poseDegrees: 10 }), hold()])],
    "part",
  );
  expect(worstHold(row, "degrees")?.one.hold.poseDegrees).toBe(90);
});

test("face kits by the scatter of their seating, from one wearing to the next", () => {
  const worn = (wears: string, px: number, x: number) =>
    hold({ part: "mouth", name: "Mouth", kind: "face", intent: "swapped", wears, px, direction: [x, 0], sigma: 0.01 });
  const shots = [
    benchShot("a", [
      worn("m-1", 0.1, 1),
      worn("m-1", 0.1, -1),
      worn("m-2", 0.8, 1),
      worn("m-2", 0.9, -1),
      worn("m-2", 0.8, 1),
    ]),
  ];
  const rows = seatingRows(shots);
  expect(rows.map(({ wears, px }) => [wears, px.count])).toEqual([
    ["m-2", 3],
    ["m-1", 2],
  ]);
  expect(rows[0].px.value).toBeCloseTo(Math.sqrt((0.64 + 0.81 + 0.64) / 3 / 4), 3);
  expect(benchRows(shots, "part")).toEqual([]);
});

test("how often is said with the interval", () => {
  const [row] = benchRows([benchShot("a", [sagged(1), hold(), hold()])], "part");
  expect(`${subjectWords(row, row.partName)}: ${shareWords(row.often.sags)}`).toBe(
    "Left forearm of Oda, copy A: 1 of 3 holds (6 to 79 %)",
  );
});

test("a crawl is as fast as its flag says, not as its part drifts; where the flag says nothing there is no speed", () => {
  const crawl = sagFlag({ kind: "crawl", joint: null, px: 0.6, mm: 0.15, sigma: 0.06 });
  const [told] = benchShot("a", [
    hold({ px: 3, flags: [{ ...crawl, perMinutePx: 0.02, perMinuteSigma: 0.001 }] }),
  ]).holds;
  const one = { hold: told, shot: "a", shotName: "a" };
  expect(speedOf(one, "px")).toEqual({ value: expect.closeTo(1.2, 9), sigma: expect.closeTo(0.06, 9) });
  expect(speedOf(one, "mm")?.value).toBeCloseTo(0.3, 9);
  expect(whyNoSpeed(one, "degrees")).toBe("a crawl is a shift, no turn");
  const bare = { ...one, hold: hold({ px: 3, flags: [crawl] }) };
  expect(speedOf(bare, "px")).toBe(null);
  expect(whyNoSpeed(bare, "px")).toBe("its report doesn't tell how fast it crept");
  // Without an uncertainty of its own it has the share that the size's has.
  const guessed = { ...one, hold: hold({ flags: [{ ...crawl, perMinutePx: 0.02 }] }) };
  expect(speedOf(guessed, "px")?.sigma).toBeCloseTo(0.12, 9);
});

test("a part whose name says whose it is isn't told its owner twice", () => {
  expect(partWords("Oda's right cuff", "oda", "A")).toBe("Oda's right cuff, copy A");
  expect(partWords("Oda’s right cuff", "oda", null)).toBe("Oda’s right cuff");
  expect(partWords("Left forearm", "oda", "B")).toBe("Left forearm of Oda, copy B");
  expect(partWords("Odalisque's hat", "oda", null)).toBe("Odalisque's hat of Oda");
  expect(partWords("Hive", null, null)).toBe("Hive, set and props");
});
