import type { Report } from "../model/index.ts";
import type { FrameNumber } from "../units/index.ts";
import { counted, frameList, measured } from "./words.ts";

// Two passes of one camera move, frame by frame.

/** Sigmas of a two-dimensional deviation that are exceeded by chance once in 40,000 frames (Rayleigh's law). */
const REAL_SIGMAS = 4.6;
/** px, where the report names no band of its own. */
const BAND = 0.1;

export interface CameraDeviation {
  readonly frame: FrameNumber;
  /** This pass minus the other, at the frame's centre, px; zero at the first frame that both have. */
  readonly dx: number;
  readonly dy: number;
  readonly px: number;
  readonly sigma: number;
  /** Significant and beyond the band. */
  readonly real: boolean;
}

export interface CameraComparison {
  readonly deviations: readonly CameraDeviation[];
  /** Why nothing can be compared; empty where it can. */
  readonly reason: string;
}

type Frame = Report["frames"][number];
type Known = Frame & { readonly camera: NonNullable<Frame["camera"]> };
const isKnown = (row: Frame): row is Known => row.camera !== null;

/** How far the camera of one pass was from that of another in each frame that both have. */
export function compareCameras(report: Report, other: Report): CameraComparison {
  const nothing = (reason: string): CameraComparison => ({ deviations: [], reason });
  const [a, b] = [report.shot, other.shot];
  if (a.width !== b.width || a.height !== b.height)
    return nothing(`its frames are ${b.width} x ${b.height}, these ${a.width} x ${a.height}`);
  const others = new Map(other.frames.filter(isKnown).map((row) => [row.frame, row.camera] as const));
  const pairs = report.frames.filter(isKnown).flatMap(({ frame, camera }) => {
    const there = others.get(frame);
    return there === undefined
      ? []
      : [
          {
            frame,
            dx: camera.dx - there.dx,
            dy: camera.dy - there.dy,
            sigma: Math.hypot(camera.sigma, there.sigma),
          },
        ];
  });
  if (pairs.length < 2) return nothing("fewer than two frames have a known camera in both");
  const [zero, ...rest] = pairs;
  const band = report.made.bands["camera-shift"] ?? BAND;
  const deviations = rest.map(({ frame, dx, dy, sigma: own }) => {
    const [x, y] = [dx - zero.dx, dy - zero.dy];
    const px = Math.hypot(x, y);
    const sigma = Math.hypot(own, zero.sigma);
    return { frame, dx: x, dy: y, px, sigma, real: px > REAL_SIGMAS * sigma && px > band };
  });
  return { deviations, reason: "" };
}

/** The comparison in one plain line. */
export function comparisonLine({ deviations, reason }: CameraComparison, name: string): string {
  if (reason !== "") return `The camera can't be compared with ${name}: ${reason}.`;
  const frames = counted(deviations.length + 1, "frame");
  const largest = deviations.reduce((most, one) => (one.px > most.px ? one : most));
  const real = deviations.filter((one) => one.real);
  if (real.length === 0)
    return `The camera went the same way as in ${name} in ${frames}: ${measured(largest.px, largest.sigma, "px")} apart at most, at frame ${largest.frame}.`;
  const where = frameList(
    real.map(({ frame }) => frame),
    deviations.map(({ frame }) => frame),
  );
  return `The camera was elsewhere than in ${name} in ${where}: ${measured(largest.px, largest.sigma, "px")} apart at most, at frame ${largest.frame}.`;
}
