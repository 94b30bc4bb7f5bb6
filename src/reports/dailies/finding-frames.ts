import type { Flag, Report } from "../../model/index.ts";
import { type Box, driftDrawing } from "./drift-drawing.ts";

// Which pictures tell a finding: two frames, and what of them it is about.

/** px across the picture that is made of a piece of a frame. */
export const FINDING_WIDTH = 720;

/** Quality of the JPEG that is made of it, of 1. */
export const FINDING_QUALITY = 0.82;

/** The frame that a flag is told against: where its track began, else the frame before. */
export function anchorFrame(report: Report, flag: Flag): number {
  const row = report.tracks.find(({ part, frame }) => part === flag.part && frame === flag.to);
  return row?.anchor ?? report.shot.frames.findLast((frame) => frame < flag.from) ?? flag.from;
}

/** What of the frame a finding is about; all of it where it has no place. */
export const boxOf = (report: Report, flag: Flag): Box =>
  driftDrawing(report, flag)?.box ?? { x: 0, y: 0, width: report.shot.width, height: report.shot.height };
