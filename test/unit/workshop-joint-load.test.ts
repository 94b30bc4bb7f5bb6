import { readFileSync } from "node:fs";
import path from "node:path";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { parseSheet, type Report, type Sheet, type Track } from "../../src/model/index.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";
import { type Chain, chainFaults, type Link, usualSigmas } from "../../src/workshop/joint-load/chain.ts";
import { chainOfSheet } from "../../src/workshop/joint-load/chain-of-sheet.ts";
import {
  creepOfTest,
  creepUnder,
  type HangTest,
  hangTestFaults,
  hangTestMoment,
  provenLoad,
} from "../../src/workshop/joint-load/hang-test.ts";
import { volumeFaults } from "../../src/workshop/joint-load/materials.ts";
import { creepOfFlag } from "../../src/workshop/joint-load/measured-creep.ts";
import { GRAVITY, jointLoads, momentAt } from "../../src/workshop/joint-load/moments.ts";
import { loadsByFrame, worstFrame } from "../../src/workshop/joint-load/poses.ts";
import { breakAway, clampedBallFaults, seatLever } from "../../src/workshop/joint-load/screw.ts";
import { tensionOrder, waysOut } from "../../src/workshop/joint-load/ways-out.ts";
import { flagOf, partOf, reportOf, rowOf } from "../support/ui-report.ts";

const link = (
  id: string,
  on: string | null,
  joint: readonly [number, number],
  centre: readonly [number, number],
  massGrams: number | null,
): Link => ({
  id,
  name: id,
  on,
  joint: { id: `${id}-joint`, name: `${id} joint`, at: joint },
  centre,
  massGrams,
  massSigmaGrams: 1,
  intoPictureDegrees: 0,
  pxPerMm: 2,
});

/** An arm held level: upper arm of 60 mm, forearm of 50 mm, hand of 20 mm. */
const arm = (changes: Partial<Chain> = {}): Chain => ({
  links: [
    link("upper", null, [0, 0], [60, 0], 24),
    link("fore", "upper", [120, 0], [170, 0], 18),
    link("hand", "fore", [220, 0], [240, 0], 11),
  ],
  down: [0, 1],
  downIntoPictureDegrees: 0,
  sigmas: usualSigmas,
  ...changes,
});

const sampleSheet = (): Sheet => {
  const file = path.resolve(import.meta.dirname, "../../sample-frames/hive_010/holdfast-sheet.json");
  const frames = Array.from({ length: 24 }, (_, i) => frameNumber(i + 1));
  const read = parseSheet(readFileSync(file, "utf8"), "sheet", { frames, width: 1280, height: 720 });
  if (!("sheet" in read)) throw new Error(read.refusals.join("\n"));
  return read.sheet;
};

const momentOf = (chain: Chain, id: string) =>
  jointLoads(chain).find(({ linkId }) => linkId === id)?.momentNmm?.value ?? Number.NaN;

