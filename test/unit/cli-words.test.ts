import { expect, test } from "vitest";
import { createProgressLine } from "../../src/cli/progress-line.ts";
import { duration, fixed, frameList, measured } from "../../src/reports/words.ts";

test("a size is told as exactly as its uncertainty allows", () => {
  expect(measured(1.9342, 0.012, "px")).toBe("1.934 ± 0.012 px");
  expect(measured(1.9342, 0.03, "px")).toBe("1.93 ± 0.03 px");
  expect(measured(12.34, 0.4, "px")).toBe("12.3 ± 0.4 px");
  expect(measured(123.4, 7, "px")).toBe("123 ± 7 px");
  expect(measured(1.9342, null, "px")).toBe("1.93 px");
  expect(fixed(-0.004, 2)).toBe("0.00");
  expect(fixed(-0.04, 2)).toBe("\u22120.04");
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
