import { expect, test } from "vitest";
import { type CameraFit, cameraStep, fitCamera, LEAST_CELLS } from "../../src/analysis/camera.ts";
import { type CarrierHold, carrierOut } from "../../src/analysis/carrier-out.ts";
import { type Covariance, stretched, worstSigma } from "../../src/analysis/covariance.ts";
import { cameraOut, type HeldRow, temporalInflation } from "../../src/analysis/hold-rows.ts";
import { LightPath } from "../../src/analysis/light-path.ts";
import type { PartMeasurement } from "../../src/analysis/measurement.ts";
import { unsteadyCells } from "../../src/analysis/still-cells.ts";
import { analysisPx, frameNumber, radians } from "../../src/units/index.ts";
import { createRandom, type Random } from "../support/random.ts";
import type { Motion } from "../support/similarity.ts";
import { box, displacementBy, framesFrom, gridOf, inBox, type Point } from "./analysis-grids.ts";

const [width, height] = [464, 336];
const centre: Point = [width / 2, height / 2];
const nowhere = () => false;

const fit = (
  grid: ReturnType<typeof gridOf>,
  outlined: (x: number, y: number) => boolean = nowhere,
  excluded = nowhere,
) => fitCamera(grid, excluded, outlined, width, height);

/** A part in the middle of the grid that covers about this share of its cells. */
const partOver = (share: number): Point[] => {
  const side = Math.sqrt(share);
  const [w, h] = [(side * 14 * 32) / 2, (side * 10 * 32) / 2];
  return box(24 + 6.5 * 32 - w, 24 + 4.5 * 32 - h, 24 + 6.5 * 32 + w, 24 + 4.5 * 32 + h);
};

test("a knocked camera is told at the frame's centre, with its turn and scale", () => {
  const motion: Motion = { dx: 0.5, dy: -0.2, turn: 0.0005, scale: 1.0008, pivot: centre };
  const camera = fit(gridOf(createRandom(1), () => motion))!;
  expect(Math.abs(camera.dx - 0.5)).toBeLessThan(0.004);
  expect(Math.abs(camera.dy + 0.2)).toBeLessThan(0.004);
  expect(Math.abs(camera.turn - 0.0005)).toBeLessThan(4 * Math.sqrt(camera.covariance[10]));
  expect(Math.abs(camera.scale - 1.0008)).toBeLessThan(4 * Math.sqrt(camera.covariance[15]));
  // 140 cells of 0.01 px.
  expect(Math.sqrt(camera.covariance[0])).toBeLessThan(0.0012);
});

test("a large part that drifts as one does not pull the camera after it", () => {
  for (const share of [0.2, 0.35, 0.45]) {
    const part = partOver(share);
    const camera = fit(gridOf(createRandom(2), (x, y) => (inBox(part)(x, y) ? { dy: 0.6 } : {})))!;
    expect(Math.hypot(camera.dx, camera.dy)).toBeLessThan(0.006);
  }
});

test("a part that is larger than the set is outvoted by the cells outside its outline", () => {
  for (const share of [0.55, 0.65]) {
    const part = partOver(share);
    const inside = inBox(part);
    const camera = fit(
      gridOf(createRandom(3), (x, y) => (inside(x, y) ? { dy: 0.6 } : {})),
      inside,
    );
    expect(camera).not.toBeNull();
    expect(Math.hypot(camera!.dx, camera!.dy)).toBeLessThan(0.01);
  }
});

test("an outline more or less changes no figure of the camera where the set has the majority", () => {
  const part = partOver(0.3);
  const grid = gridOf(createRandom(4), (x, y) => (inBox(part)(x, y) ? { dy: 0.6 } : { dx: 0.1 }));
  expect(fit(grid, inBox(part))).toEqual(fit(grid));
  expect(fit(grid, inBox(box(0, 0, 100, 100)))).toEqual(fit(grid));
});

test("what is excluded is not used at all", () => {
  const part = partOver(0.7);
  const inside = inBox(part);
  const grid = gridOf(createRandom(5), (x, y) => (inside(x, y) ? { dx: 5 } : {}));
  const camera = fitCamera(grid, inside, inside, width, height)!;
  expect(Math.hypot(camera.dx, camera.dy)).toBeLessThan(0.006);
});

