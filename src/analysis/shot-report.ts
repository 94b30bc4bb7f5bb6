import type { AnimatedReport, Report, Warning } from "../model/index.ts";
import type { FrameNumber } from "../units/index.ts";
import { buildReport, judgeInput } from "./build-report.ts";
import type { CheckJob, Survey } from "./contract.ts";
import { interleavedPasses } from "./interleaved.ts";
import { outlinesThatMoved } from "./judge.ts";
import type { KeptMeasurements } from "./kept-measurements.ts";
import type { Ring } from "./kinds/evidence/rigid.ts";
import { surfaceEvidence } from "./kinds/evidence/surface-evidence.ts";
import type { LeftOverSurface } from "./left-over-plan.ts";
import { seriesSource, surfaceSeries } from "./measured-series.ts";
import { allSegments, shotSeries } from "./shot-series.ts";
import type { ShotSetup } from "./shot-setup.ts";
import type { AnalysedFrame, AnalysedPart, ShotTracker } from "./shot-tracker.ts";

/** What a report is made of. */
interface ReportSource {
  readonly job: CheckJob;
  readonly setup: ShotSetup;
  readonly tracker: ShotTracker;
  readonly kept: KeptMeasurements;
  /** Drawn or found ones. */
  readonly parts: readonly AnalysedPart[];
  /** What was found outside of them all. */
  readonly outside: readonly AnalysedPart[];
  readonly animated: readonly AnimatedReport[];
  readonly surfaces: readonly LeftOverSurface[];
  readonly survey: Survey | null;
  /** Why frames could not be decoded. */
  readonly decodeFailures: ReadonlyMap<FrameNumber, string>;
}

/**
 * The report of a shot as far as it was measured.
 * @param onTheWay the check still runs: the tracker stays as it is; else it leaves out of the camera what is told to move
 */
export function shotReport(source: ReportSource, onTheWay: boolean): Report {
  const { job, setup, tracker, kept } = source;
  const analysed = [...source.parts, ...source.outside];
  const segments = allSegments(analysed, tracker.numbers, setup.sheet.marks);
  const leftOvers = surfaceSeries(source.surfaces, source.parts, setup, tracker, kept);
  const outside = new Set(source.outside.map(({ part }) => part.id));
  const surfaces = surfaceEvidence({ leftOvers });
  const watched = analysed.map((one) => one.part);
  if (!onTheWay) {
    // Twice: what moved by the camera as it is first told pulled it, and is left out of it then. Once only, at the end: a
    // long shot's camera takes its time, and what is told on the way must not decide what is looked for later.
    const first = shotSeries(seriesSource(analysed, setup, tracker, kept), segments);
    const asFirstTold = judgeInput(job, setup, tracker.settledFrames(), watched, first, leftOvers, outside);
    tracker.leaveOut(inAnalysedFrame(outlinesThatMoved(asFirstTold, surfaces), setup));
  }
  const frames = tracker.settledFrames();
  const series = shotSeries(seriesSource(analysed, setup, tracker, kept), segments);
  const report = buildReport(
    job,
    setup,
    frames,
    watched,
    series,
    warningsOf(source, frames),
    source.survey,
    leftOvers,
    tracker.strayThings(),
    outside,
    surfaces,
  );
  return source.animated.length === 0 ? report : { ...report, animated: source.animated };
}

function warningsOf({ setup, tracker, decodeFailures }: ReportSource, frames: readonly AnalysedFrame[]): Warning[] {
  return [
    ...tracker.referencesTaken().map(({ frame, used }) => ({
      code: "reference-taken-again",
      detail: `the picture left the first frame: the camera of ${used} frames is told against frame ${frame}, whose own error adds to theirs`,
      frame,
    })),
    ...setup.warnings,
    ...[...decodeFailures].map(([frame, detail]) => ({ code: "frame-unreadable", detail, frame })),
    ...interleavedPasses(frames.map(({ light }) => light?.stops ?? Number.NaN)),
    ...frames
      .filter((frame) => frame.camera === null)
      .map(({ frame }) => ({
        code: "camera-unknown",
        detail: `frame ${frame}: the camera can't be told from the set, so no drift is told in it`,
        frame,
      })),
  ];
}

/** Outlines of the original frame, px of the analysed one. */
function inAnalysedFrame(outlines: readonly Ring[], setup: ShotSetup): Ring[] {
  const [scaleX, scaleY] = [setup.analysisWidth / setup.width, setup.analysisHeight / setup.height];
  return outlines.map((outline) => outline.map(([x, y]) => [x * scaleX, y * scaleY] as const));
}
