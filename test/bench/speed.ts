// What measuring costs beside opencv.js, on one core, as ratios of the processor time in one run: the two take turns, and
// the median of the turns counts. Frames are 1920 x 1080, rendered, noise 1.
//
//   npm run bench -- speed

import { loadOpenCV, type OpenCV } from "@opencvjs/web";
import { reduceToLuma } from "../../src/decode/reduce.ts";
import { gridReference, measureGrid, measurePair } from "../../src/measure/grid.ts";
import { bestTemplate } from "../../src/measure/choose-prefilter.ts";
import { PartRegistrar } from "../../src/measure/part-register.ts";
import type { Plane } from "../../src/measure/plane.ts";
import { PREFILTER_SIGMA, prepareFrame, releaseFrame, withGradient } from "../../src/measure/prepared.ts";
import { SubsetSolver } from "../../src/measure/subset.ts";
import { heapWorkspace, KernelWorkspace, type Workspace } from "../../src/measure/workspace.ts";
import { openWorkspace } from "../../workers/kernels.ts";
import { createRandom } from "../support/random.ts";
import { createRenderer, lumaPlane } from "../support/render.ts";
import { roundedBox, type Scene } from "../support/scene.ts";
import { surfaceOf } from "../support/shot.ts";
import { centroidOf } from "../support/truth.ts";

const WIDTH = 1920;
const HEIGHT = 1080;
const SIDE = 200;
const CENTRE = [960.3, 540.8] as const;
const MOTION = { dx: 0.37, dy: -0.21 };
const CAMERA = { dx: 0.11, dy: 0.07 };
/** Room that ECC gets round the part, px. */
const MARGIN = 20;
const ROUNDS = 9;

const outline = roundedBox(CENTRE, SIDE, SIDE);
const scene: Scene = {
  name: "hive_010",
  width: WIDTH,
  height: HEIGHT,
  fps: 24,
  seed: 7,
  background: surfaceOf("plaster", 107, 0.2),
  layers: [{ id: "held", outline, ...surfaceOf("woven", 31, 0.3), motion: (frame) => (frame === 1 ? {} : MOTION) }],
  camera: (frame) => (frame === 1 ? {} : CAMERA),
  blur: 0.7,
  noise: { sigma8: 1, poissonShare: 0.7 },
  bits: 8,
  jpegQuality: null,
};

/** Processor time of one turn, ms; a short act is repeated until it can be told. */
function timed(act: () => void): number {
  const start = process.cpuUsage();
  let turns = 0;
  for (;;) {
    act();
    turns++;
    const { user, system } = process.cpuUsage(start);
    if (user + system > 10_000) return (user + system) / 1000 / turns;
  }
}

const median = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1];

interface Row {
  readonly what: string;
  readonly ours: () => void;
  readonly theirs: () => void;
  /** Largest ratio of ours to theirs that is aimed at; null: for information. */
  readonly aim: number | null;
  readonly rounds?: number;
}

function compare({ what, ours, theirs, aim, rounds = ROUNDS }: Row): void {
  // The compilers get their turns first.
  for (let i = 0; i < 3; i++) ours();
  theirs();
  const times = Array.from({ length: rounds }, () => [timed(ours), timed(theirs)] as const);
  const [mine, other] = [median(times.map((t) => t[0])), median(times.map((t) => t[1]))];
  const ratio = median(times.map((t) => t[0] / t[1]));
  const verdict = aim === null ? "" : `  aim ${aim.toFixed(3)}: ${ratio <= aim ? "reached" : "MISSED"}`;
  const cells = [mine.toFixed(2).padStart(9), other.toFixed(2).padStart(9), ratio.toFixed(3).padStart(8)];
  console.log(`${what.padEnd(64)}${cells.join("")}${verdict}`);
}

const cv = await loadOpenCV();
const kernels = await openWorkspace();
if (!(kernels instanceof KernelWorkspace)) throw new Error("WebAssembly has no SIMD here: there is nothing to time");

const renderer = createRenderer(scene);
const frames = [1, 2].map((frame) => renderer.frame(frame));
const planes = frames.map(lumaPlane);

