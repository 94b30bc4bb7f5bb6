import { similarityAt } from "../measure/similarity.ts";
import type { FrameNumber } from "../units/index.ts";
import { cameraStep } from "./camera.ts";
import { type Covariance, plus, worstSigma } from "./covariance.ts";
import type { HeldRow } from "./hold-rows.ts";
import type { Segment } from "./segments.ts";
import { centroidOf, type SegmentSeries, type SeriesSource } from "./segment-series.ts";
import type { AnalysedPart } from "./shot-tracker.ts";

/** Sigma above which a part is told weakly, px of the analysed frame. */
const WEAK_SIGMA = 0.15;
const ZERO: Covariance = [0, 0, 0, 0, 0, 0];
const NONE: Covariance = [Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN, Number.NaN];

/** What is animated, frame to frame: each row against the frame before; what rides, relative to its carrier. */
export function movingSeries(source: SeriesSource, segment: Segment, analysed: AnalysedPart): SegmentSeries {
  const { tracker, cameras, width, height } = source;
  const frames = tracker.numbers;
  const carrier = source.parts.find((other) => other.part.id === segment.part.carrier);
  const rows: (HeldRow & { anchor: FrameNumber })[] = [];
  for (const frame of segment.frames) {
    const at = frames.indexOf(frame);
    if (at <= 0) continue;
    const before = frames[at - 1];
    const motion = analysed.path.motions.get(frame);
    const from = cameras.get(before) ?? null;
    const to = cameras.get(frame) ?? null;
    const lost = (reason: string): void => {
      rows.push({
        frame,
        anchor: before,
        dx: Number.NaN,
        dy: Number.NaN,
        turn: Number.NaN,
        rawDx: Number.NaN,
        rawDy: Number.NaN,
        covariance: NONE,
        leftOver: Number.NaN,
        state: "lost",
        reason,
      });
    };
    if (motion === undefined) {
      lost(`not found again since frame ${before}: it moved too far, or is covered`);
      continue;
    }
    if (from === null || to === null) {
      lost("the camera can't be told from the set in this frame");
      continue;
    }
    let { dx, dy, turn } = motion;
    let covariance: Covariance = [motion.varX, motion.covXY, 0, motion.varY, 0, motion.varTurn];
    if (segment.intent === "rides" && carrier !== undefined) {
      const under = carrier.path.motions.get(frame);
      if (under === undefined) {
        lost("its carrier could not be measured in this frame");
        continue;
      }
      const [cx, cy] = similarityAt(under, under.x, under.y, motion.x, motion.y);
      dx -= cx;
      dy -= cy;
      turn -= under.turn;
      const u = motion.x - under.x;
      const v = motion.y - under.y;
      covariance = plus(covariance, [
        under.varX + v * v * under.varTurn,
        -u * v * under.varTurn,
        -v * under.varTurn,
        under.varY + u * u * under.varTurn,
        u * under.varTurn,
        under.varTurn,
      ]);
    } else {
      const step = cameraStep(from, to, motion.x, motion.y, width, height);
      dx -= step.dx;
      dy -= step.dy;
      turn -= step.turn;
      covariance = plus(covariance, [step.varX, 0, 0, step.varY, 0, step.varTurn]);
    }
    const weak = worstSigma(covariance) > WEAK_SIGMA;
    rows.push({
      frame,
      anchor: before,
      dx,
      dy,
      turn,
      rawDx: motion.dx,
      rawDy: motion.dy,
      covariance,
      leftOver: motion.leftOver,
      state: weak ? "weak" : "ok",
      reason: weak ? "too little texture, or too fast, to be told better" : "",
    });
  }
  const shape = analysed.path.shapeNear(segment.frames[0]);
  return {
    segment,
    anchor: segment.frames[0],
    shape,
    centroid: centroidOf(shape),
    templateFrames: [],
    anchorCovariance: ZERO,
    joints: [],
    rows,
  };
}

/** Rows that say that the sheet hides the part. */
export function hiddenSeries(segment: Segment, analysed: AnalysedPart): SegmentSeries {
  const shape = analysed.path.shapeNear(segment.frames[0]);
  return {
    segment,
    anchor: segment.frames[0],
    shape,
    centroid: centroidOf(shape),
    templateFrames: [],
    anchorCovariance: ZERO,
    joints: [],
    rows: segment.frames.slice(1).map((frame) => ({
      frame,
      anchor: segment.frames[0],
      dx: Number.NaN,
      dy: Number.NaN,
      turn: Number.NaN,
      rawDx: Number.NaN,
      rawDy: Number.NaN,
      covariance: NONE,
      leftOver: Number.NaN,
      state: "hidden" as const,
      reason: "hidden, as the sheet says",
    })),
  };
}
