import * as fc from "fast-check";
import { expect, test } from "vitest";
import { feetAndFrames, framesOfTimecode, timecodeOf } from "../../src/model/index.ts";
import { frameNumber } from "../../src/units/index.ts";

const at = (frame: number, fps: number, start?: string) => timecodeOf(frameNumber(frame), fps, start);

// OpenTimelineIO, tests/test_opentime.py, test_timecode_2997: frame, without and with drop-frame.
test.each([
  [10789, "00:05:59:19", "00:05:59;29"],
  [10790, "00:05:59:20", "00:06:00;02"],
  [17981, "00:09:59:11", "00:09:59;29"],
  [17982, "00:09:59:12", "00:10:00;00"],
  [17983, "00:09:59:13", "00:10:00;01"],
  [17984, "00:09:59:14", "00:10:00;02"],
  // OpenTimelineIO's tests of drop-frame at 29.97.
  [1800, "00:01:00:00", "00:01:00;02"],
])("frame %i at 29.97 is %s, and %s in drop-frame", (frame, plain, dropped) => {
  for (const fps of [29.97, 30_000 / 1001]) {
    expect(at(frame, fps, "00:00:00:00")).toBe(plain);
    expect(at(frame, fps, "00:00:00;00")).toBe(dropped);
    expect(at(frame, fps)).toBe(dropped);
    expect(framesOfTimecode(plain, fps)).toBe(frame);
    expect(framesOfTimecode(dropped, fps)).toBe(frame);
  }
});

// OpenTimelineIO, the marker lines of its cmx_3600 sample.
test.each([
  ["01:00:01:14", 86438],
  ["01:00:02:14", 86462],
  ["01:00:15:13", 86773],
])("%s at 24 is frame %i", (timecode, frame) => {
  expect(framesOfTimecode(timecode, 24)).toBe(frame);
  expect(at(frame, 24)).toBe(timecode);
  expect(at(frame - 86_400, 24, "01:00:00:00")).toBe(timecode);
});

test("drop-frame is an error at 24", () => {
  // OpenTimelineIO's tests: "01:00:13;23" at 24 is an error.
  expect(framesOfTimecode("01:00:13;23", 24)).toBeNull();
  expect(at(0, 24, "01:00:13;23")).toBeNull();
});

test.each([
  ["23:59:59:24", 24],
  ["24:00:00:00", 24],
  ["00:60:00:00", 24],
  ["00:00:60:00", 24],
  ["1:00:00:00", 24],
  ["01:00:00", 24],
  ["01:00:00.00", 24],
  ["", 24],
  // Numbers that drop-frame leaves out, by its definition.
  ["00:01:00;00", 29.97],
  ["00:01:00;01", 29.97],
  ["00:00:00:00", 12.5],
  ["00:00:00:00", 29.5],
  ["00:00:00:00", 0],
  ["00:00:00:00", Number.NaN],
])("%s at %d is no timecode", (timecode, fps) => {
  expect(framesOfTimecode(timecode, fps)).toBeNull();
  expect(at(1, fps, timecode)).toBeNull();
});

test("frame 0 is 00:00:00:00, and a second is as many frames as the rate says", () => {
  for (const fps of [8, 12, 24, 25, 30]) {
    expect(at(0, fps)).toBe("00:00:00:00");
    expect(at(fps, fps)).toBe("00:00:01:00");
    expect(at(fps - 1, fps, "10:00:00:00")).toBe(`10:00:00:${String(fps - 1).padStart(2, "0")}`);
  }
  expect(at(24, 23.976)).toBe("00:00:01:00");
});

test("timecode begins again after a day", () => {
  expect(at(24 * 86_400, 24)).toBe("00:00:00:00");
  expect(at(2, 24, "23:59:59:23")).toBe("00:00:00:01");
  expect(at(1, 29.97, "23:59:59;29")).toBe("00:00:00;00");
});

test("any frame of a day comes back from its timecode, at every rate", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 12 * 86_400 - 1 }),
      fc.constantFrom(12, 24, 23.976, 25, 29.97, 30, 60),
      (frame, fps) => {
        const timecode = at(frame, fps) ?? "";
        expect(timecode).toMatch(/^\d\d:\d\d:\d\d[:;]\d\d$/);
        expect(framesOfTimecode(timecode, fps)).toBe(frame);
      },
    ),
    { seed: 20260306, numRuns: 500 },
  );
});

test("an hour of drop-frame keeps up with the clock to within two frames", () => {
  // By definition: 107892 frames are an hour at 29.97 (3600 s are 107892.1 frames).
  expect(at(107_892, 29.97)).toBe("01:00:00;00");
});

test("35 mm film runs 16 frames a foot", () => {
  // 35 mm, 4 perforations: frame 24 is 1+08, 1440 is 90+00.
  expect([0, 15, 16, 24, 1440].map((frame) => feetAndFrames(frameNumber(frame)))).toEqual([
    "0+00",
    "0+15",
    "1+00",
    "1+08",
    "90+00",
  ]);
});
