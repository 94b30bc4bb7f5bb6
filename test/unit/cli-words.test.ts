import { expect, test } from "vitest";
import { createProgressLine } from "../../src/cli/progress-line.ts";
import { pxWords } from "../../src/analysis/kinds/words.ts";
import { duration, fixed, frameList, measured, rateWords } from "../../src/reports/words.ts";

test("a size has the digits of the sentence that it stands beside, and its uncertainty is never zero", () => {
  for (const sigma of [0.00004, 0.0012, 0.0049, 0.0051, 0.012, 0.4])
    expect(measured(1.9342, sigma, "px")).toBe(pxWords(1.9342, sigma));
  expect(measured(0.0172, 0.0096, "px")).toBe("0.017 ± 0.010 px");
  expect(measured(0.7656, 0.0012, "px")).toBe("0.766 ± 0.001 px");
  expect(measured(0.7656, 0.00003, "mm")).toBe("0.766 ± 0.001 mm");
  expect(measured(1.9342, null, "px")).toBe("1.93 px");
  expect(fixed(-0.004, 2)).toBe("0.00");
  expect(fixed(-0.04, 2)).toBe("\u22120.04");
});

test("a speed is told as exactly as its uncertainty allows, and by the hour where it is slow", () => {
  expect(measured(12.34, 0.4, "px an hour")).toBe("12.3 ± 0.4 px an hour");
  expect(measured(0.0312, 0.00002, "degrees an hour")).toBe("0.0312 ± 0.0001 degrees an hour");
  expect(rateWords(0.05, 0.012)).toBe("0.050 ± 0.012 px a minute");
  expect(rateWords(0.0007, 0.00002)).toBe("0.0420 ± 0.0012 px an hour");
  expect(rateWords(0.05, null)).toBe("0.050 px a minute");
  expect(rateWords(null, null)).toBe(null);
});

test("frames are told as runs, neighbours being those next to each other in the shot", () => {
  expect(frameList([3])).toBe("frame 3");
  expect(frameList([3, 5, 6, 7, 12])).toBe("frames 3, 5 to 7 and 12");
  expect(frameList([3, 5, 7, 11], [1, 3, 5, 7, 9, 11])).toBe("frames 3 to 7 and 11");
});

test("durations are told in the two largest units", () => {
  expect([4.4, 130, 3599.6, 3900, 7199].map(duration)).toEqual([
    "4 s",
    "2 min 10 s",
    "1 h 0 min",
    "1 h 5 min",
    "2 h 0 min",
  ]);
});

const screen = (isTTY: boolean, columns = 80) => {
  const written: string[] = [];
  return { written, isTTY, columns, write: (text: string) => void written.push(text) };
};
const half = { kind: "measure", done: 12, total: 24, secondsLeft: 70.2 } as const;

test("on a terminal progress is one line that is written over and leaves nothing behind", () => {
  let now = 0;
  const shown = screen(true);
  const line = createProgressLine(shown, 24, () => now);
  line.show(half);
  line.show({ ...half, done: 13 });
  now += 1000;
  line.show({ ...half, done: 24, secondsLeft: null });
  line.clear();
  const text = "Measuring 24 frames: 50 %, about 1 min 10 s left";
  const last = "Measuring 24 frames: 100 %";
  expect(shown.written).toEqual([
    `\r${text}`,
    `\r${last}${" ".repeat(text.length - last.length)}`,
    `\r${" ".repeat(last.length)}\r`,
  ]);
});

test("on a narrow terminal the line is cut, since one that wraps can't be written over", () => {
  const shown = screen(true, 20);
  createProgressLine(shown, 24, () => 0).show(half);
  expect(shown.written).toEqual(["\rMeasuring 24 frames"]);
});

test("in a log progress is a line now and then", () => {
  let now = 0;
  const shown = screen(false);
  const line = createProgressLine(shown, 1, () => now);
  for (; now <= 30_000; now += 1000) line.show({ kind: "inspect", done: now, total: 60_000, secondsLeft: 5 });
  line.clear();
  expect(shown.written).toEqual(["Reading the headers of 1 frame: 25 %\n", "Reading the headers of 1 frame: 50 %\n"]);
});
