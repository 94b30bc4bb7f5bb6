import {
  createSheet,
  type Part,
  REPORT_FORMAT,
  REPORT_VERSION,
  type Report,
  type ReportPart,
  type Sheet,
} from "../../model/index.ts";
import type { FrameFile } from "../../protocol/index.ts";

/** A part as a report tells of it. */
export const reportPart = ({ id, name, kind, puppet, copy, build, carrier, intents, outlines }: Part): ReportPart => ({
  id,
  name,
  kind,
  puppet,
  copy,
  build,
  carrier,
  intents,
  outline: outlines[0].points,
});

/** What is known of a shot before anything is measured: its frames, and what its sheet says. */
export function blankReport(
  name: string,
  folder: string,
  frames: readonly FrameFile[],
  sheet: Sheet | null,
  width: number,
  height: number,
): Report {
  const { shot, parts } = sheet ?? createSheet(name);
  return {
    format: REPORT_FORMAT,
    version: REPORT_VERSION,
    shot: {
      name,
      fps: shot.fps,
      width,
      height,
      frames: frames.map((file) => file.frame),
      analysisWidth: width,
      folder,
      timecodeStart: shot.timecodeStart,
    },
    made: { holdfast: "", sheetSha256: null, bands: {}, thresholds: {} },
    parts: parts.map(reportPart),
    frames: [],
    tracks: [],
    flags: [],
    warnings: [],
  };
}