describe("moments", () => {
  test("each joint of a level arm bears what hangs beyond it, by the lever", () => {
    // By hand: shoulder 24 g x 30 mm + 18 x 85 + 11 x 120; elbow 18 x 25 + 11 x 60; wrist 11 x 10.
    expect(momentOf(arm(), "upper")).toBeCloseTo(((24 * 30 + 18 * 85 + 11 * 120) * GRAVITY) / 1000, 9);
    expect(momentOf(arm(), "fore")).toBeCloseTo(((18 * 25 + 11 * 60) * GRAVITY) / 1000, 9);
    expect(momentOf(arm(), "hand")).toBeCloseTo((11 * 10 * GRAVITY) / 1000, 9);
    const [shoulder] = jointLoads(arm());
    expect(shoulder.beyondGrams).toBe(53);
    expect(shoulder.armMm).toBeCloseTo((24 * 30 + 18 * 85 + 11 * 120) / 53, 9);
    expect(shoulder.sense).toBe(1);
  });

  test("an arm that hangs straight down bears nothing, and the uncertainty says what a slip of its places would do", () => {
    const hanging = arm({ down: [1, 0] });
    const [shoulder] = jointLoads(hanging);
    expect(shoulder.momentNmm?.value).toBeCloseTo(0, 9);
    expect(shoulder.momentNmm?.sigma).toBeGreaterThan(0.5);
  });

  test("an arm that points at the lens bears what its true length says, not what the picture shows", () => {
    const foreshortened: Chain = {
      ...arm(),
      links: arm().links.map((each) => ({
        ...each,
        // Seen at half its length: tilted by 60 degrees.
        centre: [each.centre[0] / 2, 0] as const,
        joint: each.joint && { ...each.joint, at: [each.joint.at[0] / 2, 0] as const },
        intoPictureDegrees: -60,
      })),
    };
    expect(momentOf(foreshortened, "upper")).toBeCloseTo(momentOf(arm(), "upper"), 6);
  });

  test("a camera that looks down sees gravity lean into the picture, and the load is the same", () => {
    // The arm points at the camera, which looks down by 30 degrees: it is level all the same.
    const lean = 30;
    const rise = 100 * Math.sin((lean * Math.PI) / 180);
    const chain: Chain = {
      ...arm({ downIntoPictureDegrees: lean }),
      links: [{ ...link("only", null, [0, 0], [0, 2 * rise], 10), intoPictureDegrees: -(90 - lean) }],
    };
    expect(momentOf(chain, "only")).toBeCloseTo((10 * 100 * GRAVITY) / 1000, 6);
  });

  test("a heavier hand loads every joint that bears it, in proportion, and no other", () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 200, noNaN: true }), (grams) => {
        const chain = arm();
        const heavier = {
          ...chain,
          links: chain.links.map((each) => (each.id === "hand" ? { ...each, massGrams: grams } : each)),
        };
        const step = ((grams - 11) * GRAVITY) / 1000;
        expect(momentOf(heavier, "upper") - momentOf(chain, "upper")).toBeCloseTo(step * 120, 6);
        expect(momentOf(heavier, "hand") - momentOf(chain, "hand")).toBeCloseTo(step * 10, 6);
      }),
      { seed: 4 },
    );
  });

  test("the picture may be turned or moved with gravity: the loads stay", () => {
    fc.assert(
      fc.property(fc.double({ min: -3, max: 3, noNaN: true }), fc.integer({ min: -500, max: 500 }), (angle, shift) => {
        const turned = ([x, y]: readonly [number, number]) =>
          [
            Math.cos(angle) * x - Math.sin(angle) * y + shift,
            Math.sin(angle) * x + Math.cos(angle) * y - shift,
          ] as const;
        const chain = arm();
        const other: Chain = {
          ...chain,
          down: [-Math.sin(angle), Math.cos(angle)],
          links: chain.links.map((each) => ({
            ...each,
            centre: turned(each.centre),
            joint: each.joint && { ...each.joint, at: turned(each.joint.at) },
          })),
        };
        for (const id of ["upper", "fore", "hand"]) expect(momentOf(other, id)).toBeCloseTo(momentOf(chain, id), 6);
      }),
      { seed: 5, numRuns: 30 },
    );
  });

  test("a weight that nobody knows leaves the joints that bear it untold, by its name, and the others told", () => {
    const chain = arm();
    const [shoulder, elbow, wrist] = jointLoads({
      ...chain,
      links: chain.links.map((each) => (each.id === "fore" ? { ...each, massGrams: null } : each)),
    });
    expect([shoulder.momentNmm, elbow.momentNmm]).toEqual([null, null]);
    expect(shoulder.unweighed).toEqual(["fore"]);
    expect(wrist.momentNmm).not.toBeNull();
  });

  test("what is fast on a link loads the joint that carries it, wherever it sits", () => {
    const chain = arm();
    const bee: Link = { ...link("bee", "hand", [0, 0], [250, -40], 5), joint: null };
    const withBee = { ...chain, links: [...chain.links, bee] };
    expect(momentOf(withBee, "upper") - momentOf(chain, "upper")).toBeCloseTo((5 * 125 * GRAVITY) / 1000, 9);
    expect(jointLoads(withBee)).toHaveLength(3);
  });
});

