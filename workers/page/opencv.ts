import { expose, transfer } from "comlink";
import { loadOpenCV, type OpenCV } from "@opencvjs/web";
import { cutOut } from "./cut-out.ts";
import type { FlowField, FlowWorker, LumaPicture } from "../../src/protocol/pictures.ts";

// OpenCV in a worker of its own. Its loader builds functions from text, which the page's policy forbids; this file
// alone is served without it. Nothing here measures: the field is a picture behind the measured arrows.

/** Farneback's parameters: pyramid, window wide enough for bare skin, polynomial of 7 px. */
const PYRAMID_SCALE = 0.5;
const LEVELS = 4;
const WINDOW = 21;
const ITERATIONS = 3;
const POLY_N = 7;
const POLY_SIGMA = 1.5;

function matOf(cv: typeof OpenCV, picture: LumaPicture): OpenCV.Mat {
  const mat = new cv.Mat(picture.height, picture.width, cv.CV_8UC1);
  mat.data.set(picture.data);
  return mat;
}

const middle = (values: number[]): number => {
  values.sort((a, b) => a - b);
  return values[values.length >> 1];
};

/** The middle of the dense field in each cell, every second px: single wrong vectors don't show. */
function cellsOf(flow: Float32Array, width: number, height: number, step: number): FlowField {
  const cols = Math.floor(width / step);
  const rows = Math.floor(height / step);
  const dx = new Float32Array(cols * rows);
  const dy = new Float32Array(cols * rows);
  for (let row = 0; row < rows; row++) {
    for (let col = 0; col < cols; col++) {
      const xs: number[] = [];
      const ys: number[] = [];
      for (let y = row * step; y < (row + 1) * step; y += 2) {
        for (let x = col * step; x < (col + 1) * step; x += 2) {
          xs.push(flow[2 * (y * width + x)]);
          ys.push(flow[2 * (y * width + x) + 1]);
        }
      }
      dx[row * cols + col] = middle(xs);
      dy[row * cols + col] = middle(ys);
    }
  }
  return { cols, rows, step, dx, dy };
}

const gaveUp = (error: unknown) => ({
  ok: false as const,
  code: "internal" as const,
  // OpenCV throws bare numbers.
  detail: `OpenCV gave up: ${error instanceof Error ? error.message : String(error)}`,
});

const worker: FlowWorker = {
  async cutOut(picture, loop) {
    const cv = await loadOpenCV();
    try {
      const cut = cutOut(cv, picture, loop);
      return cut === null
        ? { ok: false, code: "nothing-to-check", detail: "Nothing in the loop stands out from what is around it." }
        : { ok: true, value: cut };
    } catch (error) {
      return gaveUp(error);
    }
  },

  async field(anchor, current, step) {
    if (anchor.width !== current.width || anchor.height !== current.height) {
      return { ok: false, code: "internal", detail: "The two frames have different sizes." };
    }
    const cv = await loadOpenCV();
    const mats: OpenCV.Mat[] = [];
    try {
      const before = matOf(cv, anchor);
      mats.push(before);
      const now = matOf(cv, current);
      mats.push(now);
      const flow = new cv.Mat();
      mats.push(flow);
      cv.calcOpticalFlowFarneback(before, now, flow, PYRAMID_SCALE, LEVELS, WINDOW, ITERATIONS, POLY_N, POLY_SIGMA, 0);
      const field = cellsOf(flow.data32F, anchor.width, anchor.height, step);
      return transfer({ ok: true, value: field }, [field.dx.buffer as ArrayBuffer, field.dy.buffer as ArrayBuffer]);
    } catch (error) {
      return gaveUp(error);
    } finally {
      for (const mat of mats) mat.delete();
    }
  },
};

expose(worker);
