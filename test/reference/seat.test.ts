import { expect, test } from "vitest";
import { arcminutesALine, cinemaDistance, designDistance, unnoticedPx } from "../../src/workshop/seat.ts";

test("the design distance of ITU-R BT.500 has neighbouring pixels one arcminute apart", () => {
  // ITU-R BT.500: 3.2 picture heights for 1080 lines, 1.6 for 2160; the further digits by an independent program.
  expect(designDistance(1080)).toBeCloseTo(3.1831, 4);
  expect(designDistance(2160)).toBeCloseTo(1.5915, 4);
  expect(arcminutesALine(1080, 3.2)).toBeCloseTo(0.99472, 5);
  expect(arcminutesALine(1080, designDistance(1080))).toBeCloseTo(1, 9);
});

test("a cinema's seat at 30 degrees of screen lies 1.866 screen widths away", () => {
  // SMPTE EG 18; arcminutes a pixel by an independent program. A line of a square pixel is as wide as a column.
  const widths = cinemaDistance(30);
  expect(widths).toBeCloseTo(1.866, 3);
  expect(arcminutesALine(1920, widths)).toBeCloseTo(0.96, 3);
  expect(arcminutesALine(2048, widths)).toBeCloseTo(0.9, 3);
  expect(arcminutesALine(4096, widths)).toBeCloseTo(0.45, 3);
});

test("a frame with more lines than are shown may be corrected faster, by its pixels", () => {
  expect(unnoticedPx(1920, 1080)).toBeCloseTo(0.05, 6);
  expect(unnoticedPx(3840, 2160)).toBeCloseTo(0.05, 6);
  expect(unnoticedPx(7680, 4320)).toBeCloseTo(0.1, 6);
  // A small frame is seen larger in the cinema than at its own design distance.
  expect(unnoticedPx(1280, 720)).toBeCloseTo(0.05 / 1.44, 3);
});