describe("what can't be is refused in a sentence at its field", () => {
  test("a negative mass, a scale of nothing, a tilt that leaves no length", () => {
    const chain = arm();
    const wrong = (change: Partial<Link>): Chain => ({
      ...chain,
      links: chain.links.map((each) => (each.id === "hand" ? { ...each, ...change } : each)),
    });
    expect(chainFaults(chain)).toEqual([]);
    expect(chainFaults(wrong({ massGrams: -3 }))).toEqual([
      { field: "links.hand.mass", sentence: "The mass of hand is \u22123 g; it can't be less than 0 g." },
    ]);
    expect(chainFaults(wrong({ massGrams: Number.NaN }))[0].sentence).toBe("The mass of hand is not a number.");
    expect(chainFaults(wrong({ pxPerMm: 0 }))[0].field).toBe("links.hand.scale");
    expect(chainFaults(wrong({ intoPictureDegrees: 88 }))[0].sentence).toContain("can't be more than 80 degrees");
    expect(chainFaults({ ...chain, down: [0, 0] })[0].field).toBe("down");
  });

  test("a chain that goes in a circle, a carrier that isn't there", () => {
    const chain = arm();
    const looped = {
      ...chain,
      links: chain.links.map((each) => (each.id === "upper" ? { ...each, on: "hand" } : each)),
    };
    const faults = chainFaults(looped);
    expect(faults).toHaveLength(3);
    expect(faults[0]).toEqual({
      field: "links.upper.on",
      sentence: "The chain goes in a circle: upper on hand on fore on upper. One of them must stand by itself.",
    });
    const stray = { ...chain, links: chain.links.map((each) => (each.id === "hand" ? { ...each, on: "tail" } : each)) };
    expect(chainFaults(stray)[0].sentence).toBe("hand hangs on 'tail', which is no link of this chain.");
  });

  test("a hang test without time or distance, a ball that falls through, a screw that breaks, a volume of nothing", () => {
    expect(hangTestFaults({ ...hang(50, 10, 1), minutes: 0 })[0].sentence).toBe(
      "The time it hung is 0 min; it must be more than 0 min.",
    );
    expect(hangTestFaults({ ...hang(-50, 10, 1) })[0].field).toBe("weight");
    const ball = {
      torqueNmm: 150,
      thread: "M2",
      state: "black",
      pair: "steel-steel",
      ballMm: 6,
      holeMm: 4,
      ballsAScrew: 2,
    } as const;
    expect(clampedBallFaults(ball)).toEqual([]);
    expect(clampedBallFaults({ ...ball, holeMm: 6 })[0].field).toBe("hole");
    expect(clampedBallFaults({ ...ball, torqueNmm: 900 })[0].sentence).toContain(
      "more than an M2 screw of class 8.8 takes (350 to 390 N mm)",
    );
    expect(volumeFaults("v", 0)[0].sentence).toContain("must be more than 0 cm\u00b3");
  });
});

const hang = (weightGrams: number, minutes: number, degrees: number): HangTest => ({
  weightGrams,
  distanceMm: 100,
  limbGrams: 0,
  limbCentreMm: 0,
  minutes,
  degrees,
  seenFromDegrees: 0.25,
});

describe("what a joint can hold", () => {
  test("a hang test tells a moment and a speed, limb included", () => {
    expect(hangTestMoment({ ...hang(50, 10, 1), limbGrams: 53, limbCentreMm: 67 })).toBeCloseTo(
      ((50 * 100 + 53 * 67) * GRAVITY) / 1000,
      9,
    );
    expect(creepOfTest(hang(50, 10, 1)).degreesPerHour).toEqual({ low: 4.5, high: 7.5 });
    // Nothing seen in an hour: slower than could be seen, not nothing.
    expect(creepOfTest(hang(50, 60, 0)).degreesPerHour).toEqual({ low: 0, high: 0.25 });
  });

  test("between two tests the speed is bounded by both, beyond them nothing is told", () => {
    const points = [creepOfTest(hang(40, 60, 0)), creepOfTest(hang(80, 10, 1))];
    const [light, heavy] = points.map(({ momentNmm }) => momentNmm);
    const between = creepUnder(points, (light + heavy) / 2);
    expect(between.atLeast).toBe(0);
    expect(between.atMost).toBe(7.5);
    expect(between.likely).toBeCloseTo(Math.sqrt(0.125 * 6), 9);
    expect(creepUnder(points, 2 * heavy)).toEqual({ atLeast: 4.5, atMost: null, likely: null });
    expect(creepUnder(points, light / 2)).toEqual({ atLeast: null, atMost: 0.25, likely: null });
    expect(creepUnder([], 10)).toEqual({ atLeast: null, atMost: null, likely: null });
  });

  test("the proven load is that of the heaviest test that stayed slow enough, and none where none did", () => {
    const points = [creepOfTest(hang(40, 60, 0)), creepOfTest(hang(80, 10, 1))];
    expect(provenLoad(points, 0.5)).toBe(points[0].momentNmm);
    expect(provenLoad(points, 10)).toBe(points[1].momentNmm);
    expect(provenLoad(points, 0.1)).toBeNull();
  });

  test("screw and friction give a range of many times, never one value", () => {
    const { momentNmm, stressMpa } = breakAway({
      torqueNmm: 150,
      thread: "M2",
      state: "black",
      pair: "steel-steel",
      ballMm: 6,
      holeMm: 4,
      ballsAScrew: 2,
    });
    expect(momentNmm.high / momentNmm.low).toBeGreaterThan(5);
    expect(stressMpa.low).toBeGreaterThan(0);
    // A seat as small as a pin point rubs at the ball's radius: the known case of a ball on a plate.
    expect(seatLever(6, 1e-6)).toBeCloseTo(3, 6);
    expect(seatLever(6, 5)).toBeGreaterThan(seatLever(6, 4));
  });
});

