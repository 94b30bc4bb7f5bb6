import type { Proof, Report } from "../model/index.ts";
import { leftOut, unmeasuredParts } from "../reports/coverage.ts";

export const EXIT = {
  clean: 0,
  flagged: 1,
  proved: 0,
  notProved: 1,
  nothingChecked: 2,
  gaps: 3,
  stopped: 130,
} as const;

/** Of several shots the worst counts: one that was not checked at all before a flag, a flag before a gap. */
const fromGoodToBad: readonly number[] = [EXIT.clean, EXIT.gaps, EXIT.flagged, EXIT.nothingChecked, EXIT.stopped];

/** The exit code of a run over several shots. */
export const worstOf = (codes: readonly number[]): number =>
  codes.reduce(
    (worst, code) => (fromGoodToBad.indexOf(code) > fromGoodToBad.indexOf(worst) ? code : worst),
    EXIT.clean,
  );

/** What a check of `frames` frames ends with, by its report. */
export const exitCodeOf = (report: Report, frames: number): number => {
  if (report.flags.length > 0) return EXIT.flagged;
  const gaps =
    report.shot.frames.length < frames ||
    leftOut(report).length > 0 ||
    unmeasuredParts(report).some((part) => part.tooMany);
  return gaps ? EXIT.gaps : EXIT.clean;
};

/** What a proof ends with: one part that came back wrong is enough. */
export const proofExitCode = ({ parts }: Proof): number => {
  if (parts.length === 0) return EXIT.nothingChecked;
  return parts.every(({ cameBack }) => cameBack.proved) ? EXIT.proved : EXIT.notProved;
};