test("with too little background the camera can't be told from the set", () => {
  const few = (count: number) => {
    let left = count;
    return gridOf(createRandom(6), () => ({ dx: 0.2 }), { valid: () => (left-- > 0 ? 1 : 0) });
  };
  expect(fit(few(LEAST_CELLS - 1))).toBeNull();
  expect(fit(few(LEAST_CELLS + 4))).not.toBeNull();
  const all = gridOf(createRandom(7), () => ({}));
  expect(fitCamera(all, () => true, nowhere, width, height)).toBeNull();
  // Everything goes its own way: nothing agrees.
  const random = createRandom(8);
  const torn = gridOf(random, () => ({ dx: random.between(-4, 4), dy: random.between(-4, 4) }));
  const camera = fit(torn);
  if (camera !== null) expect(Math.sqrt(camera.covariance[0])).toBeGreaterThan(0.1);
});

test("the camera's step between two frames is seen at the part, turn and lever arm and all", () => {
  const from: Motion = { dx: 0.4, dy: 0.1, turn: 0.001, pivot: centre };
  const to: Motion = { dx: -0.3, dy: 0.9, turn: -0.002, scale: 1.001, pivot: centre };
  const random = createRandom(9);
  const cameras = [from, to].map((motion) => fit(gridOf(random, () => motion, { sigma: 0 }))!);
  // A place of the set, as the first of the two frames shows it.
  const still: Point = [80, 60];
  const [ax, ay] = displacementBy(from, still);
  const [bx, by] = displacementBy(to, still);
  const step = cameraStep(cameras[0], cameras[1], still[0] + ax, still[1] + ay, width, height);
  expect(step.dx).toBeCloseTo(bx - ax, 3);
  expect(step.dy).toBeCloseTo(by - ay, 3);
  expect(step.turn).toBeCloseTo(-0.003, 5);
});

test("far from the centre the camera's step is told with a larger sigma", () => {
  const camera = fit(gridOf(createRandom(10), () => ({})))!;
  const near = cameraStep(camera, camera, centre[0], centre[1], width, height);
  const far = cameraStep(camera, camera, 30, 30, width, height);
  expect(near.varX).toBeCloseTo(camera.covariance[0], 10);
  expect(far.varX).toBeGreaterThan(2 * near.varX);
  expect([near.dx, near.dy, far.dx, far.dy]).toEqual([0, 0, 0, 0]);
});

// Cells that are not still

test("cells of a costume that creeps by a hundredth of a pixel a frame are found over the whole shot", () => {
  const random = createRandom(11);
  const part = partOver(0.2);
  const frames = Array.from({ length: 24 }, (_, i) => {
    const grid = gridOf(random, (x, y) => (inBox(part)(x, y) ? { dx: 0.02 * i } : {}), { sigma: 0.05 });
    return { grid, camera: fit(grid) };
  });
  const unsteady = unsteadyCells(frames, width, height);
  let [right, wrong, all] = [0, 0, 0];
  for (let i = 0; i < unsteady.length; i++) {
    const [x, y] = [24 + (i % 14) * 32, 24 + Math.floor(i / 14) * 32];
    if (inBox(part)(x, y)) all++;
    if (unsteady[i] === 1 && inBox(part)(x, y)) right++;
    else if (unsteady[i] === 1) wrong++;
  }
  expect(right).toBeGreaterThan(0.9 * all);
  expect(wrong).toBeLessThanOrEqual(2);
});

test("in a short shot, or where everything seems to creep, no cell is left out", () => {
  const random = createRandom(12);
  const short = Array.from({ length: 8 }, (_, i) => {
    const grid = gridOf(random, (x) => (x > 300 ? { dx: 0.3 * i } : {}));
    return { grid, camera: fit(grid) };
  });
  expect(unsteadyCells(short, width, height).every((cell) => cell === 0)).toBe(true);
  const still: CameraFit = { dx: 0, dy: 0, turn: 0, scale: 1, covariance: new Float64Array(16) };
  const all = Array.from({ length: 24 }, (_, i) => ({
    grid: gridOf(random, () => ({ dx: 0.1 * i })),
    camera: still,
  }));
  expect(unsteadyCells(all, width, height).every((cell) => cell === 0)).toBe(true);
});

// Light