describe("ways out", () => {
  test("each way by itself brings the load down to the target", () => {
    const chain = arm();
    const target = momentOf(chain, "upper") * 0.8;
    const ways = waysOut(chain, "upper", target, 6);
    const hand = ways.find((way) => way.way === "lighten" && way.link === "hand");
    if (hand?.way !== "lighten") throw new Error("no way to lighten the hand");
    const lighter = {
      ...chain,
      links: chain.links.map((each) => (each.id === "hand" ? { ...each, massGrams: 11 - hand.grams } : each)),
    };
    expect(momentAt(lighter, "upper")).toBeCloseTo(target, 6);
    const support = ways.find((way) => way.way === "support" && way.link === "hand");
    if (support?.way !== "support") throw new Error("no support");
    expect(support.fromJointMm).toBeCloseTo(120, 6);
    expect((support.carriesGrams * support.fromJointMm * GRAVITY) / 1000).toBeCloseTo(
      momentOf(chain, "upper") - target,
      6,
    );
    expect(ways.find(({ way }) => way === "tension")).toEqual({ way: "tension", times: expect.closeTo(1.25, 9) });
    expect(ways.find(({ way }) => way === "larger-ball")).toEqual({
      way: "larger-ball",
      atLeastMm: expect.closeTo(7.5, 9),
      mm: 8,
    });
    expect(ways.filter(({ way }) => way === "shorten").length).toBeGreaterThan(0);
  });

  test("what can't be enough is not offered, and under the target nothing is", () => {
    const chain = arm();
    const ways = waysOut(chain, "upper", momentOf(chain, "upper") * 0.3, null);
    expect(ways.filter(({ way }) => way === "lighten")).toEqual([]);
    expect(ways.some(({ way }) => way === "larger-ball")).toBe(false);
    expect(waysOut(chain, "upper", 1e6, 6)).toEqual([]);
  });

  test("joints are tensioned by what they bear: shoulder before elbow before wrist", () => {
    expect(tensionOrder(arm()).map(({ joint }) => joint)).toEqual(["upper joint", "fore joint", "hand joint"]);
  });
});

