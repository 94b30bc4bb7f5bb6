import { expect, test } from "vitest";
import type { Flag, Report, Track } from "../../src/model/index.ts";
import { frameNumber, px, radians } from "../../src/units/index.ts";
import { signsOfFlag } from "../../src/workshop/signs-of-flag.ts";
import { seriesSigns } from "../../src/workshop/series-signs.ts";
import { flagOf, partOf, reportOf, rowOf } from "../support/ui-report.ts";

const frames = Array.from({ length: 24 }, (_, i) => i + 1);
const arm = partOf("arm", {
  name: "Left arm",
  carrier: "torso",
  build: "ball",
  intents: [{ from: frameNumber(1), to: frameNumber(24), intent: "holds", wears: null }],
});
const torso = partOf("torso", { name: "Torso", kind: "body" });

/** A drift of the arm by a law, downwards, two minutes a frame. */
const drifting = (law: (frame: number) => number, more: Partial<Track> = {}) =>
  frames.slice(1).map((frame) => rowOf("arm", frame, { dy: px(law(frame)), sigmaDy: px(0.01), ...more }));
const shot = (tracks: readonly Track[], flags: readonly Flag[] = [], parts = [torso, arm]): Report => {
  const report = reportOf(frames, { parts, tracks, flags });
  return {
    ...report,
    frames: report.frames.map((each, i) => ({
      ...each,
      time: new Date(Date.UTC(2026, 2, 2, 10, 2 * i)).toISOString().slice(0, 19),
    })),
  };
};
const sag = flagOf({ id: "sag", from: frameNumber(2), to: frameNumber(24), px: px(2), direction: [0.1, 0.99] });
const namesOf = (report: Report, flag = sag) => Object.keys(signsOfFlag(flag, report, null));

test("an even sag is smooth and steady, goes down, and is alone", () => {
  const signs = namesOf(
    shot(
      drifting((frame) => 0.1 * frame),
      [sag],
    ),
  );
  expect(signs).toEqual(expect.arrayContaining(["down", "smooth", "steady", "one-part", "untouched"]));
  expect(signs).not.toContain("slowing");
});

test("one that slows is told to slow, one that jumps to jump", () => {
  expect(namesOf(shot(drifting((frame) => 2 * (1 - Math.exp(-frame / 6)))))).toContain("slowing");
  const jumpy = namesOf(shot(drifting((frame) => 0.4 * Math.floor(frame / 5))));
  expect(jumpy).toContain("stick-slip");
  expect(jumpy).not.toContain("smooth");
});

test("a lunch break is no jump", () => {
  const series = frames.map((frame) => ({
    frame,
    clock: (frame > 12 ? 3600 : 0) + 120 * frame,
    value: 0.05 * frame + (frame > 12 ? 1.5 : 0),
    sigma: 0.01,
  }));
  expect(Object.keys(seriesSigns("sag", series))).toContain("smooth");
});

test("too little drift or too few frames tell no law", () => {
  const flat = frames.map((frame) => ({ frame, clock: null, value: 0.001 * frame, sigma: 0.01 }));
  expect(seriesSigns("sag", flat)).toEqual({});
  expect(seriesSigns("sag", flat.slice(0, 5))).toEqual({});
  expect(seriesSigns("knock", flat)).toEqual({});
});

test("joint, way and company of a flag are told with their figures", () => {
  const camera = flagOf({ id: "camera", kind: "camera-shift", part: null, from: frameNumber(2), to: frameNumber(24) });
  const hand = flagOf({ id: "hand", kind: "knock", part: "torso", from: frameNumber(3) });
  const flag = { ...sag, joint: "shoulder-left", carries: ["hand"] };
  const signs = signsOfFlag(flag, shot([], [flag, camera, hand]), null);
  expect(signs["pivot-on-joint"]).toBe("it turned about the shoulder left");
  expect(signs.down).toBe("it went down, within 6\u00b0 of gravity");
  expect(signs["with-camera"]).toBe("the camera shifted at frame 2");
  expect(signs["several-parts"]).toContain("Torso");
  expect(signs.carries).toBe("one part went along");
  expect(Object.keys(signsOfFlag({ ...sag, pivot: [px(900), px(20)] }, shot([]), null))).toContain("pivot-off-joint");
  expect(Object.keys(signsOfFlag({ ...sag, direction: [0, -1] }, shot([]), null))).toContain("up");
  expect(Object.keys(signsOfFlag({ ...sag, direction: [1, 0] }, shot([]), null))).toContain("sideways");
});