test("a lamp that drops on one side shows in the light's shape, an exposure that flickers does not", () => {
  const even = new LightPath(width, height).take(
    gridOf(createRandom(13), () => ({}), { gainStops: () => -0.08927 }),
    nowhere,
  )!;
  expect(even.stops).toBeCloseTo(-0.08927, 4);
  expect(Math.max(...even.shape.map(Math.abs))).toBeLessThan(1e-4);
  const lamp = (x: number): number => -0.1 * Math.max(0, 1 - x / width);
  const uneven = new LightPath(width, height).take(
    gridOf(createRandom(14), () => ({}), { gainStops: lamp }),
    nowhere,
  )!;
  expect(uneven.shape).toHaveLength(12);
  expect(Math.max(...uneven.shape) - Math.min(...uneven.shape)).toBeGreaterThan(0.06);
  expect(uneven.shape[0]).toBeLessThan(0);
  expect(uneven.shape[3]).toBeGreaterThan(0);
  expect(uneven.stops).toBeCloseTo(-0.05, 2);
  expect(uneven.shape.reduce((sum, value) => sum + value, 0)).toBeCloseTo(0, 10);
});

test("with too few cells the light can't be told", () => {
  const bare = gridOf(createRandom(15), () => ({}), { valid: (x) => (x < 40 ? 1 : 0) });
  expect(new LightPath(width, height).take(bare, nowhere)).toBeNull();
});

test("a deep shadow that comes in from the left is no lamp, a lamp that drops meanwhile is", () => {
  const path = new LightPath(width, height);
  const lights = Array.from({ length: 12 }, (_, frame) => {
    const edge = -60 + ((width + 120) * frame) / 11;
    const gain = (x: number): number =>
      (frame === 7 ? -0.05 : 0) - 0.7 * Math.min(1, Math.max(0, 0.5 + (edge - x) / 60));
    return path.take(
      gridOf(createRandom(16, frame), () => ({}), { gainStops: gain }),
      nowhere,
    )!.stops;
  });
  const middle = lights.filter((_, frame) => frame > 0 && frame < 11 && frame !== 7);
  expect(Math.max(...middle.map(Math.abs))).toBeLessThan(0.01);
  expect(lights[7]).toBeCloseTo(-0.05, 2);
});

// Camera taken out of a hold

const covarianceOf = (sigma: number): Covariance => [sigma ** 2, 0, 0, sigma ** 2, 0, (sigma / 40) ** 2];

const measured = (
  frame: number,
  dx: number,
  dy: number,
  turn = 0,
  sigma = 0.01,
): [ReturnType<typeof frameNumber>, PartMeasurement] => [
  frameNumber(frame),
  {
    part: "arm-left",
    anchor: frameNumber(1),
    dx: analysisPx(dx),
    dy: analysisPx(dy),
    turn: radians(turn),
    covariance: covarianceOf(sigma),
    state: "ok",
    reason: "",
    leftOver: analysisPx(0.02),
  },
];

test("a part that only went along with the camera has not moved, and keeps its raw motion", () => {
  const motion: Motion = { dx: 0.5, dy: -0.3, turn: 0.002, pivot: centre };
  const random = createRandom(16);
  const place: Point = [120, 250];
  const cameras = new Map([
    [frameNumber(1), fit(gridOf(random, () => ({}), { sigma: 0 }))],
    [frameNumber(2), fit(gridOf(random, () => motion, { sigma: 0 }))],
    [frameNumber(3), null],
  ]);
  const [dx, dy] = displacementBy(motion, place);
  const parts = new Map([measured(2, dx, dy, 0.002), measured(3, dx, dy, 0.002)]);
  const [out, untold] = cameraOut(
    parts,
    framesFrom(1, 3),
    frameNumber(1),
    place,
    cameras,
    width,
    height,
    framesFrom(1, 4),
  );
  expect(Math.hypot(out.dx, out.dy)).toBeLessThan(2e-3);
  expect(Math.abs(out.turn)).toBeLessThan(1e-5);
  expect([out.rawDx, out.rawDy]).toEqual([dx, dy]);
  expect(out.state).toBe("ok");
  expect(untold).toMatchObject({ state: "lost", dx: Number.NaN, rawDx: dx });
  expect(untold.reason).toContain("camera can't be told");
});

test("the noise of the template's own frames comes off each row's figure, the camera's goes on", () => {
  const random = createRandom(17);
  const sharp = fit(gridOf(random, () => ({}), { sigma: 0 }))!;
  const rows = (frames: number, camera: CameraFit): HeldRow[] =>
    cameraOut(
      new Map([measured(2, 0, 0)]),
      framesFrom(1, 2),
      frameNumber(1),
      centre,
      new Map([
        [frameNumber(1), camera],
        [frameNumber(2), camera],
      ]),
      width,
      height,
      // Frame 2 is none of them.
      [frameNumber(1), ...framesFrom(3, frames + 1)],
    );
  expect(rows(1, sharp)[0].covariance[0]).toBeCloseTo(0.5e-4, 6);
  expect(rows(4, sharp)[0].covariance[0]).toBeCloseTo(0.8e-4, 6);
  const blunt = fit(gridOf(random, () => ({}), { sigma: 0.1 }))!;
  expect(rows(4, blunt)[0].covariance[0]).toBeCloseTo(0.8e-4 + blunt.covariance[0], 6);
});

