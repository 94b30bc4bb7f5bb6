import { expect, test } from "vitest";
import type { HoldSummary } from "../../src/model/index.ts";
import { gainWords, repairStories } from "../../src/reports/bench/repairs.ts";
import { benchShot, hold, repair, sagged } from "./bench-holds.ts";

const on = (day: number, holds: readonly HoldSummary[]) =>
  benchShot(
    `day-${day}`,
    holds.map((one) => ({ ...one, time: `2026-03-${String(day).padStart(2, "0")}T10:00:00` })),
  );
const before = on(
  3,
  [0.8, 0.9, 1, 0.9, 0.9].map((speed) => sagged(speed)),
);
const calm = (speed: number) => hold({ degrees: speed, px: speed * 2, mm: speed / 2 });
const after = on(6, [0.04, 0.05, 0.06, 0.05, 0.05, 0.05].map(calm));
const [story] = repairStories([before, after], [repair()]);

test("a repair that held is said so, with the speeds before and after", () => {
  expect(story.sentence).toMatch(/^after the new elbow ball: 0\.90 → 0\.05\d* degrees an hour over 6 holds; it held$/u);
  expect(story.outcome).toBe("held");
  expect(gainWords(story)).toMatch(/^0\.85 degrees an hour slower \(0\.7\d to 0\.9\d at 95 %\)$/u);
});

test("one hold since tells nothing yet", () => {
  const [one] = repairStories([before, on(6, [calm(0.05)])], [repair()]);
  expect(one.sentence).toBe("after the new elbow ball: can't be told yet: 1 hold since");
  const [none] = repairStories([before], [repair()]);
  expect(none.sentence).toBe("after the new elbow ball: can't be told yet: no hold since");
});

test("without holds before there is nothing to compare with", () => {
  const [one] = repairStories([on(3, [sagged(0.9)]), after], [repair()]);
  expect(one.sentence).toBe("after the new elbow ball: can't be compared: 1 hold before");
});

test("slower, and still flagged, is not called held", () => {
  const [one] = repairStories([before, on(6, [sagged(0.3), sagged(0.32), sagged(0.31)])], [repair()]);
  expect(one.outcome).toBe("slower");
  expect(one.sentence).toContain("better, but 3 of 3 holds still flagged");
});

test("worse is said, and what can't be told apart too", () => {
  const [worse] = repairStories([before, on(6, [sagged(2), sagged(2.1), sagged(1.9)])], [repair()]);
  expect(worse.sentence).toMatch(/it got worse$/u);
  expect(gainWords(worse)).toMatch(/faster/u);
  const [same] = repairStories([before, on(6, [sagged(0.85), sagged(0.95)])], [repair()]);
  expect(same.sentence).toMatch(/no difference can be told yet$/u);
});

test("a repair's time ends at the next one, and begins at the one before", () => {
  const later = repair({ id: "r2", done: "2026-03-07T18:00", what: "a wider socket" });
  const stories = repairStories([before, after, on(8, [calm(0.01), calm(0.01)])], [later, repair()]);
  expect(stories.map((one) => [one.repair.id, one.before.length, one.after.length])).toEqual([
    ["r2", 6, 2],
    ["r1", 5, 6],
  ]);
});

test("other copies, parts and puppets are left alone; a repair of all copies takes every copy", () => {
  const others = on(6, [hold({ copy: "B" }), hold({ part: "hand-left" }), hold({ puppet: "bee" })]);
  expect(repairStories([before, others], [repair()])[0].after).toHaveLength(0);
  expect(repairStories([before, others], [repair({ copy: null })])[0].after).toHaveLength(1);
});

test("holds across the repair, and those without a time, are counted and left out", () => {
  const across = benchShot("x", [
    hold({ time: "2026-03-05T17:30:00", minutes: 60 }),
    hold({ time: null, minutes: null }),
  ]);
  const [one] = repairStories([before, across], [repair()]);
  expect([one.before.length, one.after.length, one.leftOut]).toEqual([5, 0, 2]);
});

test("cloth is told in mm, not in degrees", () => {
  const cloth = (speed: number) => sagged(speed, { kind: "costume" });
  const [one] = repairStories(
    [on(3, [cloth(0.8), cloth(0.9), cloth(0.85)]), on(6, [hold({ kind: "costume" }), hold({ kind: "costume" })])],
    [repair({ what: "", fix: "tack-cloth" })],
    () => "Tack the cloth to the body",
  );
  expect(one.sentence).toMatch(/^after “Tack the cloth to the body”: .* mm an hour over 2 holds; it held$/u);
});

test("a seat that was mended is told by the scatter of its pieces", () => {
  const worn = (px: number, x: number) =>
    hold({ kind: "face", intent: "swapped", wears: "m-1", px, direction: [x, 0], sigma: 0.01, minutes: 1 });
  const loose = on(
    3,
    [1, 0.8, 0.9, 1, 1.1, 0.9, 1, 0.8].map((px, i) => worn(px, i % 2 ? 1 : -1)),
  );
  const firm = on(
    6,
    [0.05, 0.06, 0.04, 0.05, 0.05, 0.06].map((px, i) => worn(px, i % 2 ? 1 : -1)),
  );
  const [one] = repairStories([loose, firm], [repair({ what: "three magnets" })]);
  expect(one.sentence).toMatch(
    /^after three magnets: 0\.\d+ → 0\.0\d+ px from one seating to the next, over 6 seatings; it held$/u,
  );
});

test("what has no speed is told by its flags", () => {
  const bare = (flags: HoldSummary["flags"]) => hold({ minutes: 0, flags });
  const { flags } = sagged(1);
  const many = (flagged: boolean) => Array.from({ length: 8 }, () => bare(flagged ? flags : []));
  const [one] = repairStories([on(3, many(true)), on(6, many(false))], [repair()]);
  expect(one.sentence).toBe("after the new elbow ball: 8 of 8 → 0 of 8 holds flagged, over 8 holds; it held");
});
