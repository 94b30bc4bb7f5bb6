import { centroidOf } from "../../model/geometry.ts";
import { type CameraMotion, displacementOf, type Report, type ReportFrame } from "../../model/index.ts";
import type { CameraPair } from "../../protocol/pictures.ts";
import { session } from "../state/session.ts";
import type { Point } from "../strips/drift.ts";
import type { Strips } from "../strips/strips.ts";
import type { PartArrow } from "./paint.ts";

/**
 * The measured motion of every held part at a frame against its anchor, the camera taken out: of the same point as its
 * strip tells of, and beginning there.
 */
export function partArrowsAt(report: Report, strips: Strips, frame: number): readonly PartArrow[] {
  const index = strips.indexOf.get(frame) ?? -1;
  return report.tracks.flatMap((row) => {
    if (row.frame !== frame) return [];
    const strip = strips.strips.find((each) => each.id === row.part);
    if (!strip?.part || strip.at === null || strip.ground[index] === "moves") return [];
    const by = displacementOf(row, strip.at, centroidOf({ points: strip.part.outline, holes: [] }));
    if (by === null) return [];
    const drifts = strips.flags.some(
      (flag) => (flag.part === row.part || flag.carries.includes(row.part)) && flag.from <= frame && frame <= flag.to,
    );
    return [{ at: strip.at, by, drifts }];
  });
}

/** The camera of two frames of the shot, for a picture in which its motion is taken out; null where it isn't known of both. */
export function cameraFor(other: number | null, frame: number): CameraPair | null {
  const { report } = session.get();
  const cameraAt = (of: number | null) => report?.frames.find((each) => each.frame === of)?.camera ?? null;
  const [anchor, current] = [cameraAt(other), cameraAt(frame)];
  if (report === null || anchor === null || current === null) return null;
  return { anchor, current, width: report.shot.width, height: report.shot.height };
}

/** Where the camera moved a point of the still set between two frames, px; null where it isn't known of both. */
export function cameraBetween(
  report: Report,
  from: number | null,
  to: number,
): ((point: Point) => readonly [number, number]) | null {
  const cameraAt = (frame: number | null) =>
    report.frames.find((each: ReportFrame) => each.frame === frame)?.camera ?? null;
  const [before, after] = [cameraAt(from), cameraAt(to)];
  if (before === null || after === null) return null;
  const [cx, cy] = [report.shot.width / 2, report.shot.height / 2];
  const moved = ({ dx, dy, turn, scale }: CameraMotion, [x, y]: Point): Point => [
    dx + (scale * Math.cos(turn) - 1) * (x - cx) - scale * Math.sin(turn) * (y - cy),
    dy + scale * Math.sin(turn) * (x - cx) + (scale * Math.cos(turn) - 1) * (y - cy),
  ];
  return (point) => {
    const [a, b] = [moved(before, point), moved(after, point)];
    return [b[0] - a[0], b[1] - a[1]];
  };
}

const steps = [1, 2, 5, 10, 20, 50, 100, 200];

/** How many times arrows are drawn larger: so that the longest is about a twelfth of the frame's width. */
export function enlargementFor(arrows: readonly PartArrow[], frameWidth: number): number {
  const longest = Math.max(0.02, ...arrows.map(({ by }) => Math.hypot(by[0], by[1])));
  return steps.findLast((step) => step * longest <= frameWidth / 12) ?? 1;
}

const lengths = [0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50];
/** Longest bar of the scale on the screen, px. */
const LONGEST_BAR = 90;

/** The round length whose bar is well to be seen: px of the frame, where one of them is `onScreen` px long. */
export const scaleLength = (onScreen: number): number =>
  lengths.findLast((length) => length * onScreen <= LONGEST_BAR) ?? lengths[0]!;
