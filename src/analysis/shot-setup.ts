import { captureTimes, type CaptureTimes, createSheet, parseSheet, type Sheet, type Warning } from "../model/index.ts";
import type { CheckJob, FrameFile, FrameHeader } from "./contract.ts";
import type { FrameNumber } from "../units/index.ts";

/** A shot whose headers were read and whose sheet was accepted. */
export interface ShotSetup {
  readonly width: number;
  readonly height: number;
  readonly analysisWidth: number;
  readonly analysisHeight: number;
  /** Frames of the shot's size, in the order of their numbers; none of them decoded yet. */
  readonly files: readonly FrameFile[];
  readonly sheet: Sheet;
  /** False where no sheet file was given: parts have to be found. */
  readonly hasSheet: boolean;
  readonly times: CaptureTimes;
  readonly warnings: readonly Warning[];
}

export type SetupResult =
  | { readonly setup: ShotSetup }
  | { readonly refusals: readonly string[] }
  | { readonly nothing: string };

/** The size that most frames have; the first one's among equals. */
function commonSize(headers: readonly FrameHeader[]): { width: number; height: number } {
  const counts = new Map<string, { n: number; width: number; height: number }>();
  for (const { width, height } of headers) {
    const key = `${width} x ${height}`;
    const entry = counts.get(key) ?? { n: 0, width, height };
    entry.n++;
    counts.set(key, entry);
  }
  return [...counts.values()].reduce((best, entry) => (entry.n > best.n ? entry : best));
}

/**
 * From headers to a shot that can be measured. Frames that can't be read, or have another size than most, are left out
 * with a warning each; a sheet with any fault refuses the whole.
 * @param failures why headers could not be read, by frame
 */
export function setUpShot(
  job: CheckJob,
  headers: ReadonlyMap<FrameNumber, FrameHeader>,
  failures: ReadonlyMap<FrameNumber, string>,
): SetupResult {
  const warnings: Warning[] = [...job.warnings];
  const ordered = job.frames.toSorted((a, b) => a.frame - b.frame);
  for (const file of ordered) {
    const reason = failures.get(file.frame);
    if (reason !== undefined) warnings.push({ code: "frame-unreadable", detail: reason, frame: file.frame });
  }
  if (headers.size === 0)
    return { nothing: [`No frame of ${job.folder} could be read.`, ...failures.values()].join("\n") };
  const { width, height } = commonSize(ordered.flatMap((file) => headers.get(file.frame) ?? []));
  const files: FrameFile[] = [];
  for (const file of ordered) {
    const header = headers.get(file.frame);
    if (header === undefined) continue;
    if (header.note !== null) warnings.push({ code: "frame-note", detail: header.note, frame: file.frame });
    if (header.width !== width || header.height !== height) {
      warnings.push({
        code: "frame-size",
        detail: `${file.file}: ${header.width} x ${header.height} px, while the shot is ${width} x ${height} px; left out`,
        frame: file.frame,
      });
      continue;
    }
    files.push(file);
  }
  if (files.length < 2)
    return {
      nothing: [
        `Only one frame of ${job.folder} can be used (${files[0]?.file ?? "none"}): a comparison needs at least two.`,
        ...failures.values(),
      ].join("\n"),
    };
  const context = { frames: ordered.map((file) => file.frame), width, height };
  let sheet = createSheet(job.shot);
  if (job.sheetText !== null) {
    const parsed = parseSheet(job.sheetText, job.sheetFile ?? "the sheet", context);
    if ("refusals" in parsed) return { refusals: parsed.refusals };
    sheet = parsed.sheet;
    warnings.push(...parsed.warnings);
  }
  const times = captureTimes(
    files.map((file) => ({
      frame: file.frame,
      exifTime: headers.get(file.frame)?.exifTime ?? null,
      modified: file.modified,
    })),
  );
  warnings.push(...times.warnings);
  const analysisWidth = Math.min(width, job.analysisWidth);
  return {
    setup: {
      width,
      height,
      analysisWidth,
      analysisHeight: Math.max(1, Math.round((height * analysisWidth) / width)),
      files,
      sheet,
      hasSheet: job.sheetText !== null,
      times,
      warnings,
    },
  };
}