test("a drift that begins while its neighbour moves is after a touch", () => {
  const moving = {
    ...torso,
    intents: [{ from: frameNumber(1), to: frameNumber(6), intent: "moves" as const, wears: null }],
  };
  const signs = signsOfFlag({ ...sag, from: frameNumber(7) }, shot([], [], [moving, arm]), null);
  expect(signs["after-touch"]).toBe("it began at frame 7, while Torso was being moved");
});

test("a break before a knock is told in minutes, and a knock that lasts stays", () => {
  const report = shot([]);
  const later = report.frames.map((each) =>
    each.frame < 13 ? each : { ...each, time: each.time?.replace("T10", "T12") ?? null },
  );
  const knock = flagOf({ kind: "knock", from: frameNumber(13), to: frameNumber(24) });
  const signs = signsOfFlag(knock, { ...report, frames: later }, null);
  expect(signs["over-break"]).toBe("122 minutes lie between frames 12 and 13");
  expect(signs.stays).toBeDefined();
});

test("degrees an hour and a pivot that stays come from the turn", () => {
  // Turning about a point 60 px left of its middle, at (110, 110), 0.02 degrees a frame of two minutes: 0.6 an hour.
  const turn = (frame: number) => ((frame - 1) * 0.02 * Math.PI) / 180;
  const about = ([x, y]: readonly [number, number], angle: number) => ({
    dx: px(x * (Math.cos(angle) - 1) - y * Math.sin(angle)),
    dy: px(x * Math.sin(angle) + y * (Math.cos(angle) - 1)),
    turn: radians(angle),
  });
  const rows = frames.slice(1).map((frame) =>
    rowOf("arm", frame, {
      ...about([60, 0], turn(frame)),
      sigmaDx: px(0.001),
      sigmaDy: px(0.001),
      sigmaTurn: radians(1e-6),
    }),
  );
  const signs = signsOfFlag({ ...sag, pivot: [px(50), px(110)] }, shot(rows), null);
  expect(signs.slow).toBe("it turned by 0.600 degrees an hour");
  expect(signs["pivot-stays"]).toBeDefined();
  const wandering = frames.slice(1).map((frame) =>
    rowOf("arm", frame, {
      ...about([60 + 4 * frame, 0], turn(frame)),
      sigmaDx: px(0.001),
      sigmaDy: px(0.001),
      sigmaTurn: radians(1e-6),
    }),
  );
  expect(Object.keys(signsOfFlag({ ...sag, pivot: [px(50), px(110)] }, shot(wandering), null))).toContain(
    "pivot-wanders",
  );
});

test("the region of a flag tells one area from all over", () => {
  const square = (size: number) =>
    [
      [px(100), px(100)],
      [px(100 + size), px(100)],
      [px(100 + size), px(100 + size)],
      [px(100), px(100 + size)],
    ] as Flag["region"];
  const crawl = (region: Flag["region"]) =>
    Object.keys(signsOfFlag(flagOf({ kind: "crawl", part: "arm", region }), shot([]), null));
  expect(crawl(square(8))).toContain("one-area");
  expect(crawl(square(19))).toContain("all-over");
  expect(Object.keys(signsOfFlag(flagOf({ kind: "light", part: null }), shot([]), null))).toContain("all-over");
});

test("the law of creep that was told goes before the two halves, and the flag's own course before its tracks", () => {
  const forecast = { law: "exponential", by: "clock", crossings: [], rest: null, reason: "", message: "" } as const;
  const even = shot(drifting((frame) => 0.1 * frame));
  const signs = signsOfFlag({ ...sag, forecast }, even, null);
  expect(signs.slowing).toBe("an exponential law by the clock, which slows, fits it best");
  expect(signs.steady).toBeUndefined();
  expect(namesOf(even, { ...sag, forecast: { ...forecast, law: "linear" } })).toContain("steady");
  const course = frames
    .slice(1)
    .map((frame) => ({ frame: frameNumber(frame), px: px(0.4 * Math.floor(frame / 5)), sigma: px(0.01) }));
  expect(namesOf(even, { ...sag, course })).toContain("stick-slip");
});
