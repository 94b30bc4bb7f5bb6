import * as fc from "fast-check";
import { expect, test } from "vitest";
import { captureTimes, type TimedFrame } from "../../src/model/index.ts";
import { frameNumber } from "../../src/units/index.ts";

const timed = (frame: number, exifTime: string | null, modified: number | null = null): TimedFrame => ({
  frame: frameNumber(frame),
  exifTime,
  modified,
});
/** Milliseconds since 1970 of a moment told in local time. */
const local = (...moment: [number, number, number, number, number, number, number?]) => {
  const [year, month, day, ...time] = moment;
  return new Date(year, month - 1, day, ...time).getTime();
};
const timesOf = (frames: TimedFrame[]) => captureTimes(frames).times.map(({ time }) => time);
const clocksOf = (frames: TimedFrame[]) => captureTimes(frames).times.map(({ clock }) => clock);

test("the camera's own times count, in the order of the frames, whatever the files say", () => {
  const result = captureTimes([
    timed(3, "2026-03-02T10:18:07", 5),
    timed(1, "2026:03:02 10:14:07", 9),
    timed(2, "2026-03-02T10:16:37", 1),
  ]);
  expect(result).toEqual({
    source: "exif",
    warnings: [],
    times: [
      { frame: 1, time: "2026-03-02T10:14:07", clock: 0 },
      { frame: 2, time: "2026-03-02T10:16:37", clock: 150 },
      { frame: 3, time: "2026-03-02T10:18:07", clock: 240 },
    ],
  });
});

test("a frame that was taken again later keeps its later time", () => {
  expect(
    clocksOf([timed(1, "2026-03-02T23:59:50"), timed(2, "2026-03-03T00:10:00"), timed(3, "2026-03-03T00:00:10")]),
  ).toEqual([0, 610, 20]);
});

test("a frame without a time among frames with one has none, and is named", () => {
  const result = captureTimes([timed(1, null, 1000), timed(2, "2026-03-02T10:14:07"), timed(3, "2026-03-02T10:15:07")]);
  expect(result.times.map(({ time, clock }) => [time, clock])).toEqual([
    [null, null],
    ["2026-03-02T10:14:07", 0],
    ["2026-03-02T10:15:07", 60],
  ]);
  expect(result.warnings).toEqual([{ code: "frames-without-time", detail: "no capture time in frames 1" }]);
});

test.each([
  "0000:00:00 00:00:00",
  "2026-02-30T10:00:00",
  "2026-13-01T10:00:00",
  "2026-03-02T24:00:00",
  "2026-03-02",
  "",
  "noon",
])("%j is no time", (text) => {
  const result = captureTimes([timed(1, text), timed(2, text)]);
  expect(result.source).toBe("none");
  expect(result.times.map(({ time }) => time)).toEqual([null, null]);
});

test("one time for all frames is the stamp of an export: there is none", () => {
  const result = captureTimes([timed(1, "2026-03-02T10:14:07"), timed(2, "2026-03-02T10:14:07")]);
  expect(result.source).toBe("none");
  expect(result.warnings[0].detail).toBe("no capture times: all frames carry the same one, 2026-03-02T10:14:07");
});

test("files that were written one after the other give local times", () => {
  const start = local(2026, 3, 2, 10, 14, 7, 250);
  const frames = [timed(1, null, start), timed(2, null, start + 1000), timed(4, null, start + 121_500)];
  expect(captureTimes(frames).source).toBe("file");
  expect(timesOf(frames)).toEqual(["2026-03-02T10:14:07", "2026-03-02T10:14:08", "2026-03-02T10:16:08"]);
  expect(clocksOf(frames)).toEqual([0, 1, 121.5]);
});

test.each([
  ["less than a second apart", [0, 999, 5000]],
  ["all at once", [0, 0, 0]],
  ["out of order", [0, 90_000, 60_000]],
])("files written %s are a copy: there is no time, and a warning says so", (_, offsets) => {
  const result = captureTimes(offsets.map((offset, i) => timed(i + 1, null, 1_772_000_000_000 + offset)));
  expect(result.source).toBe("none");
  expect(result.times.every(({ time, clock }) => time === null && clock === null)).toBe(true);
  expect(result.warnings).toHaveLength(1);
  expect(result.warnings[0]).toMatchObject({ code: "no-capture-times" });
  expect(result.warnings[0].detail).toMatch(/from frame \d to frame \d, as after copying$/);
});

test("one file without a time leaves none", () => {
  const result = captureTimes([timed(1, null, 1_772_000_000_000), timed(2, null, null)]);
  expect(result.source).toBe("none");
  expect(result.warnings[0].detail).toBe("no capture times: frame 2 has none, nor a file time");
});

test("no frames, no times and nothing to warn of", () => {
  expect(captureTimes([])).toEqual({ times: [], source: "none", warnings: [] });
});

test("any times are taken or left with a warning, frames in order, and never a throw", () => {
  fc.assert(
    fc.property(
      fc.uniqueArray(fc.tuple(fc.nat(99), fc.option(fc.string()), fc.option(fc.double())), { selector: ([n]) => n }),
      (list) => {
        const result = captureTimes(list.map(([n, exif, modified]) => timed(n, exif, modified)));
        expect(result.times.map(({ frame }) => frame)).toEqual(list.map(([n]) => n).sort((a, b) => a - b));
        expect(result.warnings.length > 0 || result.source !== "none" || list.length === 0).toBe(true);
      },
    ),
    { seed: 20260307 },
  );
});