// A hold's own scatter

const rowsOf = (random: Random, count: number, truth: number, path: (frame: number) => number = () => 0): HeldRow[] =>
  Array.from({ length: count }, (_, i) => ({
    frame: frameNumber(i + 2),
    dx: path(i + 2) + truth * 0.01 * random.normal(),
    dy: path(i + 2) + truth * 0.01 * random.normal(),
    turn: 0,
    rawDx: 0,
    rawDy: 0,
    covariance: covarianceOf(0.01),
    leftOver: 0,
    state: "ok",
    reason: "",
  }));

const typicalInflation = (count: number, truth: number, path?: (frame: number) => number): number => {
  const random = createRandom(18, count);
  const found = Array.from({ length: 40 }, () => temporalInflation(rowsOf(random, count, truth, path)));
  return found.toSorted((a, b) => a - b)[20];
};

// What is observed counts by its degrees of freedom: 76 differences in 40 frames are worth 14.4, the pictures 8. So of the
// variance's excess a long hold gets 64 %, and one of five frames (6 differences, 1.1 degrees) 12 %.
test("where sigmas are right a hold is left as it is; where they are half of the truth most of that is told", () => {
  expect(typicalInflation(40, 1)).toBeGreaterThan(0.85);
  expect(typicalInflation(40, 1)).toBeLessThan(1.25);
  expect(typicalInflation(40, 2)).toBeGreaterThan(1 + 0.8 * 0.64 * 3);
  expect(typicalInflation(40, 2)).toBeLessThan(1 + 1.25 * 0.64 * 3);
});

test("a hold that is calmer than its sigmas say lowers them, but never below what the pictures are worth", () => {
  expect(typicalInflation(40, 0.3)).toBeLessThan(0.5);
  expect(temporalInflation(rowsOf(createRandom(19), 40, 0))).toBeCloseTo(8 / (8 + 0.19 * 76), 6);
});

test("neither a drift nor a knock nor a pop makes a hold look noisy", () => {
  const plain = typicalInflation(24, 1);
  for (const path of [
    (frame: number) => 0.2 * frame,
    (frame: number) => (frame < 12 ? 0 : 5),
    (frame: number) => (frame === 12 ? 5 : 0),
  ])
    expect(typicalInflation(24, 1, path)).toBeLessThan(plain + 0.6);
});

test("a short hold says little about its sigmas, two frames nothing; frames without a number are passed over", () => {
  const excess = (count: number): number => typicalInflation(count, 6) - 1;
  expect(excess(5)).toBeLessThan(0.25 * 35);
  expect(excess(5)).toBeLessThan(excess(40) / 3);
  expect(temporalInflation(rowsOf(createRandom(20), 2, 6))).toBe(1);
  const rows = rowsOf(createRandom(21), 40, 2).map((row, i) =>
    i % 9 === 4 ? { ...row, dx: Number.NaN, dy: Number.NaN } : row,
  );
  expect(temporalInflation(rows)).toBeGreaterThan(2);
  expect(temporalInflation([])).toBe(1);
});

// What rides on a carrier

/** Rows of a body that is carried by an exact rigid motion, seen at its centroid, since its anchor frame. */
function carriedRows(
  centroid: Point,
  path: (frame: number) => Motion,
  frames: readonly number[],
  sigma = 0.01,
): HeldRow[] {
  return frames.map((frame) => {
    const motion = path(frame);
    const [dx, dy] = displacementBy(motion, centroid);
    return {
      frame: frameNumber(frame),
      dx,
      dy,
      turn: motion.turn ?? 0,
      rawDx: dx,
      rawDy: dy,
      covariance: covarianceOf(sigma),
      leftOver: 0,
      state: "ok",
      reason: "",
    };
  });
}

const carrierOf = (centroid: Point, rows: readonly HeldRow[]): CarrierHold => ({
  centroid,
  anchor: frameNumber(1),
  rows: new Map(rows.map((row) => [row.frame, row] as const)),
});

