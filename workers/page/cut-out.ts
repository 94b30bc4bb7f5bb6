import type { OpenCV } from "@opencvjs/web";
import type { ColourPicture, Ring } from "../../src/protocol/pictures.ts";

// The edge of what lies within a rough loop, by OpenCV's grabCut (Rother, Kolmogorov and Blake 2004): colours inside
// and outside the loop are told apart, and the edge runs where the picture changes. It proposes; a person decides.

const ROUNDS = 6;
/** Smallest piece that is a part, as a share of the loop; and smallest hole, as a share of the piece. */
const LEAST_PIECE = 0.04;
const LEAST_HOLE = 0.02;
/** How much an outline may be simplified, px of the picture. */
const TOLERANCE = 0.9;

const ringOf = (contour: OpenCV.Mat): [number, number][] => {
  const { data32S } = contour;
  // Corners are told as pixels; a pixel's centre lies half a px further.
  return Array.from({ length: data32S.length / 2 }, (_, i) => [data32S[2 * i] + 0.5, data32S[2 * i + 1] + 0.5]);
};

/** The largest piece that stands out within the loop, and the holes in it; null where none does. */
export function cutOut(
  cv: typeof OpenCV,
  { width, height, data }: ColourPicture,
  loop: Ring,
): { readonly outline: Ring; readonly holes: readonly Ring[] } | null {
  const freed: { delete(): void }[] = [];
  const kept = <T extends { delete(): void }>(thing: T): T => {
    freed.push(thing);
    return thing;
  };
  try {
    const rgba = kept(new cv.Mat(height, width, cv.CV_8UC4));
    rgba.data.set(data);
    const colours = kept(new cv.Mat());
    cv.cvtColor(rgba, colours, cv.COLOR_RGBA2RGB);
    const inside = kept(new cv.Mat(height, width, cv.CV_8UC1, new cv.Scalar(0)));
    const corners = kept(
      cv.matFromArray(
        loop.length,
        1,
        cv.CV_32SC2,
        loop.flatMap(([x, y]) => [Math.round(x), Math.round(y)]),
      ),
    );
    const rings = kept(new cv.MatVector());
    rings.push_back(corners);
    cv.fillPoly(inside, rings, new cv.Scalar(255));
    const mask = kept(new cv.Mat(height, width, cv.CV_8UC1, new cv.Scalar(cv.GC_BGD)));
    let loopArea = 0;
    for (let i = 0; i < inside.data.length; i++) {
      if (inside.data[i] === 0) continue;
      loopArea += 1;
      mask.data[i] = cv.GC_PR_FGD;
    }
    if (loopArea === 0 || loopArea === inside.data.length) return null;
    const ground = kept(new cv.Mat());
    const figure = kept(new cv.Mat());
    cv.grabCut(colours, mask, new cv.Rect(0, 0, width, height), ground, figure, ROUNDS, cv.GC_INIT_WITH_MASK);
    const cut = kept(new cv.Mat(height, width, cv.CV_8UC1));
    for (let i = 0; i < cut.data.length; i++)
      cut.data[i] = mask.data[i] === cv.GC_FGD || mask.data[i] === cv.GC_PR_FGD ? 255 : 0;
    const round = kept(cv.getStructuringElement(cv.MORPH_ELLIPSE, new cv.Size(5, 5)));
    const closed = kept(new cv.Mat());
    cv.morphologyEx(cut, closed, cv.MORPH_OPEN, round);
    const smooth = kept(new cv.Mat());
    cv.morphologyEx(closed, smooth, cv.MORPH_CLOSE, round);
    const contours = kept(new cv.MatVector());
    const tree = kept(new cv.Mat());
    cv.findContours(smooth, contours, tree, cv.RETR_CCOMP, cv.CHAIN_APPROX_NONE);
    const pieces: { readonly index: number; readonly area: number; readonly parent: number }[] = [];
    for (let index = 0; index < contours.size(); index++) {
      const contour = kept(contours.get(index));
      // Next, previous, first child and parent of each contour; a hole has a parent.
      pieces.push({ index, area: cv.contourArea(contour), parent: tree.data32S[4 * index + 3] });
    }
    const largest = pieces.filter(({ parent }) => parent < 0).toSorted((a, b) => b.area - a.area)[0];
    if (largest === undefined || largest.area < LEAST_PIECE * loopArea) return null;
    const simplified = (index: number): Ring => {
      const out = kept(new cv.Mat());
      cv.approxPolyDP(kept(contours.get(index)), out, TOLERANCE, true);
      return ringOf(out);
    };
    const outline = simplified(largest.index);
    if (outline.length < 3) return null;
    return {
      outline,
      holes: pieces
        .filter(({ parent, area }) => parent === largest.index && area > LEAST_HOLE * largest.area)
        .map(({ index }) => simplified(index))
        .filter((ring) => ring.length >= 3),
    };
  } finally {
    for (const thing of freed) thing.delete();
  }
}
