import { loadOpenCV, type OpenCV } from "@opencvjs/web";
import { fitSimilarity, similarityAt } from "../../../src/measure/similarity.ts";
import type { RenderedFrame } from "../../support/render.ts";
import type { Point } from "../../support/similarity.ts";

// What opencv.js makes of the same frames: masked ECC (Evangelidis & Psarakis 2008), and points by pyramidal
// Lucas-Kanade (Bouguet 2001) with a robust similarity through them. Both see the first frame and the current one.

/** Room that the part gets, px. */
const MARGIN = 24;

/** `truth` is where ECC may start: from the nearest whole px of it, which Holdfast has to find by itself. */
type Asked = [first: RenderedFrame, now: RenderedFrame, outline: readonly Point[], centroid: Point, truth: Point];

export interface Rival {
  /** True once OpenCV has thrown: what it says after that is not to be trusted, so nobody should ask again. */
  spent(): boolean;
  /** Displacement of the centroid, px; null where OpenCV gives up. */
  ecc(...asked: Asked): [number, number] | null;
  points(...asked: Asked): [number, number] | null;
}

export async function openRival(): Promise<Rival> {
  const cv = await loadOpenCV();

  /** The part's surroundings in both frames, and its mask; all are freed afterwards. */
  function within<T>(
    frames: readonly RenderedFrame[],
    outline: readonly Point[],
    act: (pictures: readonly OpenCV.Mat[], mask: OpenCV.Mat, left: number, top: number) => T,
  ): T {
    const { width, height } = frames[0];
    const xs = outline.map((point) => point[0]);
    const ys = outline.map((point) => point[1]);
    const left = Math.max(0, Math.floor(Math.min(...xs)) - MARGIN);
    const top = Math.max(0, Math.floor(Math.min(...ys)) - MARGIN);
    const right = Math.min(width, Math.ceil(Math.max(...xs)) + MARGIN);
    const bottom = Math.min(height, Math.ceil(Math.max(...ys)) + MARGIN);
    const mats: OpenCV.Mat[] = [];
    const own = (mat: OpenCV.Mat): OpenCV.Mat => {
      mats.push(mat);
      return mat;
    };
    try {
      const region = new cv.Rect(left, top, right - left, bottom - top);
      const pictures = frames.map((frame) => {
        const whole = own(new cv.Mat(height, width, cv.CV_8UC1));
        whole.data.set(frame.pixels);
        const piece = own(whole.roi(region));
        return own(piece.clone());
      });
      const mask = own(cv.Mat.zeros(region.height, region.width, cv.CV_8UC1) as unknown as OpenCV.Mat);
      const corners = outline.flatMap(([x, y]) => [Math.round(x - left), Math.round(y - top)]);
      const polygon = own(cv.matFromArray(outline.length, 1, cv.CV_32SC2, corners));
      cv.fillConvexPoly(mask, polygon, new cv.Scalar(255));
      return act(pictures, mask, left, top);
    } finally {
      for (const mat of mats) mat.delete();
    }
  }

  let isSpent = false;
  /** What OpenCV finds, or null where it throws: a bare number, or an error of WebAssembly. */
  const unlessThrown = (find: () => [number, number] | null): [number, number] | null => {
    if (isSpent) return null;
    try {
      return find();
    } catch {
      isSpent = true;
      return null;
    }
  };

  return {
    spent: () => isSpent,

    ecc: (first, now, outline, centroid, truth) =>
      unlessThrown(() =>
        within([first, now], outline, (pictures, mask, left, top) => {
          const warp = cv.Mat.eye(2, 3, cv.CV_32F) as unknown as OpenCV.Mat;
          const criteria = new cv.TermCriteria(cv.TermCriteria_COUNT + cv.TermCriteria_EPS, 50, 1e-6);
          warp.data32F[2] = Math.round(truth[0]);
          warp.data32F[5] = Math.round(truth[1]);
          try {
            cv.findTransformECC(pictures[0], pictures[1], warp, cv.MOTION_EUCLIDEAN, criteria, mask, 5);
            const w = warp.data32F;
            const [u, v] = [centroid[0] - 0.5 - left, centroid[1] - 0.5 - top];
            return [w[0] * u + w[1] * v + w[2] - u, w[3] * u + w[4] * v + w[5] - v];
          } finally {
            warp.delete();
          }
        }),
      ),

    points: (first, now, outline, centroid) =>
      unlessThrown(() =>
        within([first, now], outline, (pictures, mask, left, top) => {
          const [from, to, status, error] = Array.from({ length: 4 }, () => new cv.Mat());
          try {
            cv.goodFeaturesToTrack(pictures[0], from, 600, 0.01, 5, mask, 5);
            if (from.rows < 4) return null;
            const criteria = new cv.TermCriteria(cv.TermCriteria_COUNT + cv.TermCriteria_EPS, 30, 1e-3);
            cv.calcOpticalFlowPyrLK(
              pictures[0],
              pictures[1],
              from,
              to,
              status,
              error,
              new cv.Size(21, 21),
              3,
              criteria,
            );
            const x: number[] = [];
            const y: number[] = [];
            const dx: number[] = [];
            const dy: number[] = [];
            for (let i = 0; i < from.rows; i++) {
              if (status.data[i] !== 1) continue;
              x.push(from.data32F[2 * i]);
              y.push(from.data32F[2 * i + 1]);
              dx.push(to.data32F[2 * i] - from.data32F[2 * i]);
              dy.push(to.data32F[2 * i + 1] - from.data32F[2 * i + 1]);
            }
            const even = x.map(() => 0.05 ** 2);
            const [u, v] = [centroid[0] - 0.5 - left, centroid[1] - 0.5 - top];
            const fit = fitSimilarity(x, y, dx, dy, even, even, u, v, null, 1e-3);
            return fit === null ? null : similarityAt(fit, u, v, u, v);
          } finally {
            for (const mat of [from, to, status, error]) mat.delete();
          }
        }),
      ),
  };
}