test("what is carried exactly has not moved against its carrier, however far out it rides", () => {
  // Two pixels of sag at 100 px, and five and a half at the rider.
  const path = (frame: number): Motion => ({ turn: 0.002 * (frame - 1), pivot: [100, 100] });
  const frames = [2, 6, 11];
  const [upper, hand]: Point[] = [
    [150, 110],
    [370, 130],
  ];
  const rows = carrierOut(
    carriedRows(hand, path, frames),
    frameNumber(1),
    hand,
    carrierOf(upper, carriedRows(upper, path, frames)),
  );
  for (const row of rows) {
    expect(Math.hypot(row.dx, row.dy)).toBeLessThan(1e-3);
    expect(Math.abs(row.turn)).toBeLessThan(1e-12);
    expect(row.state).toBe("ok");
  }
});

test("a rider whose hold begins later is told against what its carrier did since then", () => {
  const path = (frame: number): Motion => ({ dx: 0.1 * (frame - 1), turn: 0.001 * (frame - 1), pivot: [100, 100] });
  const frames = [2, 3, 4, 5, 6, 7, 8];
  const upper: Point = [150, 110];
  const carrier = carrierOf(upper, carriedRows(upper, path, frames));
  // The hand's anchor is frame 5: its centroid is where the motion has brought it by then.
  const at5 = ((p: Point): Point => [p[0] + displacementBy(path(5), p)[0], p[1] + displacementBy(path(5), p)[1]])([
    300, 120,
  ]);
  const since5 = carriedRows([300, 120], path, [6, 7, 8]).map((row) => {
    const [dx, dy] = displacementBy(path(5), [300, 120]);
    return { ...row, dx: row.dx - dx, dy: row.dy - dy, turn: row.turn - 0.004 };
  });
  for (const row of carrierOut(since5, frameNumber(5), at5, carrier)) {
    expect(Math.hypot(row.dx, row.dy)).toBeLessThan(2e-3);
    expect(Math.abs(row.turn)).toBeLessThan(1e-12);
  }
});

test("a rider's own motion stays, with the sign that it has", () => {
  const path = (frame: number): Motion => ({ dy: 0.2 * (frame - 1) });
  const frames = [2, 3, 4];
  const own = carriedRows([200, 100], path, frames).map((row) => ({ ...row, dx: row.dx + 0.3, dy: row.dy - 0.1 }));
  for (const row of carrierOut(
    own,
    frameNumber(1),
    [200, 100],
    carrierOf([100, 100], carriedRows([100, 100], path, frames)),
  )) {
    expect(row.dx).toBeCloseTo(0.3, 12);
    expect(row.dy).toBeCloseTo(-0.1, 12);
  }
});

test("the carrier's error of turn times the lever arm is in the rider's sigma", () => {
  const still = (): Motion => ({});
  const carrier = carrierOf([100, 100], carriedRows([100, 100], still, [2], 0.02));
  const [row] = carrierOut(carriedRows([300, 100], still, [2], 0.01), frameNumber(1), [300, 100], carrier);
  const turn = 0.02 / 40;
  expect(row.covariance[0]).toBeCloseTo(0.01 ** 2 + 0.02 ** 2, 10);
  expect(row.covariance[3]).toBeCloseTo(0.01 ** 2 + 0.02 ** 2 + (200 * turn) ** 2, 10);
  expect(row.covariance[5]).toBeCloseTo((0.01 / 40) ** 2 + turn ** 2, 12);
  expect(row.covariance[4]).toBeCloseTo(200 * turn ** 2, 10);
});

test("where the carrier has no number what rides has none either, and says why", () => {
  const still = (): Motion => ({});
  const gone = carriedRows([100, 100], still, [2]).map((row) => ({ ...row, dx: Number.NaN }));
  const own = carriedRows([200, 100], still, [2, 3]);
  for (const row of carrierOut(own, frameNumber(1), [200, 100], carrierOf([100, 100], gone))) {
    expect(row).toMatchObject({ dx: Number.NaN, state: "lost" });
    expect(row.reason).toContain("carrier");
  }
});

// Covariances

test("the worst sigma is that of the direction told worst", () => {
  expect(worstSigma([0.04, 0, 0, 0.01, 0, 1])).toBeCloseTo(0.2, 12);
  expect(worstSigma([0.01, 0.01, 0, 0.01, 0, 1])).toBeCloseTo(Math.sqrt(0.02), 12);
});

test("brought to the original frame a covariance is stretched, and the turn's stays", () => {
  expect(stretched([1, 2, 3, 4, 5, 6], 2, 3)).toEqual([4, 12, 6, 36, 15, 6]);
});