const matOf = (data: ArrayLike<number>, rows: number, cols: number, type: number): OpenCV.Mat => {
  const mat = new cv.Mat(rows, cols, type);
  (type === cv.CV_32FC1 ? mat.data32F : mat.data).set(data);
  return mat;
};
const grey = frames.map((frame) => matOf(frame.pixels, HEIGHT, WIDTH, cv.CV_8UC1));

console.log(
  `${"median processor time, ms".padEnd(64)}${"Holdfast".padStart(9)}${"OpenCV".padStart(9)}${"ratio".padStart(8)}`,
);

// Preparing: even scale, Gaussian, half and quarter, spline coefficients and gradient, beside what of it OpenCV has.
function prepare(light: Plane, workspace: Workspace): void {
  // The light stays, it is prepared again.
  releaseFrame({ ...withGradient(prepareFrame(light, PREFILTER_SIGMA, workspace)), linear: planes[0] });
}
const light = kernels.adopt(planes[0]);
const level = matOf(planes[0].data, HEIGHT, WIDTH, cv.CV_32FC1);
const [blurred, half, quarter, slopeX, slopeY] = Array.from({ length: 5 }, () => new cv.Mat());
const radius = Math.ceil(4 * PREFILTER_SIGMA);
function prepareByOpenCV(source: OpenCV.Mat): void {
  const kernel = new cv.Size(2 * radius + 1, 2 * radius + 1);
  cv.GaussianBlur(source, blurred, kernel, PREFILTER_SIGMA, PREFILTER_SIGMA, cv.BORDER_REPLICATE);
  cv.resize(blurred, half, new cv.Size(WIDTH / 2, HEIGHT / 2), 0, 0, cv.INTER_AREA);
  cv.resize(half, quarter, new cv.Size(WIDTH / 4, HEIGHT / 4), 0, 0, cv.INTER_AREA);
  cv.Sobel(blurred, slopeX, cv.CV_32F, 1, 0, 3);
  cv.Sobel(blurred, slopeY, cv.CV_32F, 0, 1, 3);
}
compare({
  what: "a frame prepared; blur, area reduction to half and quarter, Sobel",
  ours: () => prepare(light, kernels),
  theirs: () => prepareByOpenCV(level),
  aim: 0.5,
});
compare({
  what: "the same by the TypeScript twins",
  ours: () => prepare(planes[0], heapWorkspace),
  theirs: () => prepareByOpenCV(level),
  aim: null,
  rounds: 3,
});

// From the decoded picture on: OpenCV's average is of encoded values, ours of linear light.
const random = createRandom(3);
const decoded = Uint8Array.from({ length: 4 * WIDTH * HEIGHT * 3 }, () => random.integer(256));
const large = matOf(decoded, 2 * HEIGHT, 2 * WIDTH, cv.CV_8UC3);
const [reduced, single, floats] = Array.from({ length: 3 }, () => new cv.Mat());
compare({
  what: "the same from 3840 x 2160 RGB, reduced by area first",
  ours: () => {
    const pixels = { width: 2 * WIDTH, height: 2 * HEIGHT, channels: 3, bits: 8, data: decoded } as const;
    const light = reduceToLuma(pixels, WIDTH, kernels.plane(WIDTH, HEIGHT));
    releaseFrame(withGradient(prepareFrame(light, PREFILTER_SIGMA, kernels)));
  },
  theirs: () => {
    cv.resize(large, reduced, new cv.Size(WIDTH, HEIGHT), 0, 0, cv.INTER_AREA);
    cv.cvtColor(reduced, single, cv.COLOR_RGB2GRAY);
    single.convertTo(floats, cv.CV_32F);
    prepareByOpenCV(floats);
  },
  aim: null,
});
for (const mat of [level, blurred, half, quarter, slopeX, slopeY, large, reduced, single, floats]) mat.delete();

// A held part: its motion in the second frame.
const centroid: [number, number] = [...centroidOf(outline)];
const registrar = new PartRegistrar();
const prepared = [kernels, heapWorkspace].map((workspace) =>
  planes.map((plane) => prepareFrame(plane, PREFILTER_SIGMA, workspace)),
);
const chosen = prepared.map(([anchor]) => bestTemplate(anchor, [], outline, [], centroid, 1)!);
const found = registrar.register(chosen[0], prepared[0][1]);