describe("from the sheet and the report", () => {
  test("the sample's sheet gives the chain of the left arm, and the shoulder bears more than elbow and wrist", () => {
    const answer = chainOfSheet(sampleSheet(), "upper-arm-left");
    if (!("chain" in answer)) throw new Error(answer.why);
    expect(answer.root).toBe("torso");
    expect(chainFaults(answer.chain)).toEqual([]);
    const [shoulder, elbow, wrist] = ["upper-arm-left", "forearm-left", "hand-left"].map((id) =>
      momentOf(answer.chain, id),
    );
    expect(shoulder).toBeGreaterThan(elbow);
    expect(elbow).toBeGreaterThan(wrist);
    // Weights of 53 g in all at 0 to 120 mm from the shoulder.
    expect(shoulder).toBeGreaterThan(15);
    expect(shoulder).toBeLessThan(60);
  });

  test("a sheet without scale or joints says so instead of a load", () => {
    const sheet = sampleSheet();
    expect(chainOfSheet({ ...sheet, scale: null }, "upper-arm-left")).toEqual({
      why: expect.stringContaining("no scale"),
    });
    expect(chainOfSheet(sheet, "jar")).toEqual({ why: expect.stringContaining("no joint on Honey jar") });
    expect(chainOfSheet(sheet, "nobody")).toEqual({ why: "The sheet has no part 'nobody'." });
  });

  const shot = (rows: readonly Track[], times = true): Report => {
    const report = reportOf([1, 2, 3, 4, 5, 6], {
      parts: [
        partOf("upper", {
          outline: [
            [px(0), px(-5)],
            [px(120), px(-5)],
            [px(120), px(5)],
            [px(0), px(5)],
          ],
        }),
        partOf("fore", {
          carrier: "upper",
          outline: [
            [px(120), px(-5)],
            [px(220), px(-5)],
            [px(220), px(5)],
            [px(120), px(5)],
          ],
        }),
      ],
      tracks: rows,
    });
    const frames = report.frames.map((each, i) => ({ ...each, time: times ? `2026-03-02T10:${10 + 2 * i}:00` : null }));
    return { ...report, frames };
  };
  const quarter = Math.PI / 2;

  test("a forearm that was raised by a right angle loads the shoulder less from that frame on; the worst frame is before it", () => {
    // Turned about the elbow: the forearm's centre goes from (170, 0) to (120, -50).
    const raised = { dx: px(-50), dy: px(-50), turn: radians(-quarter) };
    const still = { dx: px(0), dy: px(0), turn: radians(0) };
    const rows = [2, 3, 4, 5, 6].flatMap((frame) => [
      rowOf("upper", frame, still),
      rowOf("fore", frame, { anchor: frameNumber(frame - 1), ...(frame === 4 ? raised : still) }),
    ]);
    const frames = loadsByFrame(arm(), shot(rows));
    const moments = frames.map(
      ({ loads }) => loads.find(({ linkId }) => linkId === "upper")?.momentNmm?.value ?? Number.NaN,
    );
    expect(moments[0]).toBeCloseTo(momentOf(arm(), "upper"), 6);
    // Upper arm as before; forearm and hand stand straight up over the elbow.
    expect(moments[3]).toBeCloseTo(((24 * 30 + 29 * 60) * GRAVITY) / 1000, 6);
    expect(moments[5]).toBeCloseTo(moments[3], 6);
    expect(worstFrame(frames, "upper")?.frame).toBe(1);
  });

  test("where a part could not be followed the frame's load is not told", () => {
    const rows = [2, 3].flatMap((frame) => [
      rowOf("upper", frame),
      rowOf("fore", frame, frame === 3 ? { dx: null, dy: null, turn: null, state: "lost", reason: "covered" } : {}),
    ]);
    const frames = loadsByFrame(arm(), shot(rows));
    expect(frames[1].loads[0].momentNmm).not.toBeNull();
    expect(frames[2].loads[0].momentNmm).toBeNull();
    expect(frames[2].lost).toContain("fore");
  });

  test("a measured sag is a speed under a load: degrees an hour by the clock with its uncertainty", () => {
    const turn = (frame: number) => radians(((frame - 1) * 0.01 * Math.PI) / 180);
    const rows = [2, 3, 4, 5, 6].map((frame) => rowOf("upper", frame, { turn: turn(frame) }));
    const creep = creepOfFlag(flagOf({ part: "upper", from: frameNumber(2), to: frameNumber(6) }), shot(rows));
    if (!("degreesPerHour" in creep)) throw new Error(creep.why);
    // 0.01 degrees in two minutes.
    expect(creep.degreesPerHour.value).toBeCloseTo(0.3, 9);
    expect(creep.degrees).toBeCloseTo(0.04, 9);
    expect(creepOfFlag(flagOf({ part: "upper" }), shot(rows, false))).toEqual({
      why: expect.stringContaining("no capture times"),
    });
    expect(creepOfFlag(flagOf({ part: "fore" }), shot(rows))).toEqual({ why: expect.stringContaining("not measured") });
  });
});
