import { centroidOf } from "../../model/geometry.ts";
import type { Report } from "../../model/index.ts";
import type { Strips } from "../strips/strips.ts";
import type { PartArrow } from "./paint.ts";

/** The measured motion of every part at a frame against its anchor, the camera's own motion left in, as in the picture. */
export function partArrowsAt(report: Report, strips: Strips, frame: number): readonly PartArrow[] {
  const index = strips.indexOf.get(frame) ?? -1;
  return report.tracks.flatMap((row) => {
    if (row.frame !== frame || row.rawDx === null || row.rawDy === null) return [];
    const strip = strips.strips.find((each) => each.id === row.part);
    const part = report.parts.find((each) => each.id === row.part);
    if (!part || strip?.ground[index] === "moves") return [];
    const drifts = strips.flags.some(
      (flag) => (flag.part === row.part || flag.carries.includes(row.part)) && flag.from <= frame && frame <= flag.to,
    );
    return [{ at: centroidOf({ points: part.outline, holes: [] }), by: [row.rawDx, row.rawDy] as const, drifts }];
  });
}

const steps = [1, 2, 5, 10, 20, 50, 100, 200];

/** How many times arrows are drawn larger: so that the longest is about a twelfth of the frame's width. */
export function enlargementFor(arrows: readonly PartArrow[], frameWidth: number): number {
  const longest = Math.max(0.02, ...arrows.map(({ by }) => Math.hypot(by[0], by[1])));
  return steps.findLast((step) => step * longest <= frameWidth / 12) ?? 1;
}
