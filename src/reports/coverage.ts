import type { Report, Warning } from "../model/index.ts";
import type { FrameNumber } from "../units/index.ts";

/** A part counts as not measured where more than this share of its visible frames gave no number. */
export const UNMEASURED_SHARE = 0.1;

/** What could not be measured on one part. */
export interface Unmeasured {
  readonly part: string;
  readonly name: string;
  /** Frames without a number, and all those in which the part was to be seen. */
  readonly frames: readonly FrameNumber[];
  readonly visible: number;
  /** The reasons told, the commonest first. */
  readonly reasons: readonly string[];
  /** More than UNMEASURED_SHARE of the visible frames are missing: "nothing flagged" doesn't hold for this part. */
  readonly tooMany: boolean;
}

/** Parts with visible frames that gave no number, in the order of the report. */
export const unmeasuredParts = (report: Report): readonly Unmeasured[] =>
  report.parts.flatMap(({ id, name, kind }) => {
    const visible = report.tracks.filter((row) => row.part === id && row.state !== "hidden");
    const missing = visible.filter((row) => row.dx === null || row.dy === null);
    if (missing.length === 0) return [];
    const counts = new Map<string, number>();
    for (const { reason } of missing) if (reason !== "") counts.set(reason, (counts.get(reason) ?? 0) + 1);
    return [
      {
        part: id,
        name,
        frames: missing.map((row) => row.frame).toSorted((a, b) => a - b),
        visible: visible.length,
        reasons: [...counts].toSorted((a, b) => b[1] - a[1]).map(([reason]) => reason),
        // A piece that the check itself picked out of the picture is nobody's part: it leaves no question open.
        tooMany: kind !== "found" && missing.length > UNMEASURED_SHARE * visible.length,
      },
    ];
  });

/** Warnings about frames that are not among those that were checked. */
export const leftOut = (report: Report): readonly Warning[] => {
  const checked = new Set<number>(report.shot.frames);
  return report.warnings.filter(({ frame }) => frame !== undefined && frame !== null && !checked.has(frame));
};