const x0 = Math.round(CENTRE[0] - SIDE / 2 - MARGIN);
const y0 = Math.round(CENTRE[1] - SIDE / 2 - MARGIN);
const region = new cv.Rect(x0, y0, SIDE + 2 * MARGIN, SIDE + 2 * MARGIN);
const pieces = grey.map((mat) => mat.roi(region).clone());
const mask = cv.Mat.zeros(region.height, region.width, cv.CV_8UC1) as unknown as OpenCV.Mat;
const points = cv.matFromArray(
  outline.length,
  1,
  cv.CV_32SC2,
  outline.flatMap(([x, y]) => [Math.round(x - x0), Math.round(y - y0)]),
);
cv.fillConvexPoly(mask, points, new cv.Scalar(255));
let ecc: number[] = [];
function registerByOpenCV(iterations: number, epsilon: number): void {
  const warp = cv.Mat.eye(2, 3, cv.CV_32F) as unknown as OpenCV.Mat;
  const criteria = new cv.TermCriteria(cv.TermCriteria_COUNT + cv.TermCriteria_EPS, iterations, epsilon);
  try {
    cv.findTransformECC(pieces[0], pieces[1], warp, cv.MOTION_EUCLIDEAN, criteria, mask, 5);
    ecc = [...warp.data32F];
  } finally {
    warp.delete();
  }
}
compare({
  what: "a held part of 200 px; masked ECC, 50 iterations or 1e-6",
  ours: () => registrar.register(chosen[0], prepared[0][1]),
  theirs: () => registerByOpenCV(50, 1e-6),
  aim: 1 / 15,
});
/** Where ECC's warp takes the part's centroid. */
const eccShift = (): [number, number] => {
  const [u, v] = [centroid[0] - 0.5 - x0, centroid[1] - 0.5 - y0];
  return [ecc[0] * u + ecc[1] * v + ecc[2] - u, ecc[3] * u + ecc[4] * v + ecc[5] - v];
};
const long = eccShift();
compare({
  what: "the same; masked ECC, 50 iterations or 1e-3 (OpenCV's default)",
  ours: () => registrar.register(chosen[0], prepared[0][1]),
  theirs: () => registerByOpenCV(50, 1e-3),
  aim: null,
});
const short = eccShift();
compare({
  what: "the same by the TypeScript twins; masked ECC, 1e-6",
  ours: () => registrar.register(chosen[1], prepared[1][1]),
  theirs: () => registerByOpenCV(50, 1e-6),
  aim: null,
  rounds: 3,
});
for (const mat of [...pieces, mask, points]) mat.delete();

// The camera: the whole background grid against the shot's reference.
const solver = new SubsetSolver();
const references = prepared.map(([anchor]) => gridReference(withGradient(anchor), 32));
const flow = new cv.Mat();
const background = { layout: references[0].layout, result: measureGrid(references[0], prepared[0][1], solver) };
const farneback = (): void => cv.calcOpticalFlowFarneback(grey[0], grey[1], flow, 0.5, 4, 21, 3, 7, 1.5, 0);
compare({
  what: "the camera's grid, step 32; Farneback",
  ours: () => measureGrid(references[0], prepared[0][1], solver),
  theirs: farneback,
  aim: 0.2,
  rounds: 5,
});
compare({
  what: "a frame pair's grid, step 16, nothing animated; Farneback",
  ours: () => measurePair(gridReference(references[0].frame, 16), prepared[0][1], solver, background),
  theirs: farneback,
  aim: null,
  rounds: 3,
});
compare({
  what: "the camera's grid by the TypeScript twins; Farneback",
  ours: () => measureGrid(references[1], prepared[1][1], solver),
  theirs: farneback,
  aim: null,
  rounds: 3,
});
for (const mat of [flow, ...grey]) mat.delete();

const off = (x: number, y: number): string =>
  Math.hypot(x - MOTION.dx - CAMERA.dx, y - MOTION.dy - CAMERA.dy).toFixed(4);
console.log(
  `The part's shift is off by ${off(found.dx, found.dy)} px; ECC's by ${off(...long)} px, by ${off(...short)} px at 1e-3.`,
);
